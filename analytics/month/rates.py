"""Each defect over the whole shop: has it become more or less common, and since when?"""

from __future__ import annotations

import numpy as np

from analytics.columns import lower_first
from analytics.days import day_words
from analytics.knowledge.model import Knowledge
from analytics.month.answer import Signal, SignalKind
from analytics.month.changed import changed_at_window
from analytics.month.looks import Look
from analytics.month.results import ANY_FAULT, Results
from analytics.month.scan import Scan, scan
from analytics.month.spells import (
    FRESH_SPELLS,
    Spells,
    natural_spread,
    spells_counted,
    window_weights,
)
from analytics.month.tally import Tally
from analytics.month.usual import Usual
from analytics.month.words import counts_words, defect_title

RISE_SHARE = 0.95
"""Of the error budget, for rises: news of fewer defects can wait a month."""
ANY_FAULT_WEIGHT = 0.2
"""Faults that are named are looked at under their names; counting all of them adds little."""
MOST_WEIGHT, LEAST_WEIGHT = 10.0, 0.5


def defect_looks(results: Results, tally: Tally, knowledge: Knowledge) -> list[Look]:
    """A look at the rise and one at the fall of each defect over the whole shop."""
    looks = []
    for column, defect in enumerate(results.watched):
        counted = spells_counted(tally.shop, column)
        fresh = float((counted.made * counted.chance)[-FRESH_SPELLS:].sum())
        weight = min(fresh, MOST_WEIGHT) + LEAST_WEIGHT
        if defect == ANY_FAULT and results.defects:
            weight *= max(ANY_FAULT_WEIGHT, _unnamed(results))
        found = _scanned(counted)
        for rise, share in ((True, RISE_SHARE), (False, 1.0 - RISE_SHARE)):
            looks.append(
                _look(results, tally.usual, knowledge, defect, found, rise, weight * share)
            )
    return looks


def _unnamed(results: Results) -> float:
    """Share of the faulty parts that no fault was named of."""
    named = np.any(results.found, axis=1)[results.faulty]
    return float(1.0 - named.mean()) if named.size else 0.0


def rise_without(tally: Tally, defect: str, kind: SignalKind, name: str) -> float:
    """Chance that luck shows as clear a rise of the defect on the parts made without a thing."""
    rest = tally.shop - tally.of(kind, name)
    return _scanned(spells_counted(rest, tally.usual.column(defect))).rise_p


def _scanned(counted: Spells) -> Scan:
    weights = window_weights(len(counted.made))
    return scan(counted.made, counted.found, counted.chance, weights, natural_spread(counted))


def _look(
    results: Results, usual: Usual, knowledge: Knowledge,
    defect: str, found: Scan, rise: bool, weight: float,
) -> Look:  # fmt: skip
    window = found.rise_window if rise else found.fall_window

    def make() -> Signal:
        return _signal(results, usual, knowledge, defect, window, rise)

    return Look(found.rise_p if rise else found.fall_p, make, weight)


def _signal(
    results: Results, usual: Usual, knowledge: Knowledge, defect: str, window: int, rise: bool
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
