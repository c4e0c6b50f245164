"""Moulds, lots and people: which of them has a defect more often than it used to, or than others?

A mould or a person with a past is held against that past; a lot, or anything new, against the
parts of the last year made without it. What the whole shop went through that month, the mould and
the weather are allowed for first, so that a lot is not blamed for the mould it was used on.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray

from analytics.days import day_words
from analytics.knowledge.model import Knowledge
from analytics.month.answer import Signal, SignalKind
from analytics.month.changed import Changed, changed_at_window, changed_on
from analytics.month.looks import Look
from analytics.month.results import SUBJECT_COLUMNS, Bools, Results
from analytics.month.scan import scan
from analytics.month.spells import EPOCH, FRESH_SPELLS, spells_counted, window_weights
from analytics.month.tally import Counts, Tally
from analytics.month.usual import shrunk
from analytics.month.words import counts_words, defect_title, subject_words, upper_first

Floats = NDArray[np.float64]

KINDS_WITH_A_PAST = ("mould", "operator")
LEAST_PAST = 20
"""Looked-at parts before the last three months that make a past."""
LEAST_PARTS = 5
LEAST_OTHERS = 20
COMPARED_SPELLS = 24
LEAST_FOUND = 2
LEAST_WEIGHT = 0.25
MOST_WEIGHT = 10.0
PLAUSIBLE: Mapping[int, float] = {3: 1.0, 2: 1.0, 1: 0.5, 0: 0.1}
"""Weight of a look by how often the trade says such a thing brings the defect (0: not listed)."""
LUCK = 1.0


@dataclass(frozen=True)
class Suspect:
    """A thing used this month: counts of its parts and of those it is held against."""

    kind: SignalKind
    name: str
    own: Counts
    others: Counts
    has_past: bool


def suspects(results: Results, tally: Tally) -> Iterator[Suspect]:
    """Everything used this month that enough looked-at parts were made with."""
    recent = tally.shop.within(0, COMPARED_SPELLS)
    for kind in SUBJECT_COLUMNS:
        for name in results.names(kind):
            own = tally.of(kind, name)
            held = own.within(0, COMPARED_SPELLS)
            past = kind in KINDS_WITH_A_PAST and own.within(FRESH_SPELLS).made.sum() >= LEAST_PAST
            used, others = own if past else held, recent - held
            if used.made.sum() >= LEAST_PARTS and others.made.sum() >= LEAST_OTHERS:
                yield Suspect(kind, name, used, others, bool(past))


def suspect_looks(results: Results, tally: Tally, knowledge: Knowledge) -> list[Look]:
    """A look at every defect of every mould, lot and person of the month."""
    plausible = {kind: _plausible(results, kind, knowledge) for kind in SUBJECT_COLUMNS}
    looks = []
    for suspect in suspects(results, tally):
        factor = _months_factor(tally.shop, suspect.own)
        for column, trade in enumerate(plausible[suspect.kind]):
            looks.append(_look(results, tally, suspect, column, factor, trade, knowledge))
    return looks


def _plausible(results: Results, kind: SignalKind, knowledge: Knowledge) -> list[float]:
    """Weight of each watched defect for a kind of thing, from the trade's causes of that group."""
    levels: dict[str, int] = {}
    for cause in knowledge.causes.values():
        if cause.group == kind:
            for defect, level in cause.levels.items():
                levels[defect] = max(level, levels.get(defect, 0))
                entry = knowledge.defects.get(defect)
                if entry is not None and entry.group is not None:
                    levels[entry.group] = max(level, levels.get(entry.group, 0))
    if not levels:
        return [1.0] * len(results.watched)
    known = [PLAUSIBLE[levels.get(defect, 0)] for defect in results.defects]
    return [*known, max(PLAUSIBLE.values())]


def _months_factor(shop: Counts, own: Counts) -> Floats:
    """(s, k) what the shop went through in each half month, found over expected, shrunken.

    Learned by months from the other parts where there are as many: were those of a bad mould let
    in, part of what it did would pass for a bad month. A lot that most of the shop worked from is
    not left out: what it did and what the shop went through in its weeks is one and the same, and
    it must not be blamed for the other.
    """
    length = len(own.made)
    beside = shop.within(0, length).made[own.made > 0].sum()
    minor = 2 * own.made.sum() <= beside
    got, expected = shop.found.astype(np.float64), shop.expected
    if minor:
        got, expected = got.copy(), expected.copy()
        got[:length] -= own.found
        expected[:length] = np.maximum(expected[:length] - own.expected, 0.0)
    # Half month 0 and 1 are this month, 2 and 3 the one before ...
    months = np.arange(0, len(got), 2)
    by_month = shrunk(np.add.reduceat(got, months), np.add.reduceat(expected, months))
    factor: Floats = np.repeat(by_month, 2, axis=0)[: len(got)]
    return factor


def _look(
    results: Results, tally: Tally, suspect: Suspect, column: int, factor: Floats,
    trade: float, knowledge: Knowledge,
) -> Look:  # fmt: skip
    defect = results.watched[column]
    expected = suspect.own.expected[:, column] * factor[: len(suspect.own.made), column]
    weight = LEAST_WEIGHT + min(float(expected[:FRESH_SPELLS].sum()), MOST_WEIGHT)
    p_value, window = _tested(suspect, column, factor)

    def make() -> Signal:
        found = results.column(defect)
        parts = results.looked & results.uses(suspect.kind, suspect.name)
        if suspect.has_past:
            chance = tally.usual[defect] * factor[results.spells_back, column]
            change = changed_at_window(results, parts, found, chance, window, True)
        else:
            recent = results.looked & (results.spells_back < COMPARED_SPELLS)
            change = _since_first_use(results, parts & recent, recent & ~parts, found)
        text = _text(suspect, defect_title(defect, knowledge), change)
        return change.signal(suspect.kind, suspect.name, text, defect)

    return Look(p_value, make, weight * trade)


def _tested(suspect: Suspect, column: int, factor: Floats) -> tuple[float, int]:
    """(chance that luck shows as much, clearest window in half months)."""
    if suspect.own.found[:FRESH_SPELLS, column].sum() < LEAST_FOUND:
        return LUCK, 1
    own, others = (_as_expected(side, factor) for side in (suspect.own, suspect.others))
    if suspect.has_past:
        counted = spells_counted(own, column)
        weights = window_weights(len(counted.made))
        tried = scan(counted.made, counted.found, counted.chance, weights)
        return tried.rise_p, tried.rise_window
    sides = (others, own)
    made = np.array([side.made.sum() for side in sides])
    tried = scan(
        made,
        np.array([side.found[:, column].sum() for side in sides]),
        np.array([side.expected[:, column].sum() for side in sides]) / made,
        np.ones(1),
    )
    return tried.rise_p, 1


def _as_expected(counts: Counts, factor: Floats) -> Counts:
    return Counts(counts.made, counts.found, counts.expected * factor[: len(counts.made)])


def _since_first_use(results: Results, parts: Bools, others: Bools, found: Bools) -> Changed:
    first = EPOCH + timedelta(days=int(results.day[parts].min()))
    none = np.zeros(len(found))
    return changed_on(results, parts, found, none, (first, first, first), others)


def _text(suspect: Suspect, title: str, change: Changed) -> str:
    against = "before" if suspect.has_past else "the others"
    named = subject_words(suspect.kind, suspect.name)
    return (
        f"{upper_first(title)} {named}: {counts_words(change.now)} "
        f"since {day_words(change.since)}, {against} {counts_words(change.before)}."
    )
