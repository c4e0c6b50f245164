"""Moulds, lots and people: which of them has a defect more often than it used to, or than others?

A mould or a person with a past is held against that past; a lot, or anything new, against the
parts of the last year made without it. What the whole shop went through that month, the mould and
the weather are allowed for first, so that a lot is not blamed for the mould it was used on.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analytics.knowledge.model import Knowledge
from analytics.month.answer import Signal, SignalKind
from analytics.month.changed import Changed, changed_at_window, changed_on
from analytics.month.looks import Look
from analytics.month.periods import day_words
from analytics.month.results import SUBJECT_COLUMNS, Bools, Results
from analytics.month.scan import scan
from analytics.month.spells import EPOCH, FRESH_SPELLS, spells_of, window_weights
from analytics.month.usual import Chances, Months
from analytics.month.words import counts_words, defect_title, subject_words, upper_first

Floats = NDArray[np.float64]

KINDS_WITH_A_PAST = ("mould", "operator")
LEAST_PAST = 20
"""Looked-at parts before the last three months that make a past."""
LEAST_PARTS = 5
LEAST_OTHERS = 20
COMPARED_MONTHS = 12
LEAST_FOUND = 2
LEAST_WEIGHT = 0.25
MOST_WEIGHT = 10.0
LUCK = 1.0


@dataclass(frozen=True)
class Suspect:
    """A thing used this month: its looked-at parts, those it is held against, has it a past."""

    kind: SignalKind
    name: str
    parts: Bools
    others: Bools
    has_past: bool


def suspects(results: Results) -> Iterator[Suspect]:
    """Everything used this month that enough looked-at parts were made with."""
    recent = results.looked & (results.months_back < COMPARED_MONTHS)
    fresh = results.spells_back < FRESH_SPELLS
    for kind in SUBJECT_COLUMNS:
        for name in results.names(kind):
            parts = results.looked & results.uses(kind, name)
            past = kind in KINDS_WITH_A_PAST and int((parts & ~fresh).sum()) >= LEAST_PAST
            used = parts if past else parts & recent
            others = recent & ~parts
            if used.sum() >= LEAST_PARTS and others.sum() >= LEAST_OTHERS:
                yield Suspect(kind, name, used, others, past)


def suspect_looks(results: Results, usual: Chances, knowledge: Knowledge) -> list[Look]:
    """A look at every defect of every mould, lot and person of the month."""
    months = Months(results, usual)
    looks = []
    for suspect in suspects(results):
        chance = months.around(suspect.parts)
        for defect in results.watched:
            looks.append(_look(results, suspect, defect, chance[defect], knowledge))
    return looks


def _look(
    results: Results, suspect: Suspect, defect: str, chance: Floats, knowledge: Knowledge
) -> Look:
    found = results.column(defect)
    fresh = suspect.parts & (results.spells_back < FRESH_SPELLS)
    weight = LEAST_WEIGHT + min(float(chance[fresh].sum()), MOST_WEIGHT)
    p_value, window = _tested(results, suspect, found, chance)

    def make() -> Signal:
        if suspect.has_past:
            change = changed_at_window(results, suspect.parts, found, chance, window, True)
        else:
            change = _since_first_use(results, suspect, found, chance)
        text = _text(suspect, defect_title(defect, knowledge), change)
        return change.signal(suspect.kind, suspect.name, text, defect)

    return Look(p_value, make, weight)


def _tested(results: Results, suspect: Suspect, found: Bools, chance: Floats) -> tuple[float, int]:
    """(chance that luck shows as much, clearest window in half months)."""
    parts, others = suspect.parts, suspect.others
    if (found & parts & (results.spells_back < FRESH_SPELLS)).sum() < LEAST_FOUND:
        return LUCK, 1
    if suspect.has_past:
        counted = spells_of(results.spells_back[parts], found[parts], chance[parts])
        weights = window_weights(len(counted.made))
        tried = scan(counted.made, counted.found, counted.chance, weights)
        return tried.rise_p, tried.rise_window
    sides = (others, parts)
    tried = scan(
        np.array([side.sum() for side in sides]),
        np.array([found[side].sum() for side in sides]),
        np.array([chance[side].mean() for side in sides]),
        np.ones(1),
    )
    return tried.rise_p, 1


def _since_first_use(results: Results, suspect: Suspect, found: Bools, chance: Floats) -> Changed:
    first = EPOCH + np.timedelta64(int(results.day[suspect.parts].min()), "D").item()
    return changed_on(results, suspect.parts, found, chance, (first, first, first), suspect.others)


def _text(suspect: Suspect, title: str, change: Changed) -> str:
    against = "before" if suspect.has_past else "the others"
    named = subject_words(suspect.kind, suspect.name)
    return (
        f"{upper_first(title)} {named}: {counts_words(change.now)} "
        f"since {day_words(change.since)}, {against} {counts_words(change.before)}."
    )
