"""EWMA and CUSUM against the e-Handbook and published run lengths."""

import numpy as np
import pytest
from scipy.stats import norm

from analytics.stats.drift import cusum, ewma


def first_signals(flags):
    """Run lengths of simulated rows; every row must have signalled."""
    assert flags.any(axis=-1).all()
    return flags.argmax(axis=-1) + 1


def within_3_standard_errors(lengths, published):
    standard_error = lengths.std() / np.sqrt(lengths.size)
    return abs(lengths.mean() - published) < 3 * standard_error


def test_ewma_of_the_handbook(reference):
    # e-Handbook 6.3.2.4, weight 0.3, target 50, s 2.0539; from memory, reproduced.
    table = reference("nist_ewma.csv")
    chart = ewma(table["x"], target=50, sigma=2.0539, weight=0.3, width=3)
    np.testing.assert_allclose(chart.values, table["ewma_expected"], atol=0.005)
    assert chart.high[0] == pytest.approx(52.5884, abs=0.00005)
    assert chart.low[0] == pytest.approx(47.4116, abs=0.00006)
    assert chart.values[-1] == pytest.approx(51.99, abs=0.005)
    assert not chart.beyond.any()


def test_cusum_of_the_handbook(reference):
    # e-Handbook 6.3.2.3, target 325, slack 0.3175, limit 4.1959: data seen; columns computed,
    # because the printed ones are rounded as they go.
    table = reference("nist_cusum.csv")
    sums = cusum(table["xbar"], target=325, slack=0.3175, limit=4.1959)
    np.testing.assert_allclose(sums.high, table["S_hi_expected"], atol=0.00005)
    np.testing.assert_allclose(sums.low, table["S_lo_expected"], atol=0.00005)
    assert np.flatnonzero(sums.above)[0] + 1 == 14
    assert not sums.below.any()


def test_sum_on_the_limit_is_no_signal():
    sums = cusum([1.1, 1.1, 1.1, 1.1], target=0, slack=0.1, limit=3)
    np.testing.assert_allclose(sums.high, [1, 2, 3, 4])
    assert sums.above.tolist() == [False, False, False, True]


def markov_run_length(weight, limit, shift, cells=151):
    """Mean run length of an EWMA with fixed limits by Brook & Evans' Markov chain."""
    width = 2 * limit / cells
    middle = -limit + width * (np.arange(cells) + 0.5)
    edges = -limit + width * np.arange(cells + 1)
    reach = norm.cdf((edges - (1 - weight) * middle[:, None]) / weight - shift)
    lengths = np.linalg.solve(np.eye(cells) - np.diff(reach, axis=1), np.ones(cells))
    return lengths[cells // 2]


@pytest.mark.parametrize(
    "weight_width", ["0.40_L3.054", "0.25_L2.998", "0.20_L2.962", "0.10_L2.814", "0.05_L2.615"]
)
def test_ewma_limits_give_the_published_run_lengths(reference, weight_width):
    # Lucas & Saccucci 1990, Technometrics 32:1; from memory, reproduced by two engines.
    table = reference("arl_ewma_cusum.csv").query("scheme == 'ewma_' + @weight_width")
    weight, width = (float(part) for part in weight_width.split("_L"))
    limit = ewma([0.0], target=0, sigma=1, weight=weight, width=width).high[0]
    ours = np.array([markov_run_length(weight, limit, s) for s in table["shift_sigma"]])
    np.testing.assert_allclose(ours, table["computed"], rtol=0.004)
    # Printed to three figures; one printed cell is 0.1 off.
    np.testing.assert_allclose(ours, table["published_from_memory"], rtol=0.01, atol=0.06)


@pytest.mark.parametrize(("shift", "published"), [(0.5, 41.76), (1.0, 10.54), (2.0, 3.74)])
def test_simulated_ewma_signals_when_lucas_and_saccucci_say(shift, published):
    # Weight 0.2, width 2.962 (the defaults); published 41.8, 10.5, 3.7, exact as here.
    readings = np.random.default_rng(20).normal(shift, 1, (4000, 450))
    lengths = first_signals(ewma(readings, target=0, sigma=1).beyond)
    assert within_3_standard_errors(lengths, published)


@pytest.mark.parametrize(
    ("limit", "shift", "length", "published"),
    [(5, 0.5, 450, 38.0), (5, 1.0, 150, 10.4), (4, 1.0, 150, 8.38), (4, 0.0, 1800, 168)],
)
def test_simulated_cusum_signals_when_montgomerys_table_says(limit, shift, length, published):
    # Montgomery's CUSUM table, slack 0.5; from memory, reproduced by two engines.
    readings = np.random.default_rng(21).normal(shift, 1, (2000, length))
    sums = cusum(readings, target=0, slack=0.5, limit=limit)
    assert within_3_standard_errors(first_signals(sums.above | sums.below), published)


def test_missing_reading_leaves_the_sums_and_the_mean_where_they_were():
    assert ewma([4.0, np.nan, 4.0], target=0, sigma=1, weight=0.5).values.tolist() == [2, 2, 3]
    assert cusum([2.0, np.nan, 2.0], target=0, slack=1, limit=5).high.tolist() == [1, 1, 2]
