"""Which rows under the headings are records, and what the others are."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from analytics.records.coded import Coded, Flags
from analytics.records.columns import IGNORED, Match
from analytics.records.dates import read_date_text
from analytics.records.gathering import Group, flags_of
from analytics.records.words import any_of, is_blank, plain, words

RECORD, BLANK, TOTAL, NOTE, UNREADABLE, TITLE = (
    "record",
    "blank",
    "total",
    "note",
    "unreadable",
    "title",
)
Kinds = NDArray[np.object_]
_FEW_CELLS = 2


def classify(group: Group, matches: Sequence[Match]) -> Kinds:
    """For every row of the group: record, blank, total, note, title (a date of its own) or
    unreadable (cells, but nothing that says which record it is)."""
    rows = len(group.row_of)
    kinds: Kinds = np.full(rows, RECORD, dtype=object)
    cells = [column.cells for column in group.columns]
    filled = np.zeros(rows, dtype=np.intp)
    for column in cells:
        filled += column.said
    by_target = {m.target: m.column.cells for m in matches if m.target and m.target != IGNORED}
    day_lines = _dated_lines(cells, filled) & (group.record != "logger")
    named = _identity(group.record, by_target, filled, dated=np.logical_or.accumulate(day_lines))
    kinds[~named & (filled > _FEW_CELLS)] = UNREADABLE
    kinds[~named & (filled <= _FEW_CELLS)] = NOTE
    kinds[_prose(group.record, by_target, filled)] = NOTE
    kinds[day_lines] = TITLE
    if group.record != "logger":
        kinds[_totals(group.record, by_target, cells, filled)] = TOTAL
    kinds[filled == 0] = BLANK
    return kinds


def _has(by_target: Mapping[str, Coded], target: str, rows: int) -> Flags:
    if target not in by_target:
        return np.zeros(rows, dtype=np.bool_)
    return by_target[target].said


def _identity(
    record: str, by_target: Mapping[str, Coded], filled: NDArray[np.intp], dated: Flags
) -> Flags:
    """Rows that say which record they are: a number, or a date with something beside it.

    `dated` rows stand under a line that gives their day.
    """
    rows = len(filled)

    def has(target: str) -> Flags:
        return _has(by_target, target, rows)

    if record == "part":
        beside = has("mould_id") if "mould_id" in by_target else filled > _FEW_CELLS
        dated = dated | has("date") | _ditto_date(by_target, rows)
        return has("part_id") | (dated & beside)
    if record == "batch":
        linked = has("part_id") | ((dated | has("date")) & (filled > _FEW_CELLS))
        return has("batch_id") | linked
    if record == "logger":
        return has("timestamp") | has("date")
    return has("lot") if record == "lot" else has("mould_id")


def _ditto_date(by_target: Mapping[str, Coded], rows: int) -> Flags:
    """Rows under a date written once for the day count as dated when the column is kept so."""
    if "date" not in by_target:
        return np.zeros(rows, dtype=np.bool_)
    return np.full(rows, carries_down(by_target["date"]))


def carries_down(dates: Coded) -> bool:
    """Whether dates are written once a day: many empty cells, and no marks for "not known"."""
    if not len(dates.codes):
        return False
    empty = dates.flags(lambda text: not text)
    marked = dates.flags(
        lambda text: bool(text) and is_blank(text) and plain(text) not in words().ditto
    )
    return bool(empty.mean() >= 0.3 and not marked.any() and (~empty).sum() >= 2)


def _prose(record: str, by_target: Mapping[str, Coded], filled: NDArray[np.intp]) -> Flags:
    """Nearly empty rows whose words are a sentence rather than the name of a record."""
    key = {"part": "part_id", "batch": "batch_id", "lot": "lot", "mould": "mould_id"}.get(record)
    if key is None or key not in by_target:
        return np.zeros(len(filled), dtype=np.bool_)
    ids = by_target[key]
    prose = filled <= _FEW_CELLS
    for row in np.flatnonzero(prose):
        text = ids.at(int(row))
        wordy = len(text.split()) > 3 or len(text) > 40
        prose[row] = wordy or (filled[row] == 1 and not _looks_like_id(text))
    return prose


def _looks_like_id(text: str) -> bool:
    first = text.casefold().partition(" ")[0].strip(".,:")
    if first in words().months:  # "November 2023", over the month's rows
        return False
    return len(text.split()) <= 2 and any(mark.isdigit() for mark in text) and len(text) <= 24


def _dated_lines(cells: Sequence[Coded], filled: NDArray[np.intp]) -> Flags:
    """Rows with nothing but a date in them: a day's heading in a diary."""
    alone = filled == 1
    if not alone.any():
        return alone
    dated = np.zeros(len(filled), dtype=np.bool_)
    for column in cells:
        dated |= _date_flags(column, alone)
    return alone & dated


def _date_flags(column: Coded, chosen: Flags) -> Flags:
    wanted = set(np.unique(column.codes[chosen]).tolist())
    by_code = [code in wanted and is_day_heading(text) for code, text in enumerate(column.texts)]
    return np.array(by_code, dtype=np.bool_)[column.codes]


def is_day_heading(text: str) -> bool:
    """Whether a line is a full date or a day and month: "Monday 4 March"."""
    if len(text) < 5 or len(text) > 40:
        return False
    date = read_date_text(text)
    if date is None:
        return False
    return bool(date.known or date.day_month or (date.figures and len(date.figures) == 3))


def _totals(
    record: str,
    by_target: Mapping[str, Coded],
    cells: Sequence[Coded],
    filled: NDArray[np.intp],
) -> Flags:
    """Rows that sum up others: a total word in front, and no record number of their own."""
    pattern = re.compile(rf"(?:{any_of(words().total)})(?:\s|:|$|=)", re.IGNORECASE)

    starts = frozenset(word[:1].casefold() for word in words().total)

    def is_total(text: str) -> bool:
        return text[:1].casefold() in starts and pattern.match(text) is not None

    key = {"part": "part_id", "batch": "batch_id", "lot": "lot", "mould": "mould_id"}.get(record)
    ids = by_target.get(key) if key else None
    in_front = flags_of(cells[:4], is_total, len(filled)) > 0
    if ids is None:
        return in_front & (filled <= max(len(cells) // 2, 3))
    counted = in_front & (filled <= _FEW_CELLS + 1) & ids.flags(str.isdigit)
    return ids.flags(is_total) | (in_front & ~ids.said) | counted
