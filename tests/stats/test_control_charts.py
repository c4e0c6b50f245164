"""Charts against the NIST/SEMATECH e-Handbook and Montgomery's examples."""

import numpy as np
import pytest

from analytics.stats.control import (
    c_chart,
    individuals,
    laney_p_chart,
    moving_ranges,
    overdispersion,
    p_chart,
    u_chart,
)
from analytics.stats.shewhart import constants


def numbers_signalled(chart):
    """Sample numbers counted from 1, as the handbooks do."""
    return (np.flatnonzero(chart.beyond) + 1).tolist()


def test_individuals_chart_of_flow_rates(reference):
    # e-Handbook 6.3.2.2, from memory, reproduced. Printed with d2 = 1.128; unrounded d2 moves
    # the limits by 0.0017.
    chart = individuals(reference("nist_imr_flow.csv")["x"])
    assert chart.centre[0] == pytest.approx(50.81)
    assert chart.high[0] == pytest.approx(55.8041, abs=0.005)
    assert chart.low[0] == pytest.approx(45.8159, abs=0.005)
    assert numbers_signalled(chart) == []


def test_moving_range_chart_of_flow_rates(reference):
    # e-Handbook 6.3.2.2: mean range 16.9 / 9, upper limit 3.267 x 1.8778.
    table = reference("nist_imr_flow.csv")
    chart = moving_ranges(table["x"])
    np.testing.assert_allclose(chart.values, table["moving_range"], atol=1e-9)
    assert chart.centre[0] == pytest.approx(1.8778, abs=0.00005)
    assert chart.high[0] == pytest.approx(6.1347, abs=0.005)
    assert chart.low[0] == 0
    assert numbers_signalled(chart) == []


def test_c_chart_of_wafers_and_a_point_on_the_limit(reference):
    # e-Handbook 6.3.3.1, from memory, reproduced. Wafer 3 with 28 lies on the limit: no signal.
    chart = c_chart(reference("nist_c_wafers.csv")["defects"])
    assert chart.centre[0] == 16
    assert (chart.low[0], chart.high[0]) == (4, 28)
    assert chart.values[2] == chart.high[2]
    assert numbers_signalled(chart) == [24]


def test_p_chart_of_wafers(reference):
    # e-Handbook 6.3.3.2 and Montgomery: mean and setting seen, limits from memory, reproduced.
    table = reference("nist_p_wafers.csv")
    chart = p_chart(table["defectives"], table["n"])
    assert chart.centre[0] == pytest.approx(0.2313, abs=0.00005)
    assert chart.high[0] == pytest.approx(0.4102, abs=0.00005)
    assert chart.low[0] == pytest.approx(0.0524, abs=0.00005)
    assert numbers_signalled(chart) == [15, 23]


def test_p_chart_with_the_explained_samples_left_out_of_the_base(reference):
    # Same source: without samples 15 and 23 the limits tighten and sample 21 signals too.
    table = reference("nist_p_wafers.csv")
    usual = ~table["sample"].isin([15, 23]).to_numpy()
    chart = p_chart(table["defectives"], table["n"], base=usual)
    assert chart.centre[0] == pytest.approx(0.2150, abs=0.00005)
    assert chart.high[0] == pytest.approx(0.3893, abs=0.00005)
    assert chart.low[0] == pytest.approx(0.0407, abs=0.00005)
    assert numbers_signalled(chart) == [15, 21, 23]


@pytest.mark.parametrize(("jobs", "usual", "on_limit", "past"), [(72, 48, 60, 61), (100, 20, 8, 7)])
def test_point_on_a_limit_does_not_signal_for_want_of_a_last_digit(jobs, usual, on_limit, past):
    # 2/3 + 3 sqrt(2/9 / 72) is 60/72 and 0.2 - 3 sqrt(0.16 / 100) is 0.08, in floating point not
    # quite.
    chart = p_chart([usual, usual, on_limit, past], [jobs] * 4, base=slice(0, 2))
    assert abs(chart.z[2]) == pytest.approx(3.0)
    assert numbers_signalled(chart) == [4]


def test_share_has_no_limit_above_1_or_below_0():
    chart = p_chart([9, 1, 9], [10, 10, 10])
    assert (chart.low[0], chart.high[0]) == (pytest.approx(0.1762, abs=0.0001), 1)
    assert p_chart([1, 0, 1], [10, 10, 10]).low[0] == 0
    laney = laney_p_chart([9, 1, 9], [10, 10, 10])
    assert (laney.low[0], laney.high[0]) == (0, 1)


def test_u_chart_of_montgomery():
    # Montgomery, 20 samples of 5 units: data seen, limits from memory, reproduced.
    found = [10, 12, 8, 14, 10, 16, 11, 7, 10, 15, 9, 5, 7, 11, 12, 6, 8, 10, 7, 5]
    chart = u_chart(found, np.full(20, 5))
    assert chart.centre[0] == pytest.approx(1.93)
    assert chart.high[0] == pytest.approx(3.79, abs=0.005)
    assert chart.low[0] == pytest.approx(0.07, abs=0.005)
    assert numbers_signalled(chart) == []


