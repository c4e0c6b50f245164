"""Is the share with the condition different from the share without it?

Two groups are given as events and jobs of `a`, then of `b`. Strata are an array (k, 2, 2):
rows with and without the condition, columns with and without the defect.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, exp, inf, nan, sqrt
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analytics.stats.proportions import Interval, normal_quantile, wilson


def newcombe(
    a_events: float, a_jobs: float, b_events: float, b_jobs: float, level: float = 0.95
) -> Interval:
    """Interval of share a minus share b; -1 to 1 when a group has no jobs.

    Source: hybrid score, method 10 of Newcombe 1998, Stat. Med. 17:873.
    """
    if a_jobs == 0 or b_jobs == 0:
        return Interval(-1.0, 1.0)
    a, b = a_events / a_jobs, b_events / b_jobs
    a_range, b_range = wilson(a_events, a_jobs, level), wilson(b_events, b_jobs, level)
    down = sqrt((a - a_range.low) ** 2 + (b_range.high - b) ** 2)
    up = sqrt((a_range.high - a) ** 2 + (b - b_range.low) ** 2)
    return Interval(a - b - down, a - b + up)


@dataclass(frozen=True)
class FisherTest:
    """Exact comparison of two shares, given all four totals.

    `p_value` is two-sided, `p_more` for a above b. `odds_ratio` is the conditional maximum
    likelihood estimate, not ad/bc; `low` to `high` its exact interval. NaN odds ratio and 0 to
    infinity when no job or every job had the event.
    """

    p_value: float
    p_more: float
    odds_ratio: float
    low: float
    high: float


def fisher(
    a_events: int, a_jobs: int, b_events: int, b_jobs: int, level: float = 0.95
) -> FisherTest:
    """Fisher's exact test of two shares with the conditional odds ratio and its interval."""
    from scipy.stats import fisher_exact
    from scipy.stats.contingency import odds_ratio

    table = [[a_events, a_jobs - a_events], [b_events, b_jobs - b_events]]
    ratio = odds_ratio(table, kind="conditional")
    low, high = ratio.confidence_interval(level)
    return FisherTest(
        p_value=float(fisher_exact(table).pvalue),
        p_more=float(fisher_exact(table, alternative="greater").pvalue),
        odds_ratio=float(ratio.statistic),
        low=float(low),
        high=float(high),
    )


@dataclass(frozen=True)
class PooledOdds:
    """Common odds ratio over strata with its interval and the test that it is 1 (1 df)."""

    odds_ratio: float
    low: float
    high: float
    chi2: float
    p_value: float


def mantel_haenszel(strata: ArrayLike, level: float = 0.95, continuity: bool = False) -> PooledOdds:
    """Odds ratio of condition and defect with the strata (mould, season ...) held apart.

    Parameters
    ----------
    strata : array (k, 2, 2)
        See the head of this file. Strata that cannot say anything (a row or column of zeros)
        count for nothing; when none can, the odds ratio and the test are NaN.
    continuity : bool
        Take 1/2 off the difference before squaring it for `chi2`.

    Notes
    -----
    Mantel & Haenszel 1959; interval by the variance of Robins, Breslow & Greenland 1986.
    """
    tables = _telling(strata)
    if not tables.size:
        return PooledOdds(nan, 0.0, inf, nan, nan)
    chi2, p_value = _common_test(tables, continuity)
    (a, b), (c, d) = np.moveaxis(tables, 0, -1)
    n = a + b + c + d
    r, s = a * d / n, b * c / n
    if s.sum() == 0 or r.sum() == 0:
        return PooledOdds(inf if r.sum() else 0.0, 0.0, inf, chi2, p_value)
    p, q = (a + d) / n, (b + c) / n
    variance = (
        (p * r).sum() / r.sum() ** 2
        + (p * s + q * r).sum() / (r.sum() * s.sum())
        + (q * s).sum() / s.sum() ** 2
    ) / 2
    ratio = float(r.sum() / s.sum())
    stretch = exp(normal_quantile(level) * sqrt(variance))
    return PooledOdds(ratio, ratio / stretch, ratio * stretch, chi2, p_value)


