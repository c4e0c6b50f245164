"""Dew point and saturation pressure against printed tables and the ASHRAE formulas."""

import numpy as np
import psychrolib
import pytest

from analytics.physics.air import (
    dew_margin_c,
    dew_point_c,
    saturation_pressure_hpa,
    vapour_pressure_deficit_hpa,
)

psychrolib.SetUnitSystem(psychrolib.SI)


def test_saturation_pressure_is_within_0_4_percent_of_ashrae(reference):
    # ASHRAE Fundamentals 2017, ch. 1, formula column and the printed cells of table 3 (seen).
    table = reference("saturation_pressure.csv")
    ours = saturation_pressure_hpa(table["T_C"])
    np.testing.assert_allclose(ours, table["ASHRAE_formula_hPa"], rtol=0.004)
    printed = table["ASHRAE_table_hPa"].notna()
    assert printed.sum() == 3
    np.testing.assert_allclose(ours[printed], table["ASHRAE_table_hPa"][printed], rtol=0.004)


def test_saturation_pressure_is_the_wmo_formula(reference):
    # WMO-No. 8, Magnus form over water; constants from memory, column computed.
    table = reference("saturation_pressure.csv")
    np.testing.assert_allclose(
        saturation_pressure_hpa(table["T_C"]), table["WMO_hPa"], atol=0.00006
    )


@pytest.mark.parametrize("air_c", range(5, 41, 5))
def test_saturation_pressure_agrees_with_psychrolib(air_c):
    # ASHRAE Fundamentals 2017 as programmed in psychrolib.
    ashrae_hpa = psychrolib.GetSatVapPres(air_c) / 100
    assert saturation_pressure_hpa(air_c) == pytest.approx(ashrae_hpa, rel=0.004)


def test_dew_point_matches_the_printed_table(reference):
    # Printed building and coating table (seen). Its 20, 25 and 30 °C rows are good to 0.1 °C, the
    # rows between and below are rounded more freely, against ASHRAE too.
    table = reference("dewpoint_table.csv")
    misprint = (table["air_C"] == 30) & (table["rh_pct"] == 65)
    wet = table[(table["printed_table_C"] >= 0) & ~misprint]
    off = np.abs(dew_point_c(wet["air_C"], wet["rh_pct"]) - wet["printed_table_C"])
    good_rows = wet["air_C"].isin([20, 25, 30])
    assert good_rows.sum() == 41
    assert off[good_rows].max() <= 0.1
    assert off[~good_rows].max() <= 0.2


def test_misprinted_cell_is_22_7_not_23_7():
    # ASHRAE by psychrolib settles it: 30 °C and 65 % give 22.70.
    ashrae = psychrolib.GetTDewPointFromRelHum(30, 0.65)
    assert dew_point_c(30, 65) == pytest.approx(22.7, abs=0.05)
    assert ashrae == pytest.approx(22.7, abs=0.05)


@pytest.mark.parametrize(
    ("air_c", "humidity_pct", "dew_c"),
    [(20, 50, 9.3), (20, 70, 14.4), (22, 70, 16.3), (25, 60, 16.7), (30, 50, 18.4)],
)
def test_everyday_dew_points(air_c, humidity_pct, dew_c):
    # Same printed table (seen).
    assert dew_point_c(air_c, humidity_pct) == pytest.approx(dew_c, abs=0.1)


def test_dew_point_of_the_psychrolib_documentation():
    # psychrolib documentation (seen): 25 °C, 80 % -> 21.3094 °C.
    assert dew_point_c(25, 80) == pytest.approx(21.309, abs=0.005)


@pytest.mark.parametrize("air_c", [5, 12, 18, 24, 31])
@pytest.mark.parametrize("humidity_pct", [75, 88, 99])
def test_dew_point_agrees_with_psychrolib(air_c, humidity_pct):
    # ASHRAE Fundamentals 2017 as programmed in psychrolib; dew points above 0 °C.
    ashrae = psychrolib.GetTDewPointFromRelHum(air_c, humidity_pct / 100)
    assert dew_point_c(air_c, humidity_pct) == pytest.approx(ashrae, abs=0.05)


def test_below_freezing_it_is_the_dew_point_over_water_not_the_frost_point():
    # ASHRAE goes over to ice below 0 °C: up to 1.25 °C higher than water.
    ours = np.array([dew_point_c(10, 30), dew_point_c(5, 20)])
    ice = np.array([psychrolib.GetTDewPointFromRelHum(t, h) for t, h in [(10, 0.3), (5, 0.2)]])
    assert (ours < ice).all()
    assert (ice - ours < 2.0).all()
    assert ice[0] - ours[0] == pytest.approx(0.8, abs=0.05)


def test_saturated_air_dews_at_its_own_temperature():
    np.testing.assert_allclose(dew_point_c([5.0, 18.0, 30.0], 100), [5.0, 18.0, 30.0])


def test_cold_mould_in_warm_damp_air_is_wet():
    assert dew_margin_c(surface_c=12, air_c=22, humidity_pct=70) == pytest.approx(-4.3, abs=0.1)
    assert dew_margin_c(surface_c=20, air_c=22, humidity_pct=70) > 3


def test_deficit_is_what_saturation_leaves_over():
    # From the pressure at 20 °C in ASHRAE Fundamentals 2017: half of 23.39 hPa is left at 50 %.
    assert vapour_pressure_deficit_hpa(20, 50) == pytest.approx(23.388 / 2, rel=0.004)
    assert vapour_pressure_deficit_hpa(20, 100) == 0


def test_missing_reading_gives_missing_answer():
    assert np.isnan(dew_point_c(np.nan, 50))
    assert np.isnan(dew_point_c(20, np.nan))
    assert np.isnan(dew_margin_c([15.0, np.nan], 20, 60)).tolist() == [False, True]


@pytest.mark.parametrize("humidity_pct", [0, -5, 100.5, 650])
def test_humidity_that_cannot_be_gives_missing_answer(humidity_pct):
    assert np.isnan(dew_point_c(20, humidity_pct))
    assert np.isnan(vapour_pressure_deficit_hpa(20, humidity_pct))


def test_one_number_in_gives_one_number_out():
    assert isinstance(dew_point_c(20, 50), float)
    assert isinstance(vapour_pressure_deficit_hpa(20, 50), float)
    assert dew_point_c([20, 21], [50, 60]).shape == (2,)
