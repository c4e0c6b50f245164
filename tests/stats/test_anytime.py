"""A trial read after every block: few false decisions, early ones where the difference is big."""

from __future__ import annotations

from math import inf, isnan

import numpy as np
import pytest
from scipy.stats import nchypergeom_fisher

from analytics.stats.anytime import (
    LOG_ODDS,
    SETTLED,
    evidence,
    share_after,
    stakes,
    trial_length,
)
from analytics.stats.differences import jobs_each


def blocks_of(a, b, each):
    """Blocks of `each` parts a way, from arrays of faults."""
    return [(each, int(x), each, int(y)) for x, y in zip(a, b, strict=True)]


def a_trial(rng, share_a, share_b, blocks, each=2):
    return blocks_of(rng.binomial(each, share_a, blocks), rng.binomial(each, share_b, blocks), each)


@pytest.mark.parametrize("block", [(2, 1, 2, 0), (2, 2, 2, 1), (1, 1, 1, 0), (3, 1, 2, 2)])
def test_a_block_weighs_as_fishers_noncentral_hypergeometric_says(block):
    # scipy.stats.nchypergeom_fisher, another implementation of the same distribution
    a, a_faults, b, b_faults = block
    odds = np.exp(LOG_ODDS)
    total, drawn = a + b, a_faults + b_faults
    there = nchypergeom_fisher.pmf(a_faults, total, drawn, a, odds)
    not_there = nchypergeom_fisher.pmf(a_faults, total, drawn, a, 1.0)
    from analytics.stats.anytime import _curve

    assert _curve(*block) == pytest.approx(np.log(there / not_there), abs=1e-9)


def test_blocks_without_a_fault_or_all_faulty_tell_nothing():
    found = evidence([(2, 0, 2, 0), (2, 2, 2, 2), (2, 1, 0, 0)])
    assert (found.stake, found.telling) == (pytest.approx(1.0), 0)
    assert isnan(found.best)
    assert found.log_odds == (-inf, inf)


def test_the_order_of_blocks_does_not_matter():
    blocks = a_trial(np.random.default_rng(1), 0.3, 0.1, 40)
    assert evidence(blocks).stake == pytest.approx(evidence(blocks[::-1]).stake)
    assert stakes(blocks)[-1] == pytest.approx(evidence(blocks).stake)


def test_faults_that_cannot_be_are_refused():
    with pytest.raises(ValueError, match="3 of 2"):
        evidence([(2, 3, 2, 0)])


def test_the_stake_is_fair_over_every_lottery_of_a_block():
    # 4 parts, 1 faulty, 2 given each way: the fault is in A or B equally often
    gain = [
        evidence([(2, 1, 2, 0), (2, 1, 2, 0)]).stake,
        evidence([(2, 1, 2, 0), (2, 0, 2, 1)]).stake,
    ]
    assert (gain[0] + gain[1]) / 2 == pytest.approx(1.0)


@pytest.mark.parametrize("share", [0.05, 0.2, 0.5])
def test_looking_after_every_block_decides_falsely_in_at_most_1_trial_in_20(share):
    rng = np.random.default_rng(7)
    ever = sum((stakes(a_trial(rng, share, share, 150)) >= SETTLED).any() for _ in range(400))
    assert ever / 400 <= 0.05


def test_false_decisions_stay_rare_while_the_rate_swings_with_mould_and_season():
    rng = np.random.default_rng(8)
    season = 0.25 + 0.24 * np.sin(np.arange(150) / 9)
    ever = sum((stakes(a_trial(rng, season, season, 150)) >= SETTLED).any() for _ in range(400))
    assert ever / 400 <= 0.05


def test_faults_fixed_beforehand_and_only_the_ways_drawn_is_enough():
    """The guarantee rests on the lottery alone: here nothing else is random."""
    rng = np.random.default_rng(9)
    faulty = np.zeros((120, 4), dtype=int)
    faulty[::2, 0] = 1
    faulty[::7, 1:3] = 1
    ever = 0
    for _ in range(400):
        to_a = np.array([rng.permutation(4) < 2 for _ in range(120)])
        blocks = blocks_of((faulty * to_a).sum(1), (faulty * ~to_a).sum(1), 2)
        ever += (stakes(blocks) >= SETTLED).any()
    assert ever / 400 <= 0.05


def test_a_big_difference_is_settled_early_and_the_right_way_round():
    rng = np.random.default_rng(10)
    ends, right = [], 0
    for _ in range(100):
        blocks = a_trial(rng, 0.05, 0.40, 100)
        reached = np.flatnonzero(stakes(blocks) >= SETTLED)
        ends.append(4 * (reached[0] + 1) if reached.size else 400)
        right += evidence(blocks).best < 0
    assert np.median(ends) <= 2 * jobs_each(0.05, 0.40)
    assert right == 100


def test_the_interval_holds_the_truth_at_every_look():
    rng = np.random.default_rng(11)
    share_a, share_b = 0.10, 0.25
    truth = np.log(share_a / (1 - share_a) * (1 - share_b) / share_b)
    missed = 0
    for _ in range(150):
        blocks = a_trial(rng, share_a, share_b, 80)
        looks = [evidence(blocks[:n]).log_odds for n in range(4, 81, 4)]
        missed += any(not low <= truth <= high for low, high in looks)
    assert missed / 150 <= 0.05


def test_share_after_turns_odds_back_into_a_share():
    assert share_after(0.2, np.log(2)) == pytest.approx(1 / 3)
    assert (share_after(0.2, inf), share_after(0.2, -inf)) == (1.0, 0.0)


def test_a_trial_of_a_smaller_difference_is_longer():
    big = trial_length(0.30, 0.05, seed=1, trials=100, longest=800)
    small = trial_length(0.30, 0.15, seed=1, trials=100, longest=800)
    assert big.usual_parts < small.usual_parts <= small.most_parts
    assert big == trial_length(0.30, 0.05, seed=1, trials=100, longest=800)
    assert big.settled_share > 0.95