def test_laney_spread_comes_from_moving_ranges_not_from_standard_deviation():
    # Laney 2002, worked by hand: p 0.15, s 0.035707, z -+1.40028, every step 2.80056;
    # 2.80056 / 1.128 = 2.483. The standard deviation of z, 1.617, is a known mistake.
    chart = laney_p_chart([10, 20, 10, 20], [100, 100, 100, 100])
    assert chart.sigma[0] == pytest.approx(0.035707 * 2.483, rel=0.001)
    assert chart.high[0] == pytest.approx(0.15 + 3 * 0.035707 * 2.483, rel=0.001)
    assert chart.low[0] == 0


def test_laney_chart_is_the_p_chart_when_only_chance_varies():
    jobs = np.full(400, 60)
    events = np.random.default_rng(11).binomial(jobs, 0.2)
    ratio = laney_p_chart(events, jobs).sigma / p_chart(events, jobs).sigma
    assert ratio[0] == pytest.approx(1, abs=0.1)


def test_laney_chart_does_not_cry_wolf_when_months_drift():
    rng = np.random.default_rng(12)
    jobs = np.full(120, 2000)
    events = rng.binomial(jobs, rng.normal(0.2, 0.03, 120))
    assert p_chart(events, jobs).beyond.mean() > 0.2
    assert laney_p_chart(events, jobs).beyond.mean() < 0.02


def test_month_without_a_defect_is_a_chart_without_spread():
    chart = laney_p_chart([0, 0, 0], [10, 12, 9])
    assert chart.high.tolist() == [0, 0, 0]
    assert not chart.beyond.any()


def test_month_without_jobs_is_missing_and_never_signals():
    chart = p_chart([2, 0, 3], [20, 0, 25])
    assert np.isnan([chart.values[1], chart.high[1], chart.z[1]]).all()
    assert numbers_signalled(chart) == []


def test_new_points_are_judged_by_the_old_ones():
    readings = [50.0, 51.0, 49.0, 50.0, 51.0, 50.0, 70.0]
    chart = individuals(readings, base=slice(0, 6))
    assert chart.centre[-1] == pytest.approx(np.mean(readings[:6]))
    assert numbers_signalled(chart) == [7]
    assert chart.z[-1] > 3


def test_missing_reading_is_stepped_over():
    with_gap = individuals([50.0, np.nan, 51.0, 49.0])
    assert with_gap.sigma[0] == individuals([50.0, 51.0, 49.0]).sigma[0]


def test_one_reading_shows_no_spread():
    with pytest.raises(ValueError, match="at least two points"):
        individuals([50.0])


def test_overdispersion_of_binomial_counts():
    # Wetherill & Brown 1991; data seen, result computed.
    events = [12, 11, 18, 11, 10, 16, 9, 11, 14, 15, 11, 9, 10, 13, 12]
    events += [8, 12, 13, 10, 12, 13, 16, 12, 18, 16, 10, 16, 10, 12, 14]
    found = overdispersion(events, np.full(30, 50))
    assert found.ratio == pytest.approx(0.7645, abs=0.00005)
    assert found.chi2 == pytest.approx(22.169, abs=0.0005)
    assert found.p_value == pytest.approx(0.813, abs=0.0005)


def test_overdispersion_of_poisson_counts():
    # Wetherill & Brown 1991; data seen, result computed.
    counts = [11, 8, 13, 11, 13, 17, 25, 23, 11, 16, 9, 15, 10, 16, 12]
    counts += [8, 9, 15, 4, 12, 12, 12, 15, 17, 14, 17, 12, 12, 7, 16]
    found = overdispersion(counts)
    assert found.ratio == pytest.approx(1.4722, abs=0.00005)
    assert found.chi2 == pytest.approx(42.694, abs=0.0005)
    assert found.p_value == pytest.approx(0.0486, abs=0.00005)


def test_shewhart_constants_to_five_decimals(reference):
    # ISO 7870-2 / ASTM MNL 7 to 3 decimals; 5 decimals computed independently.
    table = reference("shewhart_constants.csv")
    names = ["d2", "d3", "c4", "a2", "a3", "d3_limit", "d4", "b3", "b4", "e2"]
    assert table["n"].tolist() == list(range(2, 26))
    for row in table.to_numpy():
        ours = [getattr(constants(int(row[0])), name) for name in names]
        np.testing.assert_allclose(ours, row[1:], atol=0.00001)


@pytest.mark.parametrize(
    ("size", "name", "printed"),
    [
        (2, "d2", 1.128),
        (5, "d2", 2.326),
        (2, "d3", 0.853),
        (5, "c4", 0.940),
        (5, "a2", 0.577),
        (5, "d4", 2.114),
    ],
)
def test_shewhart_constants_as_printed(size, name, printed):
    # ISO 7870-2 / ASTM MNL 7; from memory, reproduced by computation.
    assert getattr(constants(size), name) == pytest.approx(printed, abs=0.00051)


def test_printed_3_267_and_2_660_come_from_rounded_constants():
    # Exact are 3.2665 and 2.6587; the printed ones divide 0.8525 and 1 by d2 rounded to 1.128.
    assert constants(2).d4 == pytest.approx(3.2665, abs=0.00005)
    assert constants(2).e2 == pytest.approx(2.6587, abs=0.00005)
    assert round(3 / round(constants(2).d2, 3), 3) == 2.660
    assert round(1 + 3 * round(constants(2).d3, 4) / round(constants(2).d2, 3), 3) == 3.267
