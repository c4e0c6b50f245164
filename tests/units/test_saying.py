"""Sentences said in US units: every figure right, differences stretched and never shifted."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from importlib.resources import files
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analytics.saying import in_box, in_metric, said, with_unit
from analytics.units import convert


@pytest.mark.parametrize(
    ("metric", "us"),
    [
        # NIST SP 811, appendix B: t/°F = 1.8 t/°C + 32; 1 lb = 0.45359237 kg; 1 mil = 0.0254 mm.
        ("Below 15 °C or above 30 °C", "Below 59 °F or above 86 °F"),
        ("from 15 to 30 °C, -5 °C", "from 59 to 86 °F, 23 °F"),
        ("at 21.11 °C", "at 70 °F"),
        ("14.96 °C: below 15 °C", "58.93 °F: below 59 °F"),
        ("18 against 22.1 °C", "64 against 71.8 °F"),
        ("between 15 and 30 °C", "between 59 and 86 °F"),
        ("3 degrees C above the dew point", "5.4 degrees F above the dew point"),
        ("10 degrees C more", "18 degrees F more"),
        ("± 3 °C", "± 5.4 degrees F"),
        ("0.4 to 0.6 mm wet, over 0.75 mm", "16 to 24 mil wet, over 30 mil"),
        ("4 to 6 mm", "0.16 to 0.24 in"),
        ("a 100 mm grid", "a 4 in grid"),
        ("1 kg, 25 kg and 1,200 kg", "2.2 lb, 55 lb and 2,646 lb"),
        ("15.0 g (12.9 ml) in 1 kg", "15.0 g / 0.53 oz (12.9 ml / 0.44 fl oz) in 2.2 lb"),
        ("1.9 m2", "20.5 ft2"),
        # Mats are sold by these names: common practice, no published source.
        ("plies 225 + 2x450 g/m2", "plies 0.75 + 2x1.5 oz/ft2"),
        ("600 g/m2 woven", "17.7 oz/yd2 woven"),
        ("A 225 to 300 g mat", "A 0.75 to 1 oz mat"),
        ("plies of 450 mat", "plies of 1.5 oz mat"),
    ],
)
def test_figures_are_said_the_us_way(metric: str, us: str) -> None:
    assert said(metric, "us") == us


@pytest.mark.parametrize(
    "text",
    [
        "15 ml/kg at 1.8 %", "lot A-12 °C", "mixes 3 and 20 °C", 'typed "20 °C" there',
        "typed “20 °C” there", "10 minutes at 50 %", "68 °F, 2.2 lb, 20 mil", "1.5 kg per kg",
        "mould 12, part 40",
    ],
)  # fmt: skip
def test_what_is_no_metric_figure_of_ours_stays(text: str) -> None:
    assert said(text, "us") == text


@pytest.mark.parametrize("text", ["18 °C", "15 g in 1 kg", "225 + 450 g/m2", "450 mat"])
def test_metric_shops_read_what_was_written(text: str) -> None:
    assert said(text, "metric") == text


@pytest.mark.parametrize("text", ["18 °C, 15.0 g or 12.9 ml at 1.16 g/ml in 1 kg", "0.5 mm"])
def test_saying_twice_changes_nothing_more(text: str) -> None:
    assert said(said(text, "us"), "us") == said(text, "us")


@given(st.integers(-400, 6000), st.integers(0, 2))
def test_temperature_reads_back_as_the_same_figure(tenths: int, decimals: int) -> None:
    celsius = f"{tenths / 10:.{decimals}f}"
    told = said(f"{celsius} °C", "us").removesuffix(" °F").replace(",", "")
    assert round(convert(float(told), "°F", "°C"), decimals) == float(celsius)


@given(st.integers(1, 400), st.integers(0, 2))
def test_difference_is_stretched_and_never_shifted(tenths: int, decimals: int) -> None:
    metric = f"{tenths / 10:.{decimals}f}"
    told = float(said(f"{metric} degrees C", "us").removesuffix(" degrees F"))
    assert told == pytest.approx(1.8 * float(metric), abs=0.051)


@given(st.sampled_from([("kg", "lb", 0.005), ("m2", "ft2", 0.01)]), st.integers(1, 500_000))
def test_weight_and_area_are_near_enough(units: tuple[str, str, float], hundredths: int) -> None:
    unit, other, share = units
    metric = hundredths / 100
    told = said(f"{metric:.2f} {unit}", "us").removesuffix(f" {other}").replace(",", "")
    assert convert(float(told), other, unit) == pytest.approx(metric, rel=share * 1.0001)


@given(st.integers(1, 5000))
def test_length_is_near_enough_in_mil_or_inches(hundredths: int) -> None:
    metric = hundredths / 100
    told, unit = said(f"{metric:.2f} mm", "us").split(" ")
    assert unit == ("mil" if metric <= 1.5 else "in")
    assert convert(float(told), unit, "mm") == pytest.approx(metric, rel=0.02501)


@given(st.sampled_from(["°C", "kg", "m2"]), st.integers(1, 9999))
def test_box_gives_back_the_metric_figure_it_was_drawn_from(unit: str, hundredths: int) -> None:
    metric = f"{hundredths / 100:g}"
    shown = in_box(metric, unit, "us")
    assert shown is not None
    assert float(in_metric(shown, unit, "us")) == pytest.approx(float(metric), abs=1e-4)


def test_bare_figures_get_the_unit_their_box_asked_for() -> None:
    assert with_unit("64", "°C", "us") == "64 °F"
    assert with_unit("18 C", "°C", "us") == "18 C"
    assert with_unit("20", "mm", "us", "gelcoat_wet_mm") == "20 mil"
    assert with_unit("0.1", "mm", "us", "session_mm") == "0.1 in"
    assert with_unit("15", "min", "us") == "15"
    assert with_unit("18", "°C", "metric") == "18"


# ---------------------------------------------------------------- what the trade's texts say

APART = {
    "3 degrees C": "5.4 degrees F", "2 degrees C": "3.6 degrees F", "5 degrees C": "9 degrees F",
    "8 degrees C": "14.4 degrees F", "10 degrees C": "18 degrees F",
}  # fmt: skip
"""Every difference in the trade's texts, worked out by hand: 1.8 times, never plus 32."""
AS_TEMPERATURES = {
    "15 °C": "59 °F", "18 °C": "64 °F", "20 °C": "68 °F", "23 °C": "73 °F", "25 °C": "77 °F",
    "30 °C": "86 °F", "60 °C": "140 °F", "600 °C": "1,112 °F", "15 to 18 °C": "59 to 64 °F",
    "18 to 25 °C": "64 to 77 °F", "20 to 25 °C": "68 to 77 °F", "28 to 30 °C": "82 to 86 °F",
    "40 to 60 °C": "104 to 140 °F",
}  # fmt: skip
"""Every temperature in the trade's texts, worked out by hand: 1.8 times and 32 more."""
FIGURE = r"\d+(?: to \d+)?"
TELLS_APART = re.compile(
    rf"(?:within|differs? by(?: more than)?|every|swings? of|margin of) {FIGURE} °C"
    rf"|{FIGURE} °C (?:above|over|warmer|colder|cooler|hotter|apart|more(?! or)|from the|off)"
)


