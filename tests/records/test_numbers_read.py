"""Figures as shops write them."""

from __future__ import annotations

import pytest

from analytics.records.numbers import Number, comma_style, read_number, to_float


@pytest.mark.parametrize(
    ("typed", "quantity", "value", "unit"),
    [
        ("1,8 %", "dose", 1.8, "mass %"),
        ("17cc/kg", "dose", 17, "ml/kg"),
        ("2 % by vol", "dose", 2, "volume %"),
        ("30'", "time", 30, "min"),
        ("0.5 h", "time", 0.5, "h"),
        ("½ h", "time", 0.5, "h"),
        ("2½ hrs", "time", 2.5, "h"),
        ("1 1/2 h", "time", 1.5, "h"),
        ("1h30", "time", 1.5, "h"),
        ("1:30", "time", 1.5, "h"),
        ("0.98 oz", "areal", 0.98, "oz mat"),
        ("450g", "areal", 450, "g/m2"),
        ("24 thou", "length", 24, "mil"),
        ("500 µm", "length", 500, "um"),
        ("7.6°", "temperature", 7.6, None),
        ("18ºC", "temperature", 18, "°C"),
        ("51F", "temperature", 51, "°F"),
        ("−5", "temperature", -5, None),
        ("three coats", "count", 3, "count"),
        ("3x", "count", 3, "count"),
        ("x3", "count", 3, None),
        ("nil", "count", 0, None),
        ("3/5", "score", 3, "1-5"),
        ("£12.50", "money", 12.5, None),
        ("12 (thin)", "length", 12, None),
    ],
)
def test_figure_is_read_with_its_unit(
    typed: str, quantity: str, value: float, unit: str | None
) -> None:
    assert read_number(typed, quantity) == Number(pytest.approx(value), unit)


@pytest.mark.parametrize(
    ("typed", "quantity", "value"),
    [("~20 min", "time", 20), ("20ish", "time", 20), ("18-22", "length", 20), ("22?", "time", 22)],
)
def test_rough_figure_is_marked_rough(typed: str, quantity: str, value: float) -> None:
    number = read_number(typed, quantity)
    assert number is not None
    assert (number.value, number.rough) == (value, True)


@pytest.mark.parametrize("typed", ["ask Ed", "<5", "18 door open", "5 kg", "", "1.2.3.x", "1:75 h"])
def test_what_is_no_figure_is_not_made_one(typed: str) -> None:
    number = read_number(typed, "temperature")
    assert number is None


def test_comma_is_settled_by_the_rest_of_its_column() -> None:
    assert comma_style(["1,234", "1,8"]) == "decimal"
    assert comma_style(["1,234", "1.8"]) == "thousands"
    assert comma_style(["0,125"]) == "decimal"
    assert comma_style(["1.234,5"]) == "decimal"
    assert comma_style(["1,234.5"]) == "thousands"
    assert comma_style(["1,234"]) is None


def test_comma_that_could_mean_either_is_left_open() -> None:
    assert to_float("1,234", None) is None
    assert to_float("1,234", "decimal") == 1.234
    assert to_float("1,234", "thousands") == 1234
    assert to_float("1.234,5", None) == 1234.5
