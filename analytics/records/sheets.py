"""A sheet as found, and where in it the tables begin."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analytics.records.coded import Coded


@dataclass(frozen=True)
class RawSheet:
    """A sheet as found: `rows` physical rows, columns of cell texts."""

    name: str
    rows: int
    columns: tuple[Coded, ...]

    def row(self, index: int) -> tuple[str, ...]:
        """The cells of one row, counted from 0."""
        return tuple(column.at(index) for column in self.columns)

    def filled(self) -> NDArray[np.intp]:
        """How many cells of each row hold anything."""
        total = np.zeros(self.rows, dtype=np.intp)
        for column in self.columns:
            total += column.flags(bool)
        return total


@dataclass(frozen=True)
class Table:
    """The rows under one set of headings.

    `headers` has one text per sheet column ("" where there is none), `groups` the mix named by the
    heading that spans above it and `above` that heading. `body` are the row numbers (from 0)
    below it, headings left out.
    """

    headers: tuple[str, ...]
    groups: tuple[str, ...]
    above: tuple[str, ...]
    body: NDArray[np.intp]


@dataclass(frozen=True)
class Layout:
    """What each row of a sheet is: its tables, its heading rows and the prose around them."""

    tables: tuple[Table, ...]
    header_rows: tuple[int, ...]
    prose_rows: tuple[int, ...]


def find_layout(
    sheet: RawSheet,
    is_heading: Callable[[str], bool],
    is_unit: Callable[[str], bool],
    role_of: Callable[[str], str | None],
) -> Layout:
    """Where the tables of a sheet are.

    `is_heading` knows the headings shops write, `is_unit` unit words, `role_of` the words that
    say which mix a group of columns is about. A sheet without headings has no tables.
    """
    starts = _heading_rows(sheet, is_heading)
    if not starts:
        prose = np.flatnonzero(sheet.filled()).tolist()
        return Layout((), (), tuple(prose))
    header_rows: list[int] = []
    merged: dict[tuple[tuple[str, ...], ...], list[NDArray[np.intp]]] = {}
    for start, end in zip(starts, [*starts[1:], sheet.rows], strict=True):
        headers, extra = _with_units(sheet, start, end, is_unit)
        groups, spans, rows_above = _groups_above(sheet, start, role_of)
        header_rows += [*rows_above, start, *extra]
        body = np.arange(start + 1 + len(extra), end)
        merged.setdefault((headers, groups, spans), []).append(body)
    own = set(header_rows)
    tables = tuple(
        Table(headers, groups, spans, _without(np.concatenate(bodies), own))
        for (headers, groups, spans), bodies in merged.items()
    )
    prose = [row for row in range(starts[0]) if row not in own and any(sheet.row(row))]
    return Layout(tables, tuple(sorted(own)), tuple(prose))


def _without(rows: NDArray[np.intp], gone: set[int]) -> NDArray[np.intp]:
    return rows[~np.isin(rows, list(gone))]


def _heading_rows(sheet: RawSheet, is_heading: Callable[[str], bool]) -> list[int]:
    """Rows that are headings: at least two known ones, nothing that looks like a figure."""
    hits = np.zeros(sheet.rows, dtype=np.intp)
    filled = sheet.filled()
    enough = np.maximum(2, 0.4 * filled)
    # short columns first: after them few rows of a log can still be headings
    for done, column in enumerate(sorted(sheet.columns, key=lambda c: len(c.texts))):
        open_rows = hits + (len(sheet.columns) - done) >= enough
        hits += column.flags_early_or_often(is_heading, open_rows)
    likely = np.flatnonzero(hits >= enough)
    rows = [int(row) for row in likely if _figures(sheet, int(row)) <= 0.2 * filled[row]]
    return _strongest(rows, hits, filled) if rows else _unknown_headings(sheet, filled)


def _figures(sheet: RawSheet, row: int) -> int:
    return sum(map(_is_figure, sheet.row(row)))


def _strongest(rows: list[int], hits: NDArray[np.intp], filled: NDArray[np.intp]) -> list[int]:
    """Of heading rows right under each other, the one with most known headings."""
    kept: list[int] = []
    for row in rows:
        if kept and row == kept[-1] + 1:
            if hits[row] > hits[kept[-1]]:
                kept[-1] = row
        elif not kept or (hits[row] >= 3 and hits[row] >= 0.6 * filled[row]):
            kept.append(row)
    return kept


def _unknown_headings(sheet: RawSheet, filled: NDArray[np.intp]) -> list[int]:
    """The first row of words above rows of figures, when no heading of it is known."""
    figures = [_figures(sheet, row) for row in range(min(sheet.rows, 66))]
    for row in range(min(sheet.rows - 1, 60)):
        below = figures[row + 1 : row + 6]
        if filled[row] >= 3 and figures[row] == 0 and sum(map(bool, below)) > 0.7 * len(below):
            return [row]
    return []


def _is_figure(text: str) -> bool:
    """Whether a cell holds a figure, date or number rather than a heading."""
    if not text:
        return False
    digits = sum(character.isdigit() for character in text)
    return digits > 0 and digits >= 0.3 * len(text)


def _with_units(
    sheet: RawSheet, start: int, end: int, is_unit: Callable[[str], bool]
) -> tuple[tuple[str, ...], list[int]]:
    """The headings, with the units written in a row of their own below them."""
    headers = sheet.row(start)
    if start + 1 >= end:
        return headers, []
    below = sheet.row(start + 1)
    written = [text for text in below if text]
    if len(written) < 2 or sum(map(is_unit, written)) < 0.7 * len(written):
        return headers, []
    both = [
        f"{h} ({u.strip('()[]')})" if h and u else h for h, u in zip(headers, below, strict=True)
    ]
    return tuple(both), [start + 1]


def _groups_above(
    sheet: RawSheet, start: int, role_of: Callable[[str], str | None]
) -> tuple[tuple[str, ...], tuple[str, ...], list[int]]:
    """For each column the mix named in a wider heading above it, and that heading ("": none)."""
    nothing = ("",) * len(sheet.columns)
    if start == 0:
        return nothing, nothing, []
    headers = sheet.row(start)
    # a heading joined over both rows stands above itself
    above = tuple("" if a == h else a for a, h in zip(sheet.row(start - 1), headers, strict=True))
    roles = [role_of(text) if text else None for text in above]
    written = [text for text in above if text]
    wide = len(written) >= 2 and len(written) < 0.7 * sum(1 for text in headers if text)
    if not any(roles) or not wide or any(map(_is_figure, written)):
        return nothing, nothing, []
    mixes: list[str] = []
    spans: list[str] = []
    mix = span = ""
    for text, role in zip(above, roles, strict=True):
        if text:
            mix, span = role or "", text
        mixes.append(mix)
        spans.append(span)
    return tuple(mixes), tuple(spans), [start - 1]