def strings(data: Any) -> Iterator[str]:
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for one in data.values():
            yield from strings(one)
    elif isinstance(data, list):
        for one in data:
            yield from strings(one)


def trade_texts() -> list[str]:
    folder = files("analytics.knowledge") / "data"
    found = []
    for place in (folder, folder / "causes", folder / "defects"):
        for file in place.iterdir():
            if file.name.endswith(".toml"):
                found += strings(tomllib.loads(file.read_text("utf-8")))
    return found


def test_every_temperature_and_difference_of_the_trade_is_said_as_worked_out_by_hand() -> None:
    texts = trade_texts()
    apart = {m for text in texts for m in re.findall(r"\d+ degrees C", text)}
    warmth = {m for text in texts for m in re.findall(rf"{FIGURE} °C", text)}
    assert apart == set(APART)
    assert warmth == set(AS_TEMPERATURES)
    for metric, us in {**APART, **AS_TEMPERATURES}.items():
        assert said(metric, "us") == us


def test_no_difference_of_the_trade_is_written_as_a_temperature() -> None:
    assert [text for text in trade_texts() if TELLS_APART.search(text)] == []


def test_no_metric_figure_of_the_trade_is_left_over() -> None:
    left = re.compile(r"\d (?:°C|degrees C|kg|mm|cm|m2|g/m2)(?![\w/])|\d+ (?:g )?mat\b(?<!oz mat)")
    assert [told for text in trade_texts() if left.search(told := said(text, "us"))] == []
