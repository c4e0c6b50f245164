"""Each defect over the whole shop: has it become more or less common, and since when?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analytics.columns import lower_first
from analytics.knowledge.model import Knowledge
from analytics.month.answer import Signal
from analytics.month.changed import changed_at_window
from analytics.month.looks import Look
from analytics.month.periods import day_words
from analytics.month.results import Bools, Results
from analytics.month.scan import Scan, scan
from analytics.month.spells import (
    FRESH_SPELLS,
    Spells,
    natural_spread,
    spells_of,
    window_weights,
)
from analytics.month.usual import Chances
from analytics.month.words import counts_words, defect_title

Floats = NDArray[np.float64]

RISE_SHARE = 0.9
"""Of the error budget, for rises: news of fewer defects can wait a month."""
MOST_WEIGHT, LEAST_WEIGHT = 10.0, 0.5


def defect_looks(results: Results, usual: Chances, knowledge: Knowledge) -> list[Look]:
    """A look at the rise and one at the fall of each defect over the whole shop."""
    looks = []
    for defect in results.watched:
        counted = _spells(results, usual, defect, results.looked)
        fresh = float((counted.made * counted.chance)[-FRESH_SPELLS:].sum())
        weight = min(fresh, MOST_WEIGHT) + LEAST_WEIGHT
        found = _scanned(counted)
        for rise, share in ((True, RISE_SHARE), (False, 1.0 - RISE_SHARE)):
            looks.append(_look(results, usual, knowledge, defect, found, rise, weight * share))
    return looks


def rise_without(results: Results, usual: Chances, defect: str, rest: Bools) -> float:
    """Chance that luck shows as clear a rise of the defect among the rest of the parts alone."""
    return _scanned(_spells(results, usual, defect, rest & results.looked)).rise_p


def _spells(results: Results, usual: Chances, defect: str, parts: Bools) -> Spells:
    return spells_of(
        results.spells_back[parts],
        results.column(defect)[parts],
        usual[defect][parts],
    )


def _scanned(counted: Spells) -> Scan:
    weights = window_weights(len(counted.made))
    return scan(counted.made, counted.found, counted.chance, weights, natural_spread(counted))


def _look(
    results: Results, usual: Chances, knowledge: Knowledge,
    defect: str, found: Scan, rise: bool, weight: float,
) -> Look:  # fmt: skip
    window = found.rise_window if rise else found.fall_window

    def make() -> Signal:
        return _signal(results, usual, knowledge, defect, window, rise)

    return Look(found.rise_p if rise else found.fall_p, make, weight)


def _signal(
    results: Results, usual: Chances, knowledge: Knowledge, defect: str, window: int, rise: bool
) -> Signal:
    change = changed_at_window(
        results, results.looked, results.column(defect), usual[defect], window, rise
    )
    text = (
        f"{'More' if rise else 'Fewer parts with'} {lower_first(defect_title(defect, knowledge))}"
        f"{'' if change.plain else ' than usual for such weather'}: "
        f"{counts_words(change.now)} parts since {day_words(change.since)}, "
        f"before {counts_words(change.before)}; "
        f"the usual run of moulds and weather would make about {change.expected:.0f}."
    )
    return change.signal("defect", defect, text, defect)
