"""Cells of a file typed anew by hand before the file is read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from analytics.records.coded import Coded, tidy
from analytics.records.sheets import RawSheet


@dataclass(frozen=True)
class Mend:
    """What a cell should have said: `row` counts from 1 as the spreadsheet shows it, `column` from
    0."""

    sheet: str
    row: int
    column: int
    text: str


def with_mends(sheets: Sequence[RawSheet], mends: Sequence[Mend]) -> list[RawSheet]:
    """The sheets with the mends put in; one for a cell that is not there is left out."""
    return [_mended(sheet, [m for m in mends if m.sheet == sheet.name]) for sheet in sheets]


def _mended(sheet: RawSheet, mends: Sequence[Mend]) -> RawSheet:
    columns = list(sheet.columns)
    for mend in mends:
        if 0 <= mend.column < len(columns) and 0 < mend.row <= sheet.rows:
            columns[mend.column] = _with_text(columns[mend.column], mend.row - 1, mend.text)
    return replace(sheet, columns=tuple(columns)) if mends else sheet


def _with_text(column: Coded, row: int, text: str) -> Coded:
    wanted = tidy(text)
    texts = column.texts if wanted in column.texts else (*column.texts, wanted)
    codes: np.ndarray[tuple[int], np.dtype[np.int32]] = column.codes.copy()
    codes[row] = texts.index(wanted)
    return Coded(texts, codes)
