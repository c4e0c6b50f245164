"""Shares: how good is "3 of 17 stuck", and what to believe of a group with few jobs."""

from __future__ import annotations

from math import sqrt
from statistics import NormalDist
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray


class Interval(NamedTuple):
    """A range with its lower and upper end."""

    low: float
    high: float


def normal_quantile(level: float) -> float:
    """Standard deviations either side that hold this share of a normal distribution."""
    return NormalDist().inv_cdf(0.5 + level / 2)


def wilson(events: float, jobs: float, level: float = 0.95) -> Interval:
    """Score interval of a share; 0 to 1 when there are no jobs.

    Source: Wilson 1927; method 3 of Newcombe 1998, Stat. Med. 17:857.
    """
    _check_counts(events, jobs)
    if jobs == 0:
        return Interval(0.0, 1.0)
    z = normal_quantile(level)
    share = events / jobs
    middle = share + z * z / (2 * jobs)
    half = z * sqrt(share * (1 - share) / jobs + z * z / (4 * jobs * jobs))
    scale = 1 + z * z / jobs
    # At 0 and at all the ends are exact; rounding must not leave 1e-17 or 1.0000000000000002.
    low = 0.0 if events == 0 else (middle - half) / scale
    high = 1.0 if events == jobs else (middle + half) / scale
    return Interval(low, high)


def jeffreys(events: float, jobs: float, level: float = 0.95) -> Interval:
    """Equal-tailed interval of a share from a Beta(1/2, 1/2) prior, ends fixed at 0 and 1.

    Source: Brown, Cai & DasGupta 2001, Stat. Sci. 16:101.
    """
    low, high = beta_interval(events, jobs, prior_share=0.5, prior_jobs=1.0, level=level)
    return Interval(0.0 if events == 0 else low, 1.0 if events == jobs else high)


def clopper_pearson(events: float, jobs: float, level: float = 0.95) -> Interval:
    """Exact interval of a share: never too narrow, often too wide.

    Source: Clopper & Pearson 1934, Biometrika 26:404.
    """
    from scipy.special import betaincinv

    _check_counts(events, jobs)
    tail = (1 - level) / 2
    low = 0.0 if events == 0 else float(betaincinv(events, jobs - events + 1, tail))
    high = 1.0 if events == jobs else float(betaincinv(events + 1, jobs - events, 1 - tail))
    return Interval(low, high)


def shrunk_share(
    events: ArrayLike, jobs: ArrayLike, prior_share: float, prior_jobs: float
) -> NDArray[np.float64]:
    """Shares pulled towards `prior_share` as if `prior_jobs` more jobs had shown exactly that.

    Few jobs are pulled hard, many hardly at all (mean of the beta-binomial posterior).
    """
    seen, looked_at = np.asarray(events, dtype=float), np.asarray(jobs, dtype=float)
    return (seen + prior_share * prior_jobs) / (looked_at + prior_jobs)


def beta_interval(
    events: float, jobs: float, prior_share: float, prior_jobs: float, level: float = 0.95
) -> Interval:
    """Equal-tailed posterior interval of the share that `shrunk_share` gives the mean of."""
    from scipy.special import betaincinv

    _check_counts(events, jobs)
    a = events + prior_share * prior_jobs
    b = jobs - events + (1 - prior_share) * prior_jobs
    tail = (1 - level) / 2
    return Interval(float(betaincinv(a, b, tail)), float(betaincinv(a, b, 1 - tail)))


def prior_from_groups(events: ArrayLike, jobs: ArrayLike) -> tuple[float, float]:
    """(prior_share, prior_jobs) learned from groups: the pooled share and how alike they are.

    Parameters
    ----------
    events, jobs : array
        Events and jobs of each group; at least one group with an event and one without all.

    Returns
    -------
    tuple
        `prior_jobs` runs from 1 (every group is its own world) to 1000 (all alike), by largest
        beta-binomial likelihood with the mean held at the pooled share.
    """
    from scipy.optimize import minimize_scalar
    from scipy.special import betaln

    seen, looked_at = np.asarray(events, dtype=float), np.asarray(jobs, dtype=float)
    share = float(seen.sum() / looked_at.sum())
    if not 0 < share < 1:
        raise ValueError("every job or no job had the event: nothing to learn a prior from")

    def lost_likelihood(log_jobs: float) -> float:
        a, b = share * np.exp(log_jobs), (1 - share) * np.exp(log_jobs)
        return -float(np.sum(betaln(seen + a, looked_at - seen + b) - betaln(a, b)))

    found = minimize_scalar(lost_likelihood, bounds=(0.0, np.log(1000.0)), method="bounded")
    return share, float(np.exp(found.x))


def _check_counts(events: float, jobs: float) -> None:
    if not 0 <= events <= jobs:
        raise ValueError(f"{events} events in {jobs} jobs cannot be")
