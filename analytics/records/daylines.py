"""Days written once: on a line of their own above the rows, or only on the first row."""

from __future__ import annotations

import numpy as np

from analytics.records.cells import Finding
from analytics.records.coded import Coded
from analytics.records.gathering import Group
from analytics.records.rows import RECORD, TITLE, Kinds, carries_down
from analytics.records.words import is_blank

CARRIED = Finding(
    "assumed",
    "no date",
    "a date in every row",
    "taken as the last date above. If that is wrong, write the dates in.",
)


def with_days_from_lines(cells: Coded, group: Group, kinds: Kinds) -> Coded:
    """Dates written once: on a line of their own above a day's rows, or on its first row only."""
    lines = np.flatnonzero(kinds == TITLE)
    carried = carries_down(cells.rows(np.flatnonzero(kinds == RECORD)))
    if len(lines) == 0 and not carried:
        return cells
    texts = dict.fromkeys(cells.texts)
    line_texts = {int(row): _only_text(group, int(row)) for row in lines}
    texts |= dict.fromkeys(line_texts.values())
    numbers = {text: number for number, text in enumerate(texts)}
    codes = np.array([numbers[text] for text in cells.texts], dtype=np.int32)[cells.codes]
    blank = numbers.get("", -1)
    starts, current = set(group.breaks), -1
    for row in range(len(codes)):
        if row in starts:
            current = -1
        if row in line_texts:
            current = numbers[line_texts[row]]
        elif codes[row] == blank and current >= 0 and kinds[row] == RECORD:
            codes[row] = current
        elif carried and codes[row] != blank:
            current = int(codes[row])
    return Coded(tuple(texts), codes)


def _only_text(group: Group, row: int) -> str:
    return next((text for c in group.columns if not is_blank(text := c.cells.at(row))), "")
