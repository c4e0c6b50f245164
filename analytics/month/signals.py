"""What stands out this month: every family of looks, corrected, with what came together."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date

import numpy as np

from analytics.knowledge.model import Knowledge
from analytics.month.answer import NOT_ENOUGH, Signal, SignalKind
from analytics.month.conditions import condition_looks
from analytics.month.looks import BUDGET, Look, standing_out
from analytics.month.process import process_looks
from analytics.month.rates import defect_looks, rise_without
from analytics.month.reporting import reporting_looks
from analytics.month.results import ANY_FAULT, SUBJECT_COLUMNS, Results
from analytics.month.suspects import LEAST_PARTS, suspect_looks, suspects
from analytics.month.tally import Tally
from analytics.month.together import with_confounders
from analytics.month.usual import Usual, usual_chances
from analytics.month.words import KIND_WORDS, subject_words

LEAST_MONTHS = 2
LEAST_RESULTS = 20
SILENT_DAYS = 45
EXPLAINED = 0.05
LEAST_REST = 0.25
"""Share of the parts that must be left for their being quiet to mean anything."""


SEEN_MONTHS = 3
"""A signal that comes and goes around its limit is no news each time it is back."""
FAMILY_OF: Mapping[SignalKind, str] = {
    "defect": "defects",
    "mould": "suspects",
    "gelcoat_lot": "suspects",
    "resin_lot": "suspects",
    "catalyst_lot": "suspects",
    "operator": "suspects",
    "condition": "conditions",
    "process": "process",
    "reporting": "reporting",
}
Family = Callable[[Results, Tally, Knowledge], list[Look]]
FAMILIES: Mapping[str, Family] = {
    "defects": defect_looks,
    "suspects": suspect_looks,
    "conditions": lambda results, _tally, knowledge: condition_looks(results, knowledge),
    "process": lambda results, _tally, _knowledge: process_looks(results),
    "reporting": lambda results, tally, _knowledge: reporting_looks(results, tally),
}


def stands_out(
    results: Results, usual: Usual, knowledge: Knowledge
) -> tuple[tuple[Signal, ...], tuple[str, ...], int]:
    """(signals, what could not be judged in words, how many things were looked at)."""
    if _too_early(results):
        text = f"What stands out: {NOT_ENOUGH} (fewer than {LEAST_MONTHS} earlier months)."
        return (), (text,), 0
    tally = Tally(results, usual)
    looks = {name: looked_at(results, tally, knowledge) for name, looked_at in FAMILIES.items()}
    kept = [s for name, family in looks.items() for s in standing_out(family, BUDGET[name])]
    signals = with_confounders(_clear_of_echoes(kept), results)
    signals = [_explained(signal, signals, results, tally) for signal in signals]
    signals = _with_news(signals, results, knowledge)
    ordered = sorted(signals, key=lambda signal: (not signal.new, signal.q_value))
    return (
        tuple(ordered),
        _not_judged(results, tally),
        sum(len(family) for family in looks.values()),
    )


def _with_news(signals: Sequence[Signal], results: Results, knowledge: Knowledge) -> list[Signal]:
    """Each signal marked as seen before where the review of one of the last months showed it."""
    told: dict[int, str] = {}
    for back in range(1, SEEN_MONTHS + 1):
        fresh = [at for at in range(len(signals)) if at not in told]
        earlier = results.until(back)
        if not fresh or not len(earlier.jobs) or _too_early(earlier):
            break
        families = {FAMILY_OF[signals[at].kind] for at in fresh}
        shown = _shown(earlier, knowledge, families)
        told |= {at: earlier.month.key for at in fresh if _same(signals[at]) in shown}
    return [
        replace(one, new=at not in told, last_shown=told.get(at)) for at, one in enumerate(signals)
    ]


def _shown(
    results: Results, knowledge: Knowledge, families: set[str]
) -> set[tuple[str, str, str | None, str]]:
    tally = Tally(results, usual_chances(results))
    return {
        _same(signal)
        for name in families
        for signal in standing_out(FAMILIES[name](results, tally, knowledge), BUDGET[name])
    }


def _same(signal: Signal) -> tuple[str, str, str | None, str]:
    return signal.kind, signal.subject, signal.defect, signal.direction


def _too_early(results: Results) -> bool:
    before = results.looked & ~results.this_month
    months = np.unique(results.months_back[before]).size
    return months < LEAST_MONTHS or int(before.sum()) < LEAST_RESULTS


def _clear_of_echoes(signals: Sequence[Signal]) -> list[Signal]:
    """Signals less those that only repeat another, clearest kept.

    Once faults are no longer written, every defect seems to fall; one condition shows on several
    limits and defects; and a defect on the rise takes the count of all faulty parts with it.
    """
    silent = [s.since for s in signals if s.kind == "reporting" and s.since is not None and s.fell]
    named = {(s.kind, _thing(s)) for s in signals if s.defect not in (None, ANY_FAULT)}
    kept: list[Signal] = []
    for signal in sorted(signals, key=lambda one: one.p_value):
        again = signal.kind == "condition" and any(
            one.kind == "condition" and one.subject == signal.subject for one in kept
        )
        summed = signal.defect == ANY_FAULT and (signal.kind, _thing(signal)) in named
        if not (again or summed or _falls_with(signal, silent)):
            kept.append(signal)
    return kept


def _thing(signal: Signal) -> str:
    """The mould, lot or person a signal is about; the shop as a whole for a defect's rate."""
    return "" if signal.kind == "defect" else signal.subject


def _falls_with(signal: Signal, silent: Sequence[date]) -> bool:
    if signal.kind != "defect" or signal.since is None or not signal.fell:
        return False
    since = signal.since
    return any(abs((since - day).days) <= SILENT_DAYS for day in silent)


def _explained(signal: Signal, signals: Sequence[Signal], results: Results, tally: Tally) -> Signal:
    """A rise over the whole shop says so where it is all on one mould, lot or person."""
    if signal.kind != "defect" or signal.defect is None:
        return signal
    for other in signals:
        if other.kind in SUBJECT_COLUMNS and other.defect == signal.defect:
            rest = ~results.uses(other.kind, other.subject)
            enough = rest[results.looked].mean() >= LEAST_REST
            without = rise_without(tally, signal.defect, other.kind, other.subject)
            if enough and without > EXPLAINED:
                named = subject_words(other.kind, other.subject)
                return replace(
                    signal, text=f"{signal.text} Leave out parts {named} and nothing is left of it."
                )
    return signal


def _not_judged(results: Results, tally: Tally) -> tuple[str, ...]:
    """Things used this month that could not be judged, and why, in words."""
    judged = {(suspect.kind, suspect.name) for suspect in suspects(results, tally)}
    lines = []
    for kind in SUBJECT_COLUMNS:
        for name in results.names(kind):
            if (kind, name) not in judged:
                many = tally.of(kind, name).made.sum() >= LEAST_PARTS
                why = "on nearly every part, so nothing to compare with" if many else NOT_ENOUGH
                lines.append(f"{KIND_WORDS[kind]} {name}: {why}.")
    if not results.defects:
        lines.append("No fault was ever named in this log: only faulty parts could be counted.")
    return tuple(lines)