def breslow_day(strata: ArrayLike) -> tuple[float, float]:
    """(chi2, P) of the test that all strata share one odds ratio; NaN when that cannot be told.

    Source: Breslow & Day 1980, without Tarone's correction.
    """
    from scipy.special import chdtrc

    tables = _telling(strata)
    common = mantel_haenszel(tables).odds_ratio if tables.size else nan
    if len(tables) < 2 or not 0 < common < inf:
        return nan, nan
    row, column, n = tables[:, 0].sum(1), tables[:, :, 0].sum(1), tables.sum((1, 2))
    # Positive root of (1 - psi) A^2 + B A - psi row column = 0, safe where psi is 1.
    middle = n - row - column + common * (row + column)
    product = common * row * column
    a = 2 * product / (middle + np.sqrt(middle**2 + 4 * (1 - common) * product))
    inverse_variance = 1 / a + 1 / (row - a) + 1 / (column - a) + 1 / (n - row - column + a)
    chi2 = float(((tables[:, 0, 0] - a) ** 2 * inverse_variance).sum())
    return chi2, float(chdtrc(len(tables) - 1, chi2))


def attributable_share(ratio: float) -> float:
    """Share of the defects *with* the condition that it explains, (RR - 1) / RR; 0 to 1.

    A heuristic for "did it cause this one": right only without confounding and when the
    condition never protects. An odds ratio will do for the risk ratio when defects are rare.
    """
    # In this order max keeps NaN: an unknown ratio explains an unknown share, not none.
    return 1.0 - 1.0 / max(ratio, 1.0)


def attributable_share_of_all(ratio: float, cases_with_condition: float) -> float:
    """Share of *all* defects the condition explains, from its share among the defects [0..1]."""
    return cases_with_condition * attributable_share(ratio)


def levin_share(ratio: float, jobs_with_condition: float) -> float:
    """Share of *all* defects the condition explains, from its share among all jobs [0..1].

    Source: Levin 1953; takes a risk ratio of at least 1.
    """
    return attributable_share(1.0 + jobs_with_condition * (max(ratio, 1.0) - 1.0))


def jobs_each(
    share_a: float, share_b: float, alpha: float = 0.05, power: float = 0.8, corrected: bool = True
) -> int:
    """Jobs needed in *each* of two groups to see the difference between two shares.

    `alpha` is two-sided; rounded up. `corrected` counts for the exact test (Casagrande, Pike &
    Smith 1978; Fleiss, Tytun & Ury 1980), which needs 5 to 25 % more at shop-sized numbers.
    """
    gap = abs(share_a - share_b)
    if gap == 0:
        raise ValueError("the two shares are the same: no number of jobs tells them apart")
    mean = (share_a + share_b) / 2
    z_alpha, z_power = NormalDist().inv_cdf(1 - alpha / 2), NormalDist().inv_cdf(power)
    apart = share_a * (1 - share_a) + share_b * (1 - share_b)
    jobs = (z_alpha * sqrt(2 * mean * (1 - mean)) + z_power * sqrt(apart)) ** 2 / gap**2
    if corrected:
        jobs *= (1 + sqrt(1 + 4 / (jobs * gap))) ** 2 / 4
    return ceil(jobs)


def _telling(strata: ArrayLike) -> NDArray[np.float64]:
    tables = np.asarray(strata, dtype=float).reshape(-1, 2, 2)
    return tables[(tables.sum(1) > 0).all(1) & (tables.sum(2) > 0).all(1)]


def _common_test(tables: NDArray[np.float64], continuity: bool) -> tuple[float, float]:
    from scipy.special import chdtrc

    rows, columns, n = tables.sum(2), tables.sum(1), tables.sum((1, 2))
    gap = abs((tables[:, 0, 0] - rows[:, 0] * columns[:, 0] / n).sum())
    variance = (rows.prod(1) * columns.prod(1) / (n**2 * (n - 1))).sum()
    chi2 = float(max(0.0, gap - (0.5 if continuity else 0.0)) ** 2 / variance)
    return chi2, float(chdtrc(1, chi2))
