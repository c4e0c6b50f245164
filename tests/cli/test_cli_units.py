"""Metric or US, chosen once: what commands print follows it, what programs read does not."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cli.running import one_sentence, run

METRIC = re.compile(
    r"°C|\d (?:degrees C|kg|mm|cm|m2|g/m2)(?![\w/])|\d (?:g|ml)(?![\w/])(?! / [\d.]+ (?:fl )?oz)"
)
ASKED = (
    ("catalyst", "--temperature", "18", "--pot", "1.5"),
    ("catalyst", "--temperature", "12"),
    ("catalyst", "--season"),
    ("plan", "--temperature", "20", "--area", "1.9"),
    ("month",),
    ("compare", "ten-degrees"),
    ("records", "--month", "2025-11"),
)


def test_shop_is_metric_until_it_chooses(own_store: Path) -> None:
    assert run("units", "--store", own_store, "--json").json == {"units": "metric"}
    assert "°F" in run("units", "us", "--store", own_store).words
    assert run("units", "--store", own_store, "--json").json == {"units": "us"}
    assert "°C" in run("units", "metric", "--store", own_store).words


def test_other_units_are_no_choice() -> None:
    assert "metric" in one_sentence(run("units", "imperial"))


def test_no_metric_figure_is_left_in_us_units(own_store: Path) -> None:
    run("units", "us", "--store", own_store)
    for asked in (*ASKED, ("why", _failed(own_store))):
        ran = run(*asked, "--store", own_store)
        left = [line for line in re.split(r"(?<=[.;])\s", ran.words) if METRIC.search(_own(line))]
        assert (asked, left) == (asked, [])


def _failed(store: Path) -> str:
    return run("why", "--failed", "--store", store).out.split()[0]


def _own(line: str) -> str:
    """A line without what somebody typed."""
    return re.sub(r'"[^"]*"', "", line)


@pytest.mark.parametrize("asked", ASKED)
def test_json_is_the_same_in_both_units(own_store: Path, asked: tuple[str, ...]) -> None:
    before = run(*asked, "--store", own_store, "--json").out
    run("units", "us", "--store", own_store)
    assert run(*asked, "--store", own_store, "--json").out == before


def test_limits_of_temperature_are_said_exactly(own_store: Path) -> None:
    run("units", "us", "--store", own_store)
    told = run("catalyst", "--temperature", "54 F", "--store", own_store).words
    assert "It is 54 °F: below 59 °F" in told
    assert "Below 59 °F or above 86 °F" in told


def test_refusals_are_said_in_the_shops_units_too(own_store: Path) -> None:
    run("units", "us", "--store", own_store)
    told = one_sentence(run("plan", "--temperature", "50 F", "--area", "1", "--store", own_store))
    assert "it is 50 °F" in told
    assert "°C" not in told


def test_season_is_for_a_pound_where_pounds_are_weighed(own_store: Path) -> None:
    metric = run("catalyst", "--season", "--store", own_store)
    run("units", "us", "--store", own_store)
    us = run("catalyst", "--season", "--store", own_store)
    per_kg, per_lb = (_july(ran.out) for ran in (metric, us))
    assert ("g/kg" in metric.out, "g/lb" in us.out) == (True, True)
    assert per_lb == pytest.approx(0.45359237 * per_kg, abs=0.06)


def _july(out: str) -> float:
    row = next(line for line in out.splitlines() if line.strip().startswith("Jul "))
    return float(re.sub(r"\(([\d.]+)\) !", r"\1", row).split()[3])
