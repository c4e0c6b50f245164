"""Rare defects: charts of the time, or of the good parts, between one defect and the next.

A high point is good news here: a long run without.
"""

from __future__ import annotations

from math import ceil, log, log1p, sqrt

import numpy as np
from numpy.typing import ArrayLike

from analytics.stats.control import EVERY, Base, Chart, Points, chart, individuals

TIME_POWER = 0.2777
"""1/3.6 as printed by Nelson: raised to it, exponential times are nearly normal."""


def t_chart(times_between: ArrayLike, base: Base = EVERY) -> Chart:
    """Chart of times between defects, raised to the power 0.2777; `plain_time` is the way back.

    Source: Nelson 1994, J. Qual. Technol. 26:239. A lower limit below 0 is no limit.
    """
    return individuals(np.asarray(times_between, dtype=float) ** TIME_POWER, base)


def plain_time(powered: ArrayLike) -> Points:
    """Times in their own unit from values or limits of a `t_chart`; 0 for a limit below 0."""
    return np.maximum(np.asarray(powered, dtype=float), 0.0) ** (1 / TIME_POWER)


def g_chart(good_between: ArrayLike, base: Base = EVERY) -> Chart:
    """Chart of good parts between two bad ones, counted from 0 (the bad part is not counted).

    Source: Kaminsky et al. 1992; Benneyan 2001. A count that includes the bad part starts at 1:
    take 1 off first, its standard deviation is another.
    """
    counts = np.asarray(good_between, dtype=float)
    mean = float(np.nanmean(counts[base]))
    return chart(counts, mean, sqrt(mean * (mean + 1)), floor=0.0)


def geometric_limit(mean_good: float, share: float) -> int:
    """Smallest run of good parts (counted from 0) that at least this share of runs stays within.

    With `share` 0.99865 it is the upper limit, with 0.00135 the lower, of the same false alarm
    rate as 3 sigma; far apart from the 3-sigma ones because such counts are lopsided.
    """
    if mean_good <= 0:
        return 0
    bad = 1 / (mean_good + 1)
    return max(0, ceil(log(1 - share) / log1p(-bad)) - 1)
