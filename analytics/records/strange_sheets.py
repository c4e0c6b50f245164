"""Sheets nothing could be read from, and what to do about each."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from analytics.records.gathering import FoundSheet, Group
from analytics.records.problems import Problem
from analytics.records.sheets import RawSheet
from analytics.records.spellings import is_heading

_HEADINGS = 4
_TITLES = 3


def sheet_problems(
    file: str, found: Sequence[FoundSheet], groups: Sequence[Group]
) -> list[Problem]:
    """Sheets with cells but no log in them, and files with nothing in them at all."""
    if not any(sheet.raw.filled().any() for sheet in found):
        return [
            Problem("file", file, "", None, None, f"{file}: nothing in it", "a log with headings",
                    "Save the log again, with its headings.")
        ]  # fmt: skip
    used = {int(number) for group in groups for number in np.unique(group.sheet_of)}
    empty = {number for number, sheet in enumerate(found) if not sheet.raw.filled().any()}
    return [
        _no_log(file, sheet)
        for number, sheet in enumerate(found)
        if number not in used | empty and not _only_headings(sheet)
    ]


def _only_headings(sheet: FoundSheet) -> bool:
    """Whether a sheet is one nobody has written in yet: headings, a title, no rows."""
    written = any(len(table.body) for table in sheet.layout.tables)
    return bool(sheet.layout.tables) and not written and len(sheet.layout.prose_rows) <= _TITLES


def _no_log(file: str, sheet: FoundSheet) -> Problem:
    """A sheet without headings, or whose headings are those of something else."""
    down = _heading_column(sheet.raw)
    if down is not None:
        return Problem(
            "sheet", file, sheet.raw.name, None, down,
            f"headings one under the other, {down} the first",
            "headings in one row, and a row for each part",
            "nothing read from this sheet. Copy it, paste it with Transpose ticked under Paste"
            " special, and import that.",
        )  # fmt: skip
    if not sheet.layout.tables:
        found, row = "no row of headings found", None
    else:
        row = sheet.layout.header_rows[-1]
        found = " | ".join(text for text in sheet.raw.row(row) if text)[:120]
    return Problem(
        "sheet",
        file,
        sheet.raw.name,
        None if row is None else row + 1,
        None,
        found,
        "a row that names the columns: part number, date, mould …",
        "nothing read from this sheet. If it is a log, put a row of headings above the records.",
    )


def _heading_column(raw: RawSheet) -> str | None:
    """The first heading of a sheet turned on its side, its headings down one column; else None."""
    for column in raw.columns[:2]:
        texts = [text for row in range(min(raw.rows, 60)) if (text := column.at(row))]
        known = [text for text in texts if is_heading(text)]
        if len(known) >= _HEADINGS and len(known) >= 0.5 * len(texts):
            return known[0]
    return None
