"""What changed at the same time, so that the log cannot tell it from the thing that stands out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from analytics.days import day_words
from analytics.month.answer import Signal, SignalKind
from analytics.month.results import ANY_FAULT, SUBJECT_COLUMNS, Bools, Results
from analytics.month.spells import EPOCH
from analytics.month.words import KIND_WORDS, field_words
from analytics.saying import DEGREES_APART

SPAN_DAYS = 90
NEAR_DAYS = 30
ALIKE = 0.6
"""Two sets of parts that share so much of what either holds cannot be told apart."""
ENOUGH_SHARE = 0.2
LOT_SHARE = 0.5
COLDER_C = 5.0
SEASONS_MONTHS = 18
LEAST_PARTS = 5


def with_confounders(signals: Sequence[Signal], results: Results) -> list[Signal]:
    """The same signals, each with what changed together with it."""
    return [
        replace(signal, confounded_with=tuple(_together(signal, signals, results)))
        for signal in signals
    ]


def changed_together(since: date, signals: Sequence[Signal], results: Results) -> Iterator[str]:
    """What else changed in the shop around a day somebody changed something."""
    changed = Signal(
        kind="defect", subject=ANY_FAULT, since=since, text="", strength="", jobs=0, p_value=1.0,
        q_value=1.0,
    )  # fmt: skip
    return _together(changed, signals, results)


def _together(signal: Signal, signals: Sequence[Signal], results: Results) -> Iterator[str]:
    if signal.kind == "condition":
        yield from _same_faults(signal, signals)
    if signal.since is None or signal.kind == "reporting":
        return
    start = (signal.since - EPOCH).days
    span = results.day >= start - SPAN_DAYS
    after = _own(signal, results) & (results.day >= start)
    before = _own(signal, results) & span & ~after
    if before.sum() < LEAST_PARTS:
        before = span & ~after
    yield from _same_parts(signal, results, after, before)
    for drift in signals:
        if drift.kind != "process" or drift is signal or drift.since is None:
            continue
        if abs((drift.since - signal.since).days) <= NEAR_DAYS:
            yield f"{field_words(drift.subject)[0]} (since {day_words(drift.since)})"
    yield from _season(results, after, before)


def _same_faults(signal: Signal, signals: Sequence[Signal]) -> Iterator[str]:
    """Other conditions that the same faulty parts of the month were made under."""
    own = set(signal.part_ids)
    for other in signals:
        if other.kind == "condition" and other is not signal and other.defect == signal.defect:
            shared = own & set(other.part_ids)
            if len(shared) >= ALIKE * len(own | set(other.part_ids)):
                yield field_words(other.subject)[0]


def _own(signal: Signal, results: Results) -> Bools:
    """Parts the signal is about: the subject's own, or all of them."""
    if signal.kind in SUBJECT_COLUMNS:
        return results.uses(signal.kind, signal.subject)
    return np.ones(len(results.jobs), dtype=bool)


def _same_parts(signal: Signal, results: Results, after: Bools, before: Bools) -> Iterator[str]:
    """Things used on much the same parts, or that came or went within a month of the change."""
    span = before | after
    for kind in SUBJECT_COLUMNS:
        for name in results.used_on(kind, span):
            used = results.uses(kind, name)
            if (kind, name) == (signal.kind, signal.subject):
                continue
            shared = int((used & after).sum())
            alike = shared / max(1, int(((used & span) | after).sum()))
            if alike >= ALIKE:
                yield f"{KIND_WORDS[kind]} {name} ({shared} of the same {int(after.sum())} parts)"
            elif _came_or_went(results, signal, kind, used, after, before):
                yield f"{KIND_WORDS[kind]} {name} ({_use_words(results, used)})"


def _came_or_went(
    results: Results, signal: Signal, kind: SignalKind, used: Bools, after: Bools, before: Bools
) -> bool:
    """True where a thing came or went near the change and made up a fair share of the work.

    Lots come and go all the time: they count only where they take up most of one side.
    """
    assert signal.since is not None
    start = (signal.since - EPOCH).days
    days = results.day[used]
    came = abs(int(days.min()) - start) <= NEAR_DAYS and days.min() > results.day.min()
    went = abs(int(days.max()) - start) <= NEAR_DAYS
    gain = _portion(used, after) - _portion(used, before)
    enough = LOT_SHARE if kind.endswith("_lot") else ENOUGH_SHARE
    return bool((came and gain >= enough) or (went and -gain >= enough))


def _portion(used: Bools, parts: Bools) -> float:
    return float((used & parts).sum()) / max(1, int(parts.sum()))


def _use_words(results: Results, used: Bools) -> str:
    first, last = (
        day_words(EPOCH + timedelta(days=int(day)))
        for day in (results.day[used].min(), results.day[used].max())
    )
    return f"from {first} to {last}"


def _season(results: Results, after: Bools, before: Bools) -> Iterator[str]:
    """The weather, where it turned with the change and the log is too short to know the season."""
    if int(results.months_back.max()) >= SEASONS_MONTHS:
        return
    air = results.jobs["air_c"].to_numpy(dtype=np.float64, na_value=np.nan)
    known = np.isfinite(air)
    if min((after & known).sum(), (before & known).sum()) < LEAST_PARTS:
        return
    turned = float(air[after & known].mean() - air[before & known].mean())
    if abs(turned) >= COLDER_C:
        side = "warmer" if turned > 0 else "colder"
        yield f"the season ({abs(turned):.0f} {DEGREES_APART} {side} air)"
