"""Is the log still kept as it was? Results, faults and readings no longer written down."""

from __future__ import annotations

import numpy as np

from analytics.days import day_words
from analytics.month.changed import changed_at_window
from analytics.month.looks import Look
from analytics.month.results import ANY_FAULT, Bools, Results
from analytics.month.scan import scan
from analytics.month.spells import (
    FRESH_SPELLS,
    Spells,
    natural_spread,
    spells_counted,
    spells_of,
    window_weights,
)
from analytics.month.suspects import suspects
from analytics.month.tally import Counts, Tally
from analytics.month.words import counts_words, field_words, upper_first

READINGS = (
    "operator", "mould_id", "air_c", "humidity_pct", "mould_c", "pulls_since_renewal", "wax_coats",
    "pva_used", "gelcoat_wet_mm", "backup_hours", "demould_hours", "gelcoat_catalyst_pct",
    "gelcoat_gel_min", "gelcoat_lot", "resin_catalyst_pct", "resin_gel_min", "resin_lot",
)  # fmt: skip
FILLED_BY = ("part", "mix")
STOPPED = 0.35
"""Faults falling to about a third or less of before, all at once, may be a pen laid down."""
SILENCE = 0.3
"""A reading is no longer kept up when it is missing on so many more of the parts."""
LEAST_PARTS = 10


def reporting_looks(results: Results, tally: Tally) -> list[Look]:
    """A look at missing results, at faults that stopped (shop, each person), at each reading."""
    every = np.ones(len(results.jobs), dtype=bool)
    looks = [_missing_look(results, every, ~results.looked, "result")]
    looks.append(_fault_look(results, tally, tally.shop, results.looked, "faults", ""))
    for suspect in suspects(results, tally):
        if suspect.kind == "operator" and suspect.has_past:
            parts = results.looked & results.uses("operator", suspect.name)
            by = f" by {suspect.name}"
            looks.append(_fault_look(results, tally, suspect.own, parts, suspect.name, by))
    for field in READINGS:
        looks.append(_missing_look(results, every, _unwritten(results, field), field))
    return looks


def _unwritten(results: Results, field: str) -> Bools:
    """True for parts on which nobody wrote the reading (a logger's filling in does not count)."""
    missing = results.jobs[field].isna().to_numpy(dtype=bool)
    tag = f"{field}_from"
    if tag not in results.jobs:
        return missing
    return missing | ~results.jobs[tag].isin(FILLED_BY).to_numpy(dtype=bool)


def _missing_look(results: Results, scope: Bools, missing: Bools, subject: str) -> Look:
    if missing[-1] and missing.all():
        return Look()
    rate = max(float(missing.mean()), 1e-6)
    flat = np.full(len(results.jobs), rate)
    counted = spells_of(results.spells_back, missing, flat)
    if counted.found[-FRESH_SPELLS:].sum() == 0:
        return Look()
    p_value, window = _scanned(counted, rise=True)
    if p_value >= 1.0:
        return Look()
    change = changed_at_window(results, scope, missing, flat, window, True)
    gap = (change.now.share or 0.0) - (change.before.share or 0.0)
    name = "result" if subject == "result" else field_words(subject)[0]
    text = (
        f"{upper_first(name)} no longer written down as before: missing on "
        f"{counts_words(change.now)} parts since {day_words(change.since)}, "
        f"before on {counts_words(change.before)}."
    )
    told = gap >= SILENCE or subject == "result"
    if not told:
        return Look()
    return Look(p_value, lambda: change.signal("reporting", subject, text, None))


def _fault_look(
    results: Results, tally: Tally, counts: Counts, parts: Bools, subject: str, by: str
) -> Look:
    column = tally.usual.column(ANY_FAULT)
    if counts.found[:, column].sum() == 0:
        return Look()
    p_value, window = _scanned(spells_counted(counts, column), rise=False)
    if p_value >= 1.0:
        return Look()
    faulty, chance = results.column(ANY_FAULT), tally.usual[ANY_FAULT]
    change = changed_at_window(results, parts, faulty, chance, window, False)
    stopped = (change.now.share or 0.0) <= STOPPED * (change.before.share or 0.0)
    text = (
        f"Hardly any faults written{by}: {counts_words(change.now)} parts since "
        f"{day_words(change.since)}, before {counts_words(change.before)}. Either the work got "
        "much better all at once or faults are no longer written down."
    )
    told = stopped and change.now.out_of >= LEAST_PARTS
    if not told:
        return Look()
    return Look(p_value, lambda: change.signal("reporting", subject, text, None))


def _scanned(counted: Spells, *, rise: bool) -> tuple[float, int]:
    weights = window_weights(len(counted.made))
    tried = scan(counted.made, counted.found, counted.chance, weights, natural_spread(counted))
    return (tried.rise_p, tried.rise_window) if rise else (tried.fall_p, tried.fall_window)
