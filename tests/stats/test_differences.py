"""Comparing two shares, alone and over strata."""

from math import inf, isnan, nan

import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.contingency_tables import StratifiedTable
from statsmodels.stats.proportion import confint_proportions_2indep

from analytics.stats.differences import (
    attributable_share,
    attributable_share_of_all,
    breslow_day,
    fisher,
    jobs_each,
    levin_share,
    mantel_haenszel,
    newcombe,
)

# Bickel, Hammel & O'Connell 1975, Science 187:398: men admitted, rejected; women, by department.
# Data seen; results from memory, reproduced by computation.
BERKELEY = [
    [[512, 313], [89, 19]],
    [[353, 207], [17, 8]],
    [[120, 205], [202, 391]],
    [[138, 279], [131, 244]],
    [[53, 138], [94, 299]],
    [[22, 351], [24, 317]],
]


def test_hybrid_score_intervals_of_newcombes_table(reference):
    # Newcombe 1998, Stat. Med. 17:873, table II, method 10; from memory, reproduced.
    table = reference("binomial_intervals_difference.csv").query("method == 'newcombe_hybrid'")
    assert len(table) == 8
    for row in table.itertuples():
        low, high = newcombe(row.x1, row.n1, row.x2, row.n2)
        assert low == pytest.approx(row.lower, abs=0.00006)
        assert high == pytest.approx(row.upper, abs=0.00006)


@pytest.mark.parametrize("counts", [(3, 12, 1, 20), (0, 9, 4, 9), (30, 41, 12, 55)])
def test_hybrid_score_agrees_with_statsmodels(counts):
    assert newcombe(*counts) == pytest.approx(confint_proportions_2indep(*counts, method="newcomb"))


def test_difference_with_an_empty_group_tells_nothing():
    assert newcombe(3, 5, 0, 0) == (-1, 1)


def test_tea_tasting():
    # Fisher 1935: P values seen (R help); odds ratio from memory, reproduced. The upper end
    # 621.93 in R's help output is its root finder's tolerance; 626.2435 is right.
    tea = fisher(3, 4, 1, 4)
    assert tea.p_more == pytest.approx(17 / 70)
    assert tea.p_value == pytest.approx(0.485714, abs=1e-6)
    assert tea.odds_ratio == pytest.approx(6.408320, abs=1e-5)
    assert tea.low == pytest.approx(0.211736, abs=1e-6)
    assert tea.high == pytest.approx(626.2435, abs=1e-3)


def test_cold_launches():
    # Dalal, Fowlkes & Hoadley 1989, Challenger data; below 65 F 4 of 4, otherwise 3 of 19:
    # computed P .00395.
    cold = fisher(4, 4, 3, 19)
    assert cold.p_value == pytest.approx(0.00395, abs=0.000005)
    assert cold.odds_ratio == inf
    assert cold.low > 1


def test_defect_that_never_happened_compares_to_nothing():
    never = fisher(0, 4, 0, 19)
    assert never.p_value == 1
    assert isnan(never.odds_ratio)
    assert (never.low, never.high) == (0, inf)


def test_berkeley_admissions_turn_round_when_departments_are_held_apart():
    crude = np.sum(BERKELEY, axis=0)
    assert crude[0, 0] * crude[1, 1] / (crude[0, 1] * crude[1, 0]) == pytest.approx(1.841, abs=5e-4)
    pooled = mantel_haenszel(BERKELEY)
    assert pooled.odds_ratio == pytest.approx(0.9047, abs=0.00005)
    assert (pooled.low, pooled.high) == pytest.approx((0.7719, 1.0603), abs=0.00005)
    assert pooled.chi2 == pytest.approx(1.5246, abs=0.00005)
    assert pooled.p_value == pytest.approx(0.2169, abs=0.00005)


def test_berkeley_admissions_with_continuity_correction():
    corrected = mantel_haenszel(BERKELEY, continuity=True)
    assert corrected.chi2 == pytest.approx(1.4269, abs=0.00005)
    assert corrected.p_value == pytest.approx(0.2323, abs=0.00005)


def test_berkeley_departments_do_not_share_one_odds_ratio():
    chi2, p_value = breslow_day(BERKELEY)
    assert chi2 == pytest.approx(18.83, abs=0.005)
    assert p_value == pytest.approx(0.0021, abs=0.00005)
    without_a = breslow_day(BERKELEY[1:])
    assert without_a[1] > 0.5


