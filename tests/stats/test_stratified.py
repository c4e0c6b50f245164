"""The difference of two shares over one mix of conditions."""

from __future__ import annotations

import numpy as np
import pytest

from analytics.stats.stratified import (
    comparable,
    mantel_haenszel_weights,
    standardised_difference,
)

SIMPSON = [[[80, 20], [8, 2]], [[2, 8], [20, 80]]]
"""Two moulds with the same share for both ways, but way A mostly on the bad mould."""


def test_one_stratum_gives_newcombes_published_intervals(reference):
    # Newcombe 1998, Stat. Med. 17:873, table II, method 10
    table = reference("binomial_intervals_difference.csv")
    for row in table[table["method"] == "newcombe_hybrid"].itertuples():
        found = standardised_difference([[[row.x1, row.n1 - row.x1], [row.x2, row.n2 - row.x2]]])
        assert found.low == pytest.approx(row.lower, abs=6e-5)
        assert found.high == pytest.approx(row.upper, abs=6e-5)


def test_a_stratum_cut_in_two_alike_halves_changes_nothing_but_the_number_of_strata():
    whole = standardised_difference([[[12, 28], [4, 36]]])
    halves = standardised_difference([[[6, 14], [2, 18]], [[6, 14], [2, 18]]])
    assert (halves.low, halves.high) == pytest.approx((whole.low, whole.high))
    assert (halves.jobs_a, halves.jobs_b) == pytest.approx((40, 40))


def test_a_difference_that_is_only_the_mix_of_moulds_vanishes():
    crude_a, crude_b = 82 / 110, 28 / 110
    found = standardised_difference(SIMPSON)
    assert crude_a - crude_b == pytest.approx(0.49, abs=0.01)
    assert found.difference == pytest.approx(0.0, abs=1e-12)
    assert found.low < 0 < found.high


def test_weights_are_the_harmonic_ones_of_mantel_and_haenszel():
    strata = [[[3, 7], [2, 28]], [[1, 19], [4, 16]], [[5, 5], [0, 0]]]
    weights = np.array([10 * 30 / 40, 20 * 20 / 40, 0.0])
    assert mantel_haenszel_weights(strata) == pytest.approx(weights / weights.sum())
    by_hand = (7.5 * (3 / 10 - 2 / 30) + 10 * (1 / 20 - 4 / 20)) / 17.5
    assert standardised_difference(strata).difference == pytest.approx(by_hand)


def test_strata_with_one_way_only_say_nothing():
    strata = [[[3, 7], [2, 28]], [[5, 5], [0, 0]], [[0, 0], [9, 1]]]
    assert comparable(strata).tolist() == [True, False, False]
    assert standardised_difference(strata) == standardised_difference(strata[:1])


def test_nothing_to_compare_is_told_as_nothing():
    found = standardised_difference([[[5, 5], [0, 0]]])
    assert np.isnan(found.difference)
    assert (found.low, found.high, found.jobs_a) == (-1.0, 1.0, 0.0)


def test_other_weights_stand_both_ways_on_another_mix():
    strata = [[[5, 5], [0, 10]], [[0, 10], [0, 10]]]
    assert standardised_difference(strata, [1, 0]).difference == pytest.approx(0.5)
    assert standardised_difference(strata, [1, 1]).difference == pytest.approx(0.25)


@pytest.mark.parametrize(("share_a", "share_b"), [(0.10, 0.10), (0.25, 0.05)])
def test_interval_holds_the_truth_in_19_of_20_logs_with_many_small_strata(share_a, share_b):
    rng = np.random.default_rng(20)
    held = 0
    for _ in range(2000):
        jobs = rng.integers(1, 6, (30, 2))
        rates = np.clip(np.array([share_a, share_b]) * rng.uniform(0.5, 1.5, (30, 1)), 0, 1)
        faults = rng.binomial(jobs, rates)
        strata = np.stack([faults, jobs - faults], axis=2)
        weights = mantel_haenszel_weights(strata)
        truth = weights @ (rates[:, 0] - rates[:, 1])
        found = standardised_difference(strata)
        held += found.low <= truth <= found.high
    assert held / 2000 >= 0.94
