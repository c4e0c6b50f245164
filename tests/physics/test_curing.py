"""Waiting times made comparable."""

import numpy as np
import pytest

from analytics.physics.air import vapour_pressure_deficit_hpa
from analytics.physics.curing import film_min_at_reference, hours_at_20c
from analytics.physics.gel_time import gel_min


def test_hours_at_20_degrees_count_as_they_are():
    assert hours_at_20c(16, 20, 55) == pytest.approx(16)


def test_waiting_time_counts_the_same_way_gel_time_does():
    # One Arrhenius factor in both: a wait of one gel time is one gel time at any temperature.
    gel_h = gel_min(np.array([10.0, 17.0, 30.0]), 2, 17.5, 55, 0.75) / 60
    np.testing.assert_allclose(hours_at_20c(gel_h, [10.0, 17.0, 30.0], 55) * 60, 17.5)


def test_ten_degrees_colder_halves_the_hours_at_52_9():
    # Rate doubling from 25 to 35 °C at E 52.9 kJ/mol (computed here).
    ratio = hours_at_20c(8, 35, 52.9) / hours_at_20c(8, 25, 52.9)
    assert ratio == pytest.approx(2, abs=0.002)


def test_cold_night_is_added_up_in_steps():
    steps = hours_at_20c([4.0, 10.0, 2.0], [20.0, 8.0, 18.0], 55)
    assert steps[1] < 4
    assert steps.sum() == pytest.approx(hours_at_20c(4, 20, 55) + steps[1] + steps[2])


def test_film_minutes_in_reference_air_count_as_they_are():
    assert film_min_at_reference(30, 20, 50) == pytest.approx(30)


def test_film_drying_goes_with_the_vapour_pressure_deficit():
    deficits = vapour_pressure_deficit_hpa([15, 20], [75, 50])
    assert film_min_at_reference(30, 15, 75) == pytest.approx(30 * deficits[0] / deficits[1])
    assert film_min_at_reference(30, 15, 75) < 15


@pytest.mark.parametrize(("air_c", "humidity_pct", "speed"), [(10, 100, 0.1), (38, 15, 3.0)])
def test_film_drying_is_held_at_the_extremes(air_c, humidity_pct, speed):
    assert film_min_at_reference(30, air_c, humidity_pct) == pytest.approx(30 * speed)


def test_missing_reading_gives_missing_answer():
    assert np.isnan(hours_at_20c([8.0, np.nan], [np.nan, 20.0], 55)).all()
    assert np.isnan(film_min_at_reference([30.0, np.nan, 30.0], [20.0, 20.0, 20.0], [0, 50, 120]))[
        [0, 1, 2]
    ].all()
