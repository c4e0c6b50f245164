"""Constants of control charts, computed rather than copied from a rounded table."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import exp, lgamma, sqrt

import numpy as np


@dataclass(frozen=True)
class ChartConstants:
    """Constants for subgroups of one size, named as in ISO 7870-2 (capitals in lower case).

    d2, d3: mean and standard deviation of the range of n standard normals; c4: mean of their
    standard deviation; the others turn mean ranges or deviations into 3-sigma limits.
    """

    d2: float
    d3: float
    c4: float
    a2: float
    a3: float
    d3_limit: float
    d4: float
    b3: float
    b4: float
    e2: float


@cache
def constants(size: int) -> ChartConstants:
    """The constants for subgroups of `size` (2 or more), good to 5 decimals.

    Printed tables round d2 and d3 first: they give 3.267 and 2.660 for size 2, exact are
    3.2665 and 2.6587.
    """
    d2, d3 = _range_mean_and_sd(size)
    c4 = sqrt(2 / (size - 1)) * exp(lgamma(size / 2) - lgamma((size - 1) / 2))
    c4_spread = 3 * sqrt(1 - c4 * c4) / c4
    return ChartConstants(
        d2=d2,
        d3=d3,
        c4=c4,
        a2=3 / (d2 * sqrt(size)),
        a3=3 / (c4 * sqrt(size)),
        d3_limit=max(0.0, 1 - 3 * d3 / d2),
        d4=1 + 3 * d3 / d2,
        b3=max(0.0, 1 - c4_spread),
        b4=1 + c4_spread,
        e2=3 / d2,
    )


def _range_mean_and_sd(size: int) -> tuple[float, float]:
    """Mean and standard deviation of the range of `size` standard normals (Tippett 1925)."""
    from scipy.special import ndtr

    step = 0.02
    x = np.arange(-9, 9 + step, step)
    below = ndtr(x)
    mean = step * float(np.sum(1 - below**size - (1 - below) ** size))
    width = np.arange(0, 13, step)[:, None]
    density = np.exp(-(x**2 + (x + width) ** 2) / 2) / (2 * np.pi)
    between = (ndtr(x + width) - below) ** (size - 2)
    second = size * (size - 1) * step**2 * float(np.sum(width**2 * density * between))
    return mean, sqrt(second - mean**2)
