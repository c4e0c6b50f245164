"""Small lasting shifts: EWMA and CUSUM, which add up what a single point cannot show."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analytics.stats.control import ROUNDING, Chart, Points, chart


def ewma(
    values: ArrayLike, target: float, sigma: float, weight: float = 0.2, width: float = 2.962
) -> Chart:
    """Chart of the exponentially weighted mean, which starts at the target.

    Parameters
    ----------
    values : array
        Readings, last axis is time; NaN leaves the mean where it was.
    target, sigma : float
        Level and standard deviation of a single reading when all is well.
    weight : float
        Weight of the newest reading, above 0 up to 1.
    width : float
        Limits in standard deviations of the mean.

    Notes
    -----
    NIST/SEMATECH e-Handbook 6.3.2.4, asymptotic limits. The default weight and width give a
    false alarm once in 500 points (Lucas & Saccucci 1990).
    """
    points = np.asarray(values, dtype=float)
    means = np.empty_like(points)
    mean = np.full(points.shape[:-1], float(target))
    for i in range(points.shape[-1]):
        step = weight * (points[..., i] - mean)
        mean = mean + np.where(np.isnan(step), 0.0, step)
        means[..., i] = mean
    return chart(means, target, sigma * sqrt(weight / (2 - weight)), width=width)


@dataclass(frozen=True)
class Cusum:
    """Running sums of what lies above (`high`) and below (`low`) the target, both 0 or more."""

    high: Points
    low: Points
    limit: float

    @property
    def above(self) -> NDArray[np.bool_]:
        """True where the readings have drifted up: the high sum is strictly beyond the limit."""
        return self.high > self.limit * (1 + ROUNDING)

    @property
    def below(self) -> NDArray[np.bool_]:
        """True where the readings have drifted down."""
        return self.low > self.limit * (1 + ROUNDING)


def cusum(values: ArrayLike, target: float, slack: float, limit: float) -> Cusum:
    """Tabular CUSUM of readings against a target.

    Parameters
    ----------
    values : array
        Readings, last axis is time; NaN leaves the sums where they were.
    target, slack, limit : float
        Level when all is well, drift that is let pass and sum that signals, all in the unit of
        the readings. Half a standard deviation of slack with a limit of 5 is usual.

    Notes
    -----
    NIST/SEMATECH e-Handbook 6.3.2.3.
    """
    points = np.asarray(values, dtype=float)
    return Cusum(_sums(points - target - slack), _sums(target - slack - points), limit)


def _sums(steps: Points) -> Points:
    sums = np.empty_like(steps)
    total = np.zeros(steps.shape[:-1])
    for i in range(steps.shape[-1]):
        total = np.maximum(0.0, total + np.nan_to_num(steps[..., i]))
        sums[..., i] = total
    return sums
