"""Cold, damp, thin film, short waits ...: more of it this month, and it goes with a defect.

A condition stands out only if both hold: this month had more of it than the months before, and
over the last two years parts made under it had the defect more often than other parts off the
same mould (Mantel-Haenszel). The conditions and the defects they bring come from the trade
knowledge; nothing else is searched for.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from math import isnan

import numpy as np
import pandas as pd

from analytics.knowledge.model import Evidence, Knowledge
from analytics.month.answer import Signal
from analytics.month.changed import ids
from analytics.month.looks import Look
from analytics.month.results import Bools, Results
from analytics.month.spells import exact_p, share_of
from analytics.month.words import counts_words, defect_title, field_words, upper_first
from analytics.stats.differences import mantel_haenszel

LOOK_BACK_MONTHS = 24
LEAST_EXPOSED = 5
LEAST_UNEXPOSED = 10
LEAST_FOUND = 2
OFTEN = 2
"""A cause is looked at for the defects it brings often or usually, not for the rare ones."""


@dataclass(frozen=True)
class Condition:
    """A recorded condition half way or more to full harm: which parts have it, which are known."""

    field: str
    words: str
    exposed: Bools
    known: Bools
    defects: tuple[str, ...]


def conditions(results: Results, knowledge: Knowledge) -> Iterator[Condition]:
    """Each condition of the knowledge that the log records, with the defects it can bring."""
    brings: dict[tuple[object, ...], tuple[Evidence, set[str]]] = {}
    for cause in knowledge.causes.values():
        often = {defect for defect, level in cause.levels.items() if level >= OFTEN}
        for evidence in cause.evidence:
            key = (evidence.field, evidence.harm, _limit(evidence), evidence.values)
            brings.setdefault(key, (evidence, set()))[1].update(often)
    asked = {evidence.field for evidence, _ in brings.values()} & set(results.jobs.columns)
    kept = {field for field in asked if results.jobs[field].notna().any()}
    for evidence, defects in brings.values():
        if evidence.field in kept:
            yield _condition(results, evidence, _as_counted(defects, results, knowledge))


def _limit(evidence: Evidence) -> float | None:
    if evidence.none is None or evidence.full is None:
        return None
    return (evidence.none + evidence.full) / 2.0


def _as_counted(defects: set[str], results: Results, knowledge: Knowledge) -> tuple[str, ...]:
    """The defects as this log counts them: a member under its group where the group is used."""
    groups = {d: knowledge.defects[d].group for d in defects if d in knowledge.defects}
    counted = {d if d in results.defects else groups.get(d) for d in defects}
    return tuple(sorted(d for d in counted if d is not None and d in results.defects))


def _condition(results: Results, evidence: Evidence, defects: tuple[str, ...]) -> Condition:
    column = results.jobs[evidence.field]
    name, unit = field_words(evidence.field)
    limit = _limit(evidence)
    if evidence.harm == "is" or limit is None:
        known = column.notna().to_numpy(dtype=bool)
        exposed = _is_one_of(column, evidence.values)
        words = f"{name} {' or '.join(evidence.values)}"
    else:
        value = results.figure(evidence.field)
        known = ~np.isnan(value)
        below = evidence.harm == "below"
        exposed = (value <= limit) if below else (value >= limit)
        side = "at most" if below else "at least"
        words = f"{name} {side} {limit:.3g} {unit}".strip()
    return Condition(evidence.field, words, exposed & known, known, defects)


def _is_one_of(column: pd.Series, values: tuple[str, ...]) -> Bools:
    if column.dtype == "boolean":
        column = column.map({True: "yes", False: "no"})
    # a column has few different words: each is looked at once
    place, words = pd.factorize(column)
    wanted = {value.lower() for value in values}
    fits = np.array([*(str(word).lower() in wanted for word in words), False], dtype=bool)
    return fits[place]


def condition_looks(results: Results, knowledge: Knowledge) -> list[Look]:
    """A look at each recorded condition with each defect it can bring."""
    looks = []
    for condition in conditions(results, knowledge):
        more = _more_than_usual(results, condition)
        for defect in condition.defects:
            linked = _goes_with(results, condition, defect) if more < 1.0 else 1.0
            make = partial(_signal, results, condition, defect, knowledge)
            looks.append(Look(max(more, linked), make) if linked < 1.0 else Look())
    return looks


def _more_than_usual(results: Results, condition: Condition) -> float:
    """Chance that luck alone gives this month so much of the condition; 1 with too few parts."""
    if np.count_nonzero(condition.exposed & results.this_month) < LEAST_EXPOSED:
        return 1.0
    now = condition.exposed[condition.known & results.this_month]
    before = condition.exposed[condition.known & ~results.this_month]
    if before.size < LEAST_UNEXPOSED:
        return 1.0
    return exact_p(share_of(now), share_of(before), more=True)


def _goes_with(results: Results, condition: Condition, defect: str) -> float:
    """One-sided P that parts under the condition have the defect more often, mould for mould."""
    hit = results.column(defect) & results.looked
    if np.count_nonzero(hit & condition.exposed & results.this_month) < LEAST_FOUND:
        return 1.0
    used = results.looked & condition.known & (results.months_back < LOOK_BACK_MONTHS)
    found, exposed = hit[used], condition.exposed[used]
    if (~exposed).sum() < LEAST_UNEXPOSED:
        return 1.0
    # parts of no known mould (-1) are a mould of their own
    mould = results.users("mould").codes[0][used] + 1
    cell = mould * 4 + np.where(exposed, 0, 2) + np.where(found, 0, 1)
    tables = np.bincount(cell, minlength=4 * (int(mould.max()) + 1)).reshape(-1, 2, 2)
    pooled = mantel_haenszel(tables[tables.any(axis=(1, 2))], continuity=True)
    if isnan(pooled.p_value) or not pooled.odds_ratio > 1.0:
        return 1.0
    return pooled.p_value / 2.0


def _signal(results: Results, condition: Condition, defect: str, knowledge: Knowledge) -> Signal:
    used = results.looked & condition.known & (results.months_back < LOOK_BACK_MONTHS)
    found = results.column(defect)
    under, without = used & condition.exposed, used & ~condition.exposed
    now = share_of(condition.exposed[condition.known & results.this_month])
    before = share_of(condition.exposed[condition.known & ~results.this_month])
    text = (
        f"{upper_first(condition.words)}: {counts_words(now)} parts this "
        f"month, before {counts_words(before)}. {defect_title(defect, knowledge)} when so: "
        f"{counts_words(share_of(found[under]))}, otherwise "
        f"{counts_words(share_of(found[without]))}."
    )
    return Signal(
        kind="condition", subject=condition.field, since=None, text=text, strength="",
        jobs=now.count, p_value=1.0, q_value=1.0, defect=defect,
        now=share_of(found[under]), before=share_of(found[without]),
        part_ids=ids(results.jobs["part_id"][under & found & results.this_month]), direction="up",
    )  # fmt: skip
