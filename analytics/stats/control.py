"""Control charts: which points are further off than chance allows.

"Beyond" always means strictly beyond: a point on the limit is not a signal. `base` picks the
points the centre and the spread are worked out from (a slice or a mask), all by default; the
other points are judged against them. Points without jobs or value are NaN and never signal.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analytics.stats.shewhart import constants

Points: TypeAlias = NDArray[np.float64]
Base: TypeAlias = slice | NDArray[np.bool_]
EVERY = slice(None)

# Limits worked out in floating point may fall a hair inside a point that lies on them.
ROUNDING = 1e-9


@dataclass(frozen=True)
class Chart:
    """Points with centre line, limits and the standard deviation expected of each point.

    All arrays of the same shape; the last axis is time.
    """

    values: Points
    centre: Points
    low: Points
    high: Points
    sigma: Points

    @property
    def above(self) -> NDArray[np.bool_]:
        """True where a point lies strictly above the upper limit."""
        return self.values > self.high + ROUNDING * (1 + np.abs(self.high))

    @property
    def below(self) -> NDArray[np.bool_]:
        """True where a point lies strictly below the lower limit."""
        return self.values < self.low - ROUNDING * (1 + np.abs(self.low))

    @property
    def beyond(self) -> NDArray[np.bool_]:
        """True where a point lies strictly beyond a limit."""
        return self.above | self.below

    @property
    def z(self) -> Points:
        """Distance from the centre line in standard deviations, for the run rules."""
        return divide(self.values - self.centre, self.sigma)


def individuals(values: ArrayLike, base: Base = EVERY) -> Chart:
    """Chart of single readings, spread from the mean moving range.

    Source: NIST/SEMATECH e-Handbook 6.3.2.2, with d2 unrounded.
    """
    points = np.asarray(values, dtype=float)
    usual = points[base]
    return chart(points, float(np.nanmean(usual)), _mean_step(usual) / constants(2).d2)


def moving_ranges(values: ArrayLike, base: Base = EVERY) -> Chart:
    """Chart of the steps between neighbouring readings; the first point is NaN."""
    points = np.asarray(values, dtype=float)
    steps = np.abs(np.diff(points, prepend=np.nan))
    mean = _mean_step(points[base])
    return chart(steps, mean, mean * constants(2).d3 / constants(2).d2, floor=0.0)


def p_chart(events: ArrayLike, jobs: ArrayLike, base: Base = EVERY) -> Chart:
    """Chart of shares with binomial limits for each number of jobs.

    Source: NIST/SEMATECH e-Handbook 6.3.3.2.
    """
    share, mean, sigma = _shares(events, jobs, base)
    return chart(share, mean, sigma, floor=0.0, ceiling=1.0)


def laney_p_chart(events: ArrayLike, jobs: ArrayLike, base: Base = EVERY) -> Chart:
    """Chart of shares whose limits also hold the ordinary drift between months.

    Source: Laney 2002, Qual. Eng. 14:531. The extra spread comes from the moving ranges of the
    z values, not from their standard deviation.
    """
    share, mean, sigma = _shares(events, jobs, base)
    z = divide(share - mean, sigma)[base]
    extra = _mean_step(z) / constants(2).d2 if 0 < mean < 1 else 1.0
    return chart(share, mean, sigma * extra, floor=0.0, ceiling=1.0)


def u_chart(defects: ArrayLike, units: ArrayLike, base: Base = EVERY) -> Chart:
    """Chart of defects per unit (part, m2) with Poisson limits for each number of units."""
    found, looked_at = np.asarray(defects, dtype=float), np.asarray(units, dtype=float)
    mean = float(np.nansum(found[base]) / np.nansum(looked_at[base]))
    sigma = np.sqrt(divide(np.full_like(found, mean), looked_at))
    return chart(divide(found, looked_at), mean, sigma, floor=0.0)


def c_chart(defects: ArrayLike, base: Base = EVERY) -> Chart:
    """Chart of defects in equal amounts of work with Poisson limits.

    Source: NIST/SEMATECH e-Handbook 6.3.3.1.
    """
    found = np.asarray(defects, dtype=float)
    mean = float(np.nanmean(found[base]))
    return chart(found, mean, np.sqrt(mean), floor=0.0)


@dataclass(frozen=True)
class Overdispersion:
    """Spread found over spread expected (`ratio`), with its chi-square and P for "too wide"."""

    ratio: float
    chi2: float
    p_value: float


def overdispersion(counts: ArrayLike, jobs: ArrayLike | None = None) -> Overdispersion:
    """Do counts vary more than chance? Binomial when `jobs` are given, Poisson otherwise.

    A small P says that a p chart would cry wolf and `laney_p_chart` is the one to use.
    Source: Wetherill & Brown 1991; for unequal `jobs` the Pearson form of the same test.
    """
    from scipy.special import chdtrc

    found = np.asarray(counts, dtype=float)
    if jobs is None:
        expected = np.full_like(found, found.mean())
        variance = expected
    else:
        looked_at = np.asarray(jobs, dtype=float)
        share = found.sum() / looked_at.sum()
        expected, variance = looked_at * share, looked_at * share * (1 - share)
    chi2 = float(((found - expected) ** 2 / variance).sum())
    freedom = found.size - 1
    return Overdispersion(chi2 / freedom, chi2, float(chdtrc(freedom, chi2)))


def chart(
    values: Points,
    centre: float,
    sigma: ArrayLike,
    floor: float = -np.inf,
    ceiling: float = np.inf,
    width: float = 3.0,
) -> Chart:
    """Points with limits `width` sigma either side of the centre, inside floor and ceiling."""
    spread = np.broadcast_to(np.asarray(sigma, dtype=float), values.shape)
    middle = np.full(values.shape, centre)
    low = np.clip(middle - width * spread, floor, ceiling)
    high = np.clip(middle + width * spread, floor, ceiling)
    return Chart(values, middle, low, high, spread)


def divide(top: Points, bottom: Points) -> Points:
    """top / bottom, NaN where bottom is 0: no jobs, no share."""
    return np.divide(top, bottom, out=np.full(np.shape(top), np.nan), where=bottom != 0)


def _mean_step(points: Points) -> float:
    known = points[~np.isnan(points)]
    if known.size < 2:
        raise ValueError("at least two points are needed to see how much they vary")
    return float(np.abs(np.diff(known)).mean())


def _shares(events: ArrayLike, jobs: ArrayLike, base: Base) -> tuple[Points, float, Points]:
    seen, looked_at = np.asarray(events, dtype=float), np.asarray(jobs, dtype=float)
    mean = float(np.nansum(seen[base]) / np.nansum(looked_at[base]))
    variance = np.full_like(seen, mean * (1 - mean))
    return divide(seen, looked_at), mean, np.sqrt(divide(variance, looked_at))
