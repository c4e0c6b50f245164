"""Intervals and shrinkage of shares."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.proportion import proportion_confint

from analytics.stats.proportions import (
    beta_interval,
    clopper_pearson,
    jeffreys,
    prior_from_groups,
    shrunk_share,
    wilson,
)

METHODS = {
    "wilson": wilson,
    "clopper_pearson": clopper_pearson,
    "jeffreys_equal_tail": jeffreys,
}


@pytest.mark.parametrize("method", sorted(METHODS))
def test_intervals_of_newcombes_table(reference, method):
    # Newcombe 1998, Stat. Med. 17:857, table I; from memory, reproduced by computation
    # (Jeffreys computed only).
    table = reference("binomial_intervals_single.csv").query("method == @method")
    assert len(table) == 4
    for row in table.itertuples():
        low, high = METHODS[method](row.x, row.n)
        assert low == pytest.approx(row.lower, abs=0.00006)
        assert high == pytest.approx(row.upper, abs=0.00006)


@pytest.mark.parametrize(("ours", "theirs"), [(wilson, "wilson"), (clopper_pearson, "beta")])
@pytest.mark.parametrize("level", [0.8, 0.95])
@pytest.mark.parametrize(("events", "jobs"), [(0, 7), (3, 17), (7, 7), (40, 90)])
def test_intervals_agree_with_statsmodels(ours, theirs, level, events, jobs):
    expected = proportion_confint(events, jobs, alpha=1 - level, method=theirs)
    assert ours(events, jobs, level) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(("share", "jobs"), [(0.05, 59), (0.01, 299)])
def test_rule_of_three(share, jobs):
    # Hanley & Lippman-Hand 1983; computed: 59 jobs without a defect for "below 5 %", one-sided.
    assert clopper_pearson(0, jobs, level=0.90).high < share
    assert clopper_pearson(0, jobs - 1, level=0.90).high > share


@given(st.integers(0, 60), st.integers(0, 60))
def test_interval_holds_the_share_and_stays_between_0_and_1(events, good):
    jobs = events + good
    for interval in (wilson, clopper_pearson, jeffreys):
        low, high = interval(events, jobs)
        assert 0 <= low < high <= 1
        if jobs:
            assert low <= events / jobs <= high


@pytest.mark.parametrize("jobs", range(1, 40))
def test_none_and_all_have_ends_at_exactly_0_and_1(jobs):
    assert wilson(0, jobs).low == 0
    assert wilson(jobs, jobs).high == 1


def test_no_jobs_tell_nothing():
    assert wilson(0, 0) == (0, 1)
    assert clopper_pearson(0, 0) == (0, 1)


@pytest.mark.parametrize(("events", "jobs"), [(4, 3), (-1, 3)])
def test_impossible_counts_are_refused(events, jobs):
    with pytest.raises(ValueError, match="cannot be"):
        wilson(events, jobs)


def test_few_jobs_are_pulled_harder_than_many():
    small, large = shrunk_share([2, 40], [2, 40], prior_share=0.1, prior_jobs=10)
    assert small == pytest.approx((2 + 1) / 12)
    assert large == pytest.approx((40 + 1) / 50)


def test_no_jobs_leave_the_prior():
    assert shrunk_share(0, 0, prior_share=0.12, prior_jobs=8) == pytest.approx(0.12)


def test_beta_interval_is_the_posterior_of_scipy():
    expected = stats.beta(3 + 0.1 * 10, 14 + 0.9 * 10).ppf([0.1, 0.9])
    assert beta_interval(3, 17, prior_share=0.1, prior_jobs=10, level=0.8) == pytest.approx(
        tuple(expected)
    )


def test_prior_learned_from_groups_finds_how_alike_they_are():
    # Simulated: 200 groups of 40 jobs around 20 %, once Beta(2, 8), once all the same.
    rng = np.random.default_rng(5)
    jobs = np.full(200, 40)
    unlike = rng.binomial(jobs, rng.beta(2, 8, 200))
    alike = rng.binomial(jobs, 0.2)
    share, prior_jobs = prior_from_groups(unlike, jobs)
    assert share == pytest.approx(0.2, abs=0.03)
    assert 7 < prior_jobs < 14
    assert prior_from_groups(alike, jobs)[1] > 200


def test_prior_cannot_be_learned_when_nothing_ever_happened():
    with pytest.raises(ValueError, match="nothing to learn"):
        prior_from_groups([0, 0], [10, 5])
