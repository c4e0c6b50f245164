"""What stands out this month: every family of looks, corrected, with what came together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np

from analytics.knowledge.model import Knowledge
from analytics.month.answer import NOT_ENOUGH, Signal
from analytics.month.conditions import condition_looks
from analytics.month.looks import BUDGET, Look, standing_out
from analytics.month.process import process_looks
from analytics.month.rates import defect_looks, rise_without
from analytics.month.reporting import reporting_looks
from analytics.month.results import ANY_FAULT, SUBJECT_COLUMNS, Results
from analytics.month.suspects import LEAST_PARTS, suspect_looks, suspects
from analytics.month.together import with_confounders
from analytics.month.usual import Chances, usual_chances
from analytics.month.words import KIND_WORDS, subject_words

LEAST_MONTHS = 2
LEAST_RESULTS = 20
SILENT_DAYS = 45
EXPLAINED = 0.05
LEAST_REST = 0.25
"""Share of the parts that must be left for their being quiet to mean anything."""


def stands_out(
    results: Results, knowledge: Knowledge
) -> tuple[tuple[Signal, ...], tuple[str, ...], int]:
    """(signals, what could not be judged in words, how many things were looked at)."""
    if _too_early(results):
        text = f"What stands out: {NOT_ENOUGH} (fewer than {LEAST_MONTHS} earlier months)."
        return (), (text,), 0
    usual = usual_chances(results)
    families: dict[str, list[Look]] = {
        "defects": defect_looks(results, usual, knowledge),
        "suspects": suspect_looks(results, usual, knowledge),
        "conditions": condition_looks(results, knowledge),
        "process": process_looks(results),
        "reporting": reporting_looks(results, usual),
    }
    kept = [s for name, looks in families.items() for s in standing_out(looks, BUDGET[name])]
    signals = with_confounders(_clear_of_echoes(kept), results)
    signals = [_explained(signal, signals, results, usual) for signal in signals]
    ordered = sorted(signals, key=lambda signal: signal.q_value)
    return tuple(ordered), _not_judged(results), sum(len(looks) for looks in families.values())


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


def _explained(
    signal: Signal, signals: Sequence[Signal], results: Results, usual: Chances
) -> Signal:
    """A rise over the whole shop says so where it is all on one mould, lot or person."""
    if signal.kind != "defect" or signal.defect is None:
        return signal
    for other in signals:
        if other.kind in SUBJECT_COLUMNS and other.defect == signal.defect:
            rest = ~results.uses(other.kind, other.subject)
            enough = rest[results.looked].mean() >= LEAST_REST
            if enough and rise_without(results, usual, signal.defect, rest) > EXPLAINED:
                named = subject_words(other.kind, other.subject)
                return replace(
                    signal, text=f"{signal.text} Leave out parts {named} and nothing is left of it."
                )
    return signal


def _not_judged(results: Results) -> tuple[str, ...]:
    """Things used this month that could not be judged, and why, in words."""
    judged = {(suspect.kind, suspect.name) for suspect in suspects(results)}
    lines = []
    for kind in SUBJECT_COLUMNS:
        for name in results.names(kind):
            if (kind, name) not in judged:
                many = (results.uses(kind, name) & results.looked).sum() >= LEAST_PARTS
                why = "on nearly every part, so nothing to compare with" if many else NOT_ENOUGH
                lines.append(f"{KIND_WORDS[kind]} {name}: {why}.")
    if not results.defects:
        lines.append("No fault was ever named in this log: only faulty parts could be counted.")
    return tuple(lines)
