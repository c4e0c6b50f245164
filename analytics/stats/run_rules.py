"""Run rules: patterns inside the limits that chance rarely makes.

Every rule takes z, the distance from the centre line in standard deviations (`Chart.z`, last
axis is time), and gives True at each point that completes the pattern. Beyond is strictly
beyond. A missing point (NaN) or one on the centre line is on no side and breaks a run.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from types import MappingProxyType
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analytics.stats.control import ROUNDING

Flags: TypeAlias = NDArray[np.bool_]
Rule: TypeAlias = Callable[[NDArray[np.float64]], Flags]


def beyond(z: NDArray[np.float64], sigmas: float = 3.0) -> Flags:
    """One point beyond `sigmas` either side."""
    return np.abs(z) > sigmas + ROUNDING


def some_beyond(z: NDArray[np.float64], need: int, of: int, sigmas: float) -> Flags:
    """`need` out of the last `of` points, this one among them, beyond `sigmas` on one side."""
    high, low = z > sigmas + ROUNDING, z < -sigmas - ROUNDING
    return (high & (_count(high, of) >= need)) | (low & (_count(low, of) >= need))


def same_side(z: NDArray[np.float64], count: int) -> Flags:
    """The last `count` points all on one side of the centre line."""
    return (_count(z > 0, count) == count) | (_count(z < 0, count) == count)


def steady_trend(z: NDArray[np.float64], count: int = 6) -> Flags:
    """The last `count` *points* each higher, or each lower, than the one before: count-1 moves.

    The usual reading of Nelson's figure; some standards ask for six moves, which is seven points.
    """
    moves = np.diff(z, axis=-1, prepend=np.nan)
    need = count - 1
    return (_count(moves > 0, need) == need) | (_count(moves < 0, need) == need)


def alternating(z: NDArray[np.float64], count: int = 14) -> Flags:
    """The last `count` points went up and down in turn."""
    moves = np.sign(np.diff(z, axis=-1, prepend=np.nan))
    earlier = np.concatenate([np.full_like(moves[..., :1], np.nan), moves[..., :-1]], axis=-1)
    return _count(moves * earlier < 0, count - 2) == count - 2


def hugging(z: NDArray[np.float64], count: int = 15, sigmas: float = 1.0) -> Flags:
    """The last `count` points all within `sigmas`: too good to be true, or mixed sources."""
    return _count(np.abs(z) <= sigmas + ROUNDING, count) == count


def avoiding_centre(z: NDArray[np.float64], count: int = 8, sigmas: float = 1.0) -> Flags:
    """The last `count` points all beyond `sigmas`, some on each side."""
    high, low = z > sigmas + ROUNDING, z < -sigmas - ROUNDING
    both_sides = (_count(high, count) > 0) & (_count(low, count) > 0)
    return (_count(high | low, count) == count) & both_sides


NELSON: Mapping[str, Rule] = MappingProxyType(
    {
        "T1": beyond,
        "T2": partial(same_side, count=9),
        "T3": steady_trend,
        "T4": alternating,
        "T5": partial(some_beyond, need=2, of=3, sigmas=2.0),
        "T6": partial(some_beyond, need=4, of=5, sigmas=1.0),
        "T7": hugging,
        "T8": avoiding_centre,
    }
)
"""The eight tests of Nelson 1984, J. Qual. Technol. 16:237."""

WESTERN_ELECTRIC: Mapping[str, Rule] = MappingProxyType(
    {
        "1 beyond 3": beyond,
        "2 of 3 beyond 2": partial(some_beyond, need=2, of=3, sigmas=2.0),
        "4 of 5 beyond 1": partial(some_beyond, need=4, of=5, sigmas=1.0),
        "8 same side": partial(same_side, count=8),
    }
)
"""The four classic rules. All together cry wolf once in 92 points, the first alone once in 370
(Champ & Woodall 1987, Technometrics 29:393)."""


def broken_rules(z: ArrayLike, rules: Mapping[str, Rule]) -> dict[str, Flags]:
    """For each rule by name, True at the points that complete its pattern."""
    points = np.asarray(z, dtype=float)
    return {name: rule(points) for name, rule in rules.items()}


def _count(flags: Flags, window: int) -> NDArray[np.int_]:
    """How many of the last `window` flags, this one included, are True."""
    total = np.cumsum(flags, axis=-1, dtype=int)
    total[..., window:] -= total[..., :-window].copy()
    return total
