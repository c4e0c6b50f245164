"""Columns known by what stands in them, where no heading says what they are."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from analytics.records.coded import Coded
from analytics.records.columns import FAULTY, Column, Match
from analytics.records.words import plain, words

# A date, a clock time, a share or a figure with decimals is no part number.
_NO_ID = re.compile(r"[%°:,]|^[\d\s]*\.\d+$|\d[./-]\d+[./-]\d|^\d{4}-\d\d-\d\d")
_FEW_ROWS = 5


def with_part_numbers(matches: Sequence[Match]) -> list[Match]:
    """Where no heading names the parts: the first unknown column with a number of its own in
    every row."""
    if any(match.target == "part_id" for match in matches):
        return list(matches)
    first = next((m for m in matches if m.target is None and _tells_apart(m.column)), None)
    return [
        replace(m, target="part_id", strength="pattern", how="a number of its own in every row")
        if m is first
        else m
        for m in matches
    ]


def _tells_apart(column: Column) -> bool:
    """Whether nearly every row has a short text with a figure in it that no other row has."""
    cells = column.cells
    rows = int(cells.counts[cells.filled_codes].sum())
    if not column.header or rows < _FEW_ROWS or rows < 0.9 * int(cells.said.size):
        return False
    texts = [cells.texts[code] for code in cells.filled_codes]
    named = [t for t in texts if any(map(str.isdigit, t)) and len(t) <= 24 and len(t.split()) <= 2]
    plainly = [text for text in named if not _NO_ID.search(text)]
    return len(plainly) >= 0.9 * len(texts) and len(texts) >= 0.95 * rows


def with_ticks_apart(matches: Sequence[Match]) -> list[Match]:
    """ "Reject?" with a yes or no beside "Fault" with words: a column of its own kind."""
    faults = [m for m in matches if m.target == "defects" and m.column.cells.filled_codes]
    ticks = [m for m in faults if _all_yes_or_no(m.column.cells)]
    if not ticks or len(ticks) == len(faults):
        return list(matches)
    return [replace(m, target=FAULTY) if m in ticks else m for m in matches]


def _all_yes_or_no(cells: Coded) -> bool:
    marks = words().yes | words().no | words().cross
    return all(plain(cells.texts[code]) in marks for code in cells.filled_codes)
