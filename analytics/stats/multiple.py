"""Looking at many conditions at once: P values made honest. NaN stays NaN and is not counted."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray


def benjamini_hochberg(p_values: ArrayLike) -> NDArray[np.float64]:
    """Adjusted P values: those up to q hold at most a share q of false alarms, on average.

    Source: Benjamini & Hochberg 1995, JRSS B 57:289.
    """
    given, order = _sorted(p_values)
    m = order.size
    steps = given[order] * m / np.arange(1, m + 1)
    return _back(given, order, np.minimum.accumulate(steps[::-1])[::-1])


def holm(p_values: ArrayLike) -> NDArray[np.float64]:
    """Adjusted P values: the chance of even one false alarm among those up to q is at most q.

    Source: Holm 1979, Scand. J. Stat. 6:65.
    """
    given, order = _sorted(p_values)
    m = order.size
    return _back(given, order, np.maximum.accumulate(given[order] * np.arange(m, 0, -1)))


def _sorted(p_values: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    given = np.atleast_1d(np.asarray(p_values, dtype=float))
    order = np.argsort(given, kind="stable")
    return given, order[~np.isnan(given[order])]


def _back(
    given: NDArray[np.float64], order: NDArray[np.intp], adjusted: NDArray[np.float64]
) -> NDArray[np.float64]:
    result = np.full_like(given, np.nan)
    result[order] = np.minimum(adjusted, 1.0)
    return result
