"""Factors against NIST SP 811, Appendix B; doses against arithmetic on stated densities."""

from __future__ import annotations

import pytest

from analytics.units import (
    DOSES,
    Densities,
    convert,
    dose_basis,
    dose_pct,
    is_rough,
    mat_ounces,
    pot_dose_pct,
    quantity_of,
    unit_named,
    units_of,
)

STATED = Densities(catalyst_g_ml=1.16, resin_g_ml=1.10, drop_ml=0.05)


# NIST Special Publication 811 (2008), Appendix B.8 and B.9, to the seven figures printed there.
@pytest.mark.parametrize(
    ("value", "unit", "to", "printed"),
    [
        (1, "oz/yd2", "g/m2", 33.90575),
        (1, "oz/ft2", "g/m2", 305.1517),
        (1, "mil", "um", 25.4),
        (1, "lb", "g", 453.5924),
        (1, "oz", "g", 28.34952),
        (1, "in", "mm", 25.4),
        (1, "ft2", "m2", 0.09290304),
        (1, "lb/ft3", "kg/m3", 16.01846),
        (1, "lb/US gal", "kg/m3", 119.8264),
        (70, "°F", "°C", 21.11111),
    ],
)
def test_factor_is_the_one_nist_prints(value: float, unit: str, to: str, printed: float) -> None:
    assert convert(value, unit, to) == pytest.approx(printed, rel=5e-7)


def test_ounce_and_a_half_mat_is_what_is_sold_as_450() -> None:
    # NIST SP 811 factor 305.1517 g/m2 per oz/ft2
    assert convert(1.5, "oz/ft2", "g/m2") == pytest.approx(457.7, abs=0.05)


@pytest.mark.parametrize("quantity", ["temperature", "length", "time", "areal", "mass", "area"])
def test_there_and_back_changes_nothing(quantity: str) -> None:
    plain = [unit for unit in units_of(quantity) if unit != "oz mat"]
    for unit in plain:
        assert convert(convert(3.7, unit, plain[0]), plain[0], unit) == pytest.approx(3.7)


def test_kilograms_are_not_degrees() -> None:
    with pytest.raises(ValueError, match="mass"):
        convert(1, "kg", "°C")


def test_plain_ounces_of_glass_are_settled_by_the_figure() -> None:
    # common practice: mat goes by the square foot, woven by the square yard
    assert [mat_ounces(value) for value in (0.75, 1.5, 3, 18, 24)] == [
        "oz/ft2",
        "oz/ft2",
        "oz/ft2",
        "oz/yd2",
        "oz/yd2",
    ]
    assert convert(18, "oz mat", "g/m2") == pytest.approx(610.3, abs=0.1)


@pytest.mark.parametrize(
    ("typed", "quantity", "unit"),
    [
        ("deg F", "temperature", "°F"),
        ("°C", "temperature", "°C"),
        ("ºC", "temperature", "°C"),
        ("℉", "temperature", "°F"),
        ("µm", "length", "um"),
        ("thou", "length", "mil"),
        ("g/m²", "areal", "g/m2"),
        ("oz/sq ft", "areal", "oz/ft2"),
        ("gsm", "areal", "g/m2"),
        ("cc per lb", "dose", "cc/lb"),
        ("mls/kilo", "dose", "ml/kg"),
        ("% by volume", "dose", "volume %"),
        ("% wt", "dose", "mass %"),
        ("cc/US gal", "dose", "cc/US gal"),
        ("per cent", "share", "%"),
        ("hrs", "time", "h"),
        ("'", "time", "min"),
    ],
)
def test_unit_is_known_however_the_shop_writes_it(typed: str, quantity: str, unit: str) -> None:
    assert unit_named(typed, quantity) == unit


def test_one_spelling_can_mean_different_things_by_what_is_measured() -> None:
    assert unit_named("g", "mass") == "g"
    assert unit_named("g", "areal") == "g/m2"
    assert unit_named("m", "time") == "min"
    assert unit_named("m", "length") == "m"
    assert unit_named("kg", "temperature") is None


# Expected by hand: what the dose weighs over what the resin weighs. 453.59237 g to the pound and
# 3785.411784 ml to the US gallon are the exact definitions in NIST SP 811.
@pytest.mark.parametrize(
    ("value", "unit", "by_mass"),
    [
        (2, "mass %", 2.0),
        (15, "g/kg", 1.5),
        (17, "ml/kg", 17 * 1.16 / 1000 * 100),
        (7, "cc/lb", 7 * 1.16 / 453.59237 * 100),
        (36, "cc/US gal", 36 * 1.16 / (3785.411784 * 1.10) * 100),
        (1.2, "fl oz/US gal", 1.2 / 128 * 1.16 / 1.10 * 100),
        (2, "volume %", 2 * 1.16 / 1.10),
        (10, "ml/l", 1.16 / 1.10),
        (10, "drops/100 g", 10 * 0.05 * 1.16),
    ],
)
def test_dose_is_by_mass_whatever_way_it_was_written(
    value: float, unit: str, by_mass: float
) -> None:
    assert dose_pct(value, unit, STATED) == pytest.approx(by_mass, rel=1e-9)


def test_ten_ml_per_kg_is_not_one_percent() -> None:
    assert dose_pct(10, "ml/kg", STATED) == pytest.approx(1.16)


def test_dose_for_a_whole_pot_is_divided_by_the_pot() -> None:
    assert pot_dose_pct(30, "ml", 2.0, STATED) == pytest.approx(30 * 1.16 / 2000 * 100)
    assert pot_dose_pct(40, "g", 2.0, STATED) == pytest.approx(2.0)


def test_basis_names_the_density_only_where_it_was_used() -> None:
    assert dose_basis("mass %", STATED) == "mass %"
    assert dose_basis("ml/kg", STATED) == "ml/kg at 1.16 g/ml"
    assert dose_basis("volume %", STATED) == "volume % at 1.16 g/ml, resin 1.1 g/ml"
    assert dose_basis("ml", STATED) == "ml per pot at 1.16 g/ml"


def test_only_drops_are_rough() -> None:
    assert {unit for unit in DOSES if is_rough(unit)} == {"drops/fl oz", "drops/oz", "drops/100 g"}


def test_every_unit_of_a_quantity_says_so() -> None:
    for quantity in ("temperature", "length", "time", "areal", "mass", "density"):
        assert {quantity_of(unit) for unit in units_of(quantity)} == {quantity}
