"""The gel-time law against supplier figures, its own table and textbook Arrhenius data."""

import numpy as np
import pytest
from scipy.optimize import least_squares

from analytics.errors import QuestionError
from analytics.physics.gel_time import (
    activation_energy_kj_mol,
    catalyst_pct_for,
    dose_term,
    gel_min,
    temperature_c_for,
)

# A made-up resin for tests: 17.5 min at 20 °C and 2 %, E 55 kJ/mol, n 0.75.
RESIN = {"ref_gel_min": 17.5, "energy_kj_mol": 55.0, "dose_power": 0.75}


def fahrenheit(value):
    return (value - 32) / 1.8


def test_supplier_pot_lives_at_three_temperatures_give_49_5():
    # Pre-accelerated isophthalic paste, 2 % hardener, supplier sheet: 60, 45, 30 min.
    energy = activation_energy_kj_mol([15, 20, 25], [60, 45, 30])
    assert energy == pytest.approx(49.5, abs=0.5)


@pytest.mark.parametrize(
    ("temperatures_c", "minutes", "energy"), [((15, 20), (60, 45), 40), ((20, 25), (45, 30), 59)]
)
def test_rounded_figures_taken_in_pairs_scatter(temperatures_c, minutes, energy):
    # Same sheet, pair by pair (own arithmetic): rounding alone moves E by 20.
    assert activation_energy_kj_mol(temperatures_c, minutes) == pytest.approx(energy, abs=0.7)


def test_vinyl_ester_guide_gives_58():
    # Supplier guide: 30-40 min at 70 F, 20-25 min at 80 F; mid-points 35 and 22.5.
    temperatures_c = [fahrenheit(70), fahrenheit(80)]
    assert activation_energy_kj_mol(temperatures_c, [35, 22.5]) == pytest.approx(58, abs=1)


def test_suspect_chart_shows_by_its_energy():
    # A blog's reading of a chart, 120 min at 5 °C and 5 min at 20 °C: 144 is no redox cure.
    assert activation_energy_kj_mol([5, 20], [120, 5]) == pytest.approx(144, abs=1)


@pytest.mark.parametrize(
    ("temperature_c", "minutes"),
    [
        (10, [65, 55, 48, 39, 33]),
        (15, [44, 37, 32, 26, 22]),
        (18, [34, 29, 25, 20, 17]),
        (20, [29, 25, 22, 17.5, 15]),
        (22, [25, 21, 19, 15, 13]),
        (25, [20, 17, 15, 12, 10]),
        (30, [14, 12, 10, 8, 7]),
    ],
)
def test_table_of_the_made_up_resin(temperature_c, minutes):
    # Computed independently for this law, printed to the minute.
    ours = gel_min(temperature_c, [1.0, 1.25, 1.5, 2.0, 2.5], **RESIN)
    np.testing.assert_allclose(ours, minutes, atol=0.51)


@pytest.mark.parametrize(
    ("temperature_c", "dose"), [(15, 3.4), (10, 5.8), (20, 2.0), (25, 1.2), (30, 0.74)]
)
def test_holding_gel_time_by_dose_alone_fails_fast(temperature_c, dose):
    # Same resin held at 17.5 min (own arithmetic): only 25 °C stays within 1.0 to 2.5 %.
    ours = catalyst_pct_for(17.5, temperature_c, **RESIN)
    assert ours == pytest.approx(dose, rel=0.02)


@pytest.mark.parametrize(
    ("energy", "factor"), [(45, 1.88), (49.5, 2.0), (50, 2.01), (55, 2.16), (60, 2.32), (65, 2.48)]
)
def test_ten_degrees_about_double_the_gel_time(energy, factor):
    # "10 C doubles", trade rule; factors for 15 against 25 °C by own arithmetic.
    law = RESIN | {"energy_kj_mol": energy}
    assert gel_min(15, 2, **law) / gel_min(25, 2, **law) == pytest.approx(factor, abs=0.006)


def test_inverses_undo_the_law():
    temperature_c, dose = np.array([12.0, 19.0, 28.0]), np.array([1.0, 1.7, 2.5])
    minutes = gel_min(temperature_c, dose, **RESIN)
    np.testing.assert_allclose(catalyst_pct_for(minutes, temperature_c, **RESIN), dose)
    np.testing.assert_allclose(temperature_c_for(minutes, dose, **RESIN), temperature_c)


