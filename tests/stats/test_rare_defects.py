"""Charts of what lies between two rare defects."""

import numpy as np
import pytest
from scipy import stats

from analytics.stats.rare import g_chart, geometric_limit, plain_time, t_chart


def test_t_chart_of_valve_failures(reference):
    # Nelson 1994 / Montgomery: data seen, powers from memory, limits computed (with d2 1.128).
    table = reference("valve_failures_tchart.csv")
    chart = t_chart(table["hours"])
    np.testing.assert_allclose(chart.values, table["y_pow_0.2777"], atol=0.000006)
    assert chart.centre[0] == pytest.approx(5.3866, abs=0.00005)
    assert chart.high[0] == pytest.approx(11.661, abs=0.003)
    assert chart.low[0] == pytest.approx(-0.888, abs=0.003)
    assert not chart.beyond.any()


def test_t_chart_limits_in_plain_hours(reference):
    chart = t_chart(reference("valve_failures_tchart.csv")["hours"])
    assert plain_time(chart.high[0]) == pytest.approx(6900, abs=60)
    assert plain_time(chart.low[0]) == 0
    np.testing.assert_allclose(plain_time(chart.values[:3]), [286, 948, 536])


def test_power_makes_exponential_times_nearly_normal():
    # Nelson 1994: an exponential to the power 1/3.6 is Weibull of shape 3.6 (computed moments).
    mean, variance, skew, kurtosis = stats.weibull_min(3.6).stats("mvsk")
    times = np.random.default_rng(8).exponential(1.0, 200_000)
    powered = t_chart(times).values
    assert powered.mean() == pytest.approx(float(mean), abs=0.002)
    assert powered.std() == pytest.approx(float(variance) ** 0.5, abs=0.002)
    assert abs(stats.skew(powered)) < 0.02
    assert abs(float(skew)) < 0.001
    assert float(kurtosis) + 3 == pytest.approx(2.717, abs=0.001)


@pytest.mark.parametrize(("mean", "high"), [(9, 37.46), (24, 97.48), (49, 197.49)])
def test_g_chart_counts_good_parts_from_zero(mean, high):
    # Kaminsky et al. 1992, Benneyan 2001; computed. The spread of a count that
    # includes the bad part, sqrt(m (m - 1)), would give 34.46 for a mean of 9.
    chart = g_chart([mean - 2, mean, mean + 2])
    assert chart.high[0] == pytest.approx(high, abs=0.005)
    assert chart.low[0] == 0


def test_g_chart_spread_is_that_of_a_count_from_zero():
    good = np.random.default_rng(4).geometric(0.1, 100_000) - 1
    assert g_chart(good).sigma[0] == pytest.approx(good.std(), rel=0.02)


@pytest.mark.parametrize(("mean", "limit"), [(9, 62), (24, 161), (49, 327)])
def test_probability_limits_of_good_runs(mean, limit):
    # Computed: the .99865 quantile of the geometric count from zero.
    assert geometric_limit(mean, 0.99865) == limit
    assert stats.geom(1 / (mean + 1), loc=-1).ppf(0.99865) == limit


def test_lower_probability_limit_of_a_good_process_is_above_zero():
    assert geometric_limit(2000, 0.00135) == stats.geom(1 / 2001, loc=-1).ppf(0.00135) == 2
    assert geometric_limit(9, 0.00135) == 0
    assert geometric_limit(0, 0.99865) == 0
