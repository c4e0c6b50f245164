"""The difference of two shares with mould, season and person held apart.

Strata are an array (k, 2, 2) as in `analytics.stats.differences`: rows way A and way B, columns
with and without the defect.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import nan

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analytics.stats.differences import newcombe
from analytics.stats.proportions import Interval, wilson

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Standardised:
    """Shares of two ways over the same mix of strata, and their difference a minus b.

    `share_a` and `share_b` are what both ways would show on that mix, `range_a` and `range_b`
    their intervals; `low` to `high` is the interval of the difference. `jobs_a` and `jobs_b` are
    the jobs a single undivided comparison would need to be as sure as this one. NaN shares, -1 to
    1 and 0 jobs where nothing compares.
    """

    share_a: float
    share_b: float
    difference: float
    low: float
    high: float
    jobs_a: float
    jobs_b: float
    range_a: Interval
    range_b: Interval


def comparable(strata: ArrayLike) -> NDArray[np.bool_]:
    """(k,) True for strata where both ways were used; the others say nothing of the difference."""
    tables = _tables(strata)
    both: NDArray[np.bool_] = (tables.sum(2) > 0).all(1)
    return both


def mantel_haenszel_weights(strata: ArrayLike) -> Floats:
    """(k,) weights of the common difference, n_a n_b / n each, scaled to sum 1.

    Source: Mantel & Haenszel 1959, as stated for the common risk difference in the
    documentation of SAS/STAT PROC FREQ.
    """
    jobs = _tables(strata).sum(2)
    weights: Floats = jobs.prod(1) / np.maximum(jobs.sum(1), 1.0)
    total = weights.sum()
    return weights / total if total else weights


def standardised_difference(
    strata: ArrayLike, weights: ArrayLike | None = None, level: float = 0.95
) -> Standardised:
    """Difference of two shares over one mix of strata, with a stratified Newcombe interval.

    Parameters
    ----------
    weights : array (k,), optional
        The mix to stand both ways on; Mantel-Haenszel weights where none is given. Strata where
        only one way was used get no weight.

    Notes
    -----
    The share of each way is a weighted mean of its strata's; its Wilson interval is that of as
    many jobs as give the same weight sum of squares, and the two are joined as Newcombe does.
    With one stratum it is Newcombe's own interval. After Yan & Su 2010, Stat. Biopharm. Res. 2:329
    (from memory; same construction as the stratified Newcombe limits of SAS/STAT PROC FREQ).
    """
    tables = _tables(strata)
    both = comparable(tables)
    given = mantel_haenszel_weights(tables) if weights is None else np.asarray(weights, dtype=float)
    kept = np.where(both, given, 0.0)
    if not kept.sum() > 0:
        unknown = Interval(0.0, 1.0)
        return Standardised(nan, nan, nan, -1.0, 1.0, 0.0, 0.0, unknown, unknown)
    mix = kept[both] / kept.sum()
    jobs = tables[both].sum(2)
    share_a, share_b = mix @ (tables[both, :, 0] / jobs)
    jobs_a, jobs_b = 1.0 / (mix**2 @ (1.0 / jobs))
    a, b = _events(share_a, jobs_a), _events(share_b, jobs_b)
    found = newcombe(a, jobs_a, b, jobs_b, level)
    return Standardised(
        float(share_a), float(share_b), float(share_a - share_b), found.low, found.high,
        float(jobs_a), float(jobs_b), wilson(a, jobs_a, level), wilson(b, jobs_b, level),
    )  # fmt: skip


def _events(share: float, jobs: float) -> float:
    """Events of that share, kept from passing the jobs by a rounding error."""
    return min(max(share * jobs, 0.0), jobs)


def _tables(strata: ArrayLike) -> Floats:
    return np.asarray(strata, dtype=float).reshape(-1, 2, 2)