def test_warm_day_and_more_catalyst_shorten_gel_time():
    assert gel_min(25, 2, **RESIN) < gel_min(20, 2, **RESIN) < gel_min(20, 1.5, **RESIN)


def test_promoter_levels_need_a_saturating_law_not_a_power():
    # Matuskova, Vinklarek & Honzicek 2021, Ind. Eng. Chem. Res., supporting table S1 (seen):
    # gel minutes against cobalt accelerator [wt %]. The dose power is for peroxide only.
    level = np.array([0.1, 0.06, 0.03, 0.01, 0.006, 0.003, 0.001])
    log_min = np.log([3.5, 3.9, 5.3, 9.8, 16.5, 31.5, 108.0])

    def by_power(p):
        return np.log(gel_min(20, level, np.exp(p[0]), 55, p[1])) - log_min

    def saturating(p):
        return p[0] + np.log1p(np.exp(p[2] * (p[1] - np.log(level)))) - log_min

    power = least_squares(by_power, [1.0, 0.7])
    curved = least_squares(saturating, [1.0, np.log(0.02), 1.0])
    assert power.x[1] == pytest.approx(0.73, abs=0.01)
    assert np.sqrt(np.mean(power.fun**2)) > 0.2
    assert np.sqrt(np.mean(curved.fun**2)) < 0.05
    np.testing.assert_allclose(np.exp(curved.x[:2]), [3.06, 0.0208], rtol=0.02)


def test_dinitrogen_pentoxide_textbook_energy():
    # Classic textbook data, from memory, reproduced by computation: Ea 103 kJ/mol.
    kelvin = np.array([273.15, 298.15, 308.15, 318.15, 328.15, 338.15])
    per_s = np.array([7.87e-7, 3.46e-5, 1.35e-4, 4.98e-4, 1.50e-3, 4.87e-3])
    assert activation_energy_kj_mol(kelvin - 273.15, 1 / per_s) == pytest.approx(103.0, abs=0.05)


def test_hydrogen_iodide_textbook_energy():
    # Classic textbook data, from memory, reproduced by computation: 185.3, two-point 185.4.
    kelvin = np.array([555.0, 575, 645, 700, 781])
    per_s = np.array([3.52e-7, 1.22e-6, 8.59e-5, 1.16e-3, 3.95e-2])
    energy = activation_energy_kj_mol(kelvin - 273.15, 1 / per_s)
    ends = activation_energy_kj_mol(kelvin[[0, -1]] - 273.15, 1 / per_s[[0, -1]])
    assert energy == pytest.approx(185.3, abs=0.05)
    assert ends == pytest.approx(185.4, abs=0.05)


def test_rate_doubling_from_25_to_35_needs_52_9():
    # Rule of thumb, computed here.
    assert activation_energy_kj_mol([25, 35], [2, 1]) == pytest.approx(52.9, abs=0.05)


def test_fit_keeps_its_digits_although_inverse_kelvin_is_tiny():
    temperature_c = np.linspace(19.99, 20.01, 5)
    minutes = gel_min(temperature_c, 2, **RESIN)
    assert activation_energy_kj_mol(temperature_c, minutes) == pytest.approx(55, rel=1e-8)


def test_missing_pairs_are_left_out_of_the_energy():
    energy = activation_energy_kj_mol([15, 20, np.nan, 25], [60, np.nan, 45, 30])
    assert energy == pytest.approx(activation_energy_kj_mol([15, 25], [60, 30]))


@pytest.mark.parametrize("times", [([20, 20], [30, 31]), ([20], [30]), ([15, 25], [30, np.nan])])
def test_one_temperature_cannot_give_an_energy(times):
    with pytest.raises(QuestionError, match="two different temperatures"):
        activation_energy_kj_mol(*times)


def test_missing_or_impossible_input_gives_missing_gel_time():
    assert np.isnan(gel_min(np.nan, 2, **RESIN))
    assert np.isnan(gel_min(20, [np.nan, 0.0, -1.0], **RESIN)).all()
    assert np.isnan(catalyst_pct_for(0, 20, **RESIN))
    assert np.isnan(temperature_c_for(np.nan, 2, **RESIN))
    assert np.isnan(dose_term(0))


def test_one_number_in_gives_one_number_out():
    assert isinstance(gel_min(20, 2, **RESIN), float)
    assert gel_min(20, 2, **RESIN) == pytest.approx(17.5)