def test_strata_agree_with_statsmodels():
    strata = [[[5, 7], [2, 19]], [[3, 3], [4, 11]], [[1, 9], [2, 30]]]
    theirs = StratifiedTable([np.array(table).T for table in strata])
    ours = mantel_haenszel(strata)
    assert ours.odds_ratio == pytest.approx(theirs.oddsratio_pooled)
    assert (ours.low, ours.high) == pytest.approx(theirs.oddsratio_pooled_confint())
    assert ours.chi2 == pytest.approx(theirs.test_null_odds().statistic)
    assert breslow_day(strata)[0] == pytest.approx(theirs.test_equal_odds().statistic)


def test_stratum_without_both_conditions_counts_for_nothing():
    silent = [[[4, 6], [0, 0]], [[0, 5], [0, 8]]]
    strata = [[[5, 7], [2, 19]]]
    assert mantel_haenszel(strata + silent) == mantel_haenszel(strata)
    assert isnan(mantel_haenszel(silent).odds_ratio)
    assert isnan(mantel_haenszel([]).p_value)


def test_defect_only_with_the_condition_is_an_infinite_odds_ratio():
    pooled = mantel_haenszel([[[4, 6], [0, 9]], [[2, 8], [0, 7]]])
    assert pooled.odds_ratio == inf
    assert pooled.p_value < 0.05
    assert all(isnan(value) for value in breslow_day([[[4, 6], [0, 9]], [[2, 8], [0, 7]]]))


def test_smoking_and_lung_cancer_shares():
    # Doll & Hill 1950, men: counts from memory; fractions computed.
    ratio = 647 * 27 / (622 * 2)
    assert ratio == pytest.approx(14.0426, abs=0.00005)
    assert attributable_share(ratio) == pytest.approx(0.9288, abs=0.00005)
    assert attributable_share_of_all(ratio, 647 / 649) == pytest.approx(0.9259, abs=0.0001)


def test_levins_share():
    # Levin 1953: half exposed, risk ratio 10 (computed).
    assert levin_share(10, 0.5) == pytest.approx(0.8182, abs=0.00005)


def test_shares_of_a_protective_a_certain_and_an_unknown_condition():
    assert attributable_share(0.4) == 0
    assert levin_share(0.4, 0.5) == 0
    assert attributable_share(inf) == 1
    assert levin_share(inf, 0.5) == 1
    assert isnan(attributable_share(nan))


def test_sample_sizes_of_fleiss_table(reference):
    # Fleiss, table A.3; Casagrande, Pike & Smith 1978; numbers from memory, reproduced.
    table = reference("sample_size_two_proportions.csv")
    assert len(table) == 32
    for row in table.itertuples():
        plain = jobs_each(row.p1, row.p2, row.alpha_two_sided, row.power, corrected=False)
        corrected = jobs_each(row.p1, row.p2, row.alpha_two_sided, row.power)
        assert (plain, corrected) == (
            row.n_per_group_uncorrected,
            row.n_per_group_fleiss_corrected,
        )


def test_correction_costs_5_to_25_percent_at_shop_sized_numbers(reference):
    table = reference("sample_size_two_proportions.csv")
    shop = table[table["n_per_group_uncorrected"].between(20, 400)]
    ratio = shop["n_per_group_fleiss_corrected"] / shop["n_per_group_uncorrected"]
    assert len(shop) > 20
    assert ratio.between(1.05, 1.25).all()


def exact_p(a, b, jobs):
    return stats.fisher_exact([[a, jobs - a], [b, jobs - b]]).pvalue


def exact_power(share_a, share_b, jobs):
    """Chance that Fisher's test sees the difference with so many jobs in each group."""
    counts = range(jobs + 1)
    seen = np.array([[exact_p(a, b, jobs) <= 0.05 for b in counts] for a in counts])
    a, b = (stats.binom.pmf(counts, jobs, share) for share in (share_a, share_b))
    return a @ seen @ b


def test_sample_size_is_for_each_group_not_for_both_together():
    # "25 per group" misread as 25 in all leaves less than an even chance.
    assert jobs_each(0.1, 0.5) == 25
    assert exact_power(0.1, 0.5, 25) == pytest.approx(0.8, abs=0.06)
    assert exact_power(0.1, 0.5, 12) < 0.5


def test_no_number_of_jobs_tells_equal_shares_apart():
    with pytest.raises(ValueError, match="the same"):
        jobs_each(0.2, 0.2)
