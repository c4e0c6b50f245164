"""Which kind of record a table holds, told by its headings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set

from analytics.records.columns import IGNORED, STRENGTHS, Column, FaultNamed
from analytics.records.fields import KEYS, RECORDS, Placement
from analytics.records.matching import match_columns
from analytics.records.spellings import RESULT
from analytics.records.words import plain

# What a table of readings taken by the clock may hold, and a table of parts is more than.
_CLIMATE = frozenset({"part_id", "date", "start_time", "air_c", "humidity_pct", "mould_c", "notes"})
_SHEET_WORDS = {
    "part": ("part", "job", "mould log", "moulding", "production"),
    "batch": ("mix", "batch", "pot"),
    "lot": ("lot", "drum", "stock", "material"),
    "mould": ("moulds", "molds", "tools", "tooling"),
    "logger": ("logger", "climate", "weather", "temp", "sensor"),
}
_WHICH_PART = frozenset({"part_id", "date", "mould_id"})
_MIXING = frozenset(
    {"catalyst_pct", "gel_min", "mass_kg", "lot", "material", "mix_method", "mix_min", "rest_min"}
)


def choose_record(
    columns: Sequence[Column], placed: Mapping[str, Placement], sheet: str, named: FaultNamed
) -> str | None:
    """The kind of record a table holds: the one most of its columns make sense for.

    None when it is no log: a list of codes, a sum by month.
    """
    scores = {record: _score(record, columns, placed, sheet, named) for record in RECORDS}
    best = max(scores, key=lambda record: (scores[record], record == "part"))
    return best if scores[best] > 0 else None


def _score(
    record: str,
    columns: Sequence[Column],
    placed: Mapping[str, Placement],
    sheet: str,
    named: FaultNamed,
) -> float:
    """How well the table suits a record: surely placed columns, the sheet's name, telltales."""
    every = match_columns(record, columns, placed, named, likeness=False)
    matches = [m for m in every if m.target not in (None, IGNORED)]
    found = {m.target for m in matches}
    if not _can_be(record, found):
        return 0.0
    score = sum(STRENGTHS[m.strength] / 4 for m in matches)
    score += 0.75 * any(word in plain(sheet) for word in _SHEET_WORDS[record])
    return score + _telltale(record, found)


def _can_be(record: str, found: Set[str | None]) -> bool:
    """Whether the fields found are enough to be this kind of record."""
    if record == "part":
        readings = found <= _CLIMATE and "start_time" in found
        return len(found) >= 2 and bool(found & _WHICH_PART) and not readings
    if record == "batch":
        return bool(found & _MIXING)
    if record == "logger":
        timed = KEYS[record] in found or "date" in found
        return timed and bool(found & {"air_c", "humidity_pct"})
    return KEYS[record] in found and len(found) >= 3


def _telltale(record: str, found: Set[str | None]) -> float:
    """Weight of fields only one kind of record has."""
    own = {
        "part": {"defects", RESULT, "outcome", "demould_hours", "backup_hours", "wax_coats"},
        "batch": {"mix_method", "mix_min", "rest_min", "gel_min", "material"},
        "lot": {"expires", "opened", "received", "sheet_gel_min"},
        "mould": {"corner_radius_mm", "last_renewal", "made", "deep"},
        "logger": {"timestamp"},
    }[record]
    return 0.5 * len(own & found)
