"""Following the advice, in shops whose law is known: how often the wanted gel time is met.

The figures of many more shops: `python -m tests.benchmarks.catalyst`.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.benchmarks.catalyst.shops import SEASONS_C, WINDOWS, Known, chances


def hits(known: Known, shops: int, season: str, window: str = "resin") -> np.ndarray:
    """Mean chance of the window: best possible, following the advice, by habit, always 1.5 %."""
    at_c, minutes = SEASONS_C[season], WINDOWS[window]
    mean: np.ndarray = np.mean(
        [chances(seed, known, at_c, minutes) for seed in range(shops)], axis=0
    )
    return mean


@pytest.mark.parametrize("season", SEASONS_C)
@pytest.mark.parametrize(
    ("known", "shops", "share"),
    [
        (Known("data sheet", 0, sheet=True), 60, 0.92),
        (Known("one cup", 0, cup=True), 60, 0.88),
        (Known("5", 5), 60, 0.92),
        (Known("20", 20), 40, 0.95),
        (Known("200", 200), 10, 0.97),
    ],
    ids=lambda given: given.name if isinstance(given, Known) else None,
)
def test_advice_comes_close_to_knowing_the_law_and_beats_habit_and_a_fixed_dose(
    known: Known, shops: int, share: float, season: str
) -> None:
    best, advised, habit, fixed = hits(known, shops, season)
    assert advised >= share * best
    assert advised > max(habit, fixed) + 0.03


@pytest.mark.parametrize("window", WINDOWS)
def test_knowing_nothing_is_no_worse_than_habit_or_a_fixed_dose_over_the_year(window: str) -> None:
    nothing = Known("nothing", 0)
    by_season = [hits(nothing, 60, season, window) for season in SEASONS_C]
    _, advised, habit, fixed = np.mean(by_season, axis=0)
    assert advised > max(habit, fixed)
