"""The tables of all sheets of a file, those of one kind put together so columns speak as one."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analytics.records.coded import Coded, blank_column, joined
from analytics.records.columns import Column, FaultNamed, may_share
from analytics.records.fields import Placement
from analytics.records.headings import is_unit_text
from analytics.records.hints import Hints, read_hints
from analytics.records.matching import match_columns
from analytics.records.record_kinds import choose_record
from analytics.records.sheets import Layout, RawSheet, Table, find_layout
from analytics.records.spellings import is_heading
from analytics.records.words import plain, words

Rows = NDArray[np.intp]
Holders = dict[str, tuple[str, str]]


@dataclass(frozen=True)
class FoundSheet:
    """A sheet with its layout and what its titles say."""

    raw: RawSheet
    layout: Layout
    hints: Hints


@dataclass(frozen=True)
class Group:
    """All rows of one file that hold one kind of record under the same stated units.

    `sheet_of` and `row_of` give each row's sheet number and row number (from 0). `breaks` are
    the rows at which a new sheet starts.
    """

    record: str
    columns: tuple[Column, ...]
    sheet_of: Rows
    row_of: Rows
    breaks: tuple[int, ...]
    hints: Hints


def find_sheet(raw: RawSheet) -> FoundSheet:
    """The sheet with its tables found and its titles read."""
    layout = find_layout(raw, is_heading, is_unit_text, role_named)
    last = max((int(table.body[-1]) for table in layout.tables if len(table.body)), default=0)
    tail = range(max(last - 5, 0), last + 1) if layout.tables else range(0)
    lines = [text for row in layout.prose_rows for text in raw.row(row) if text]
    lines += [text for row in tail if (text := _only_text(raw, row))]
    return FoundSheet(raw, layout, read_hints(raw.name, lines))


def _only_text(raw: RawSheet, row: int) -> str | None:
    texts = [text for text in raw.row(row) if text]
    return texts[0] if len(texts) == 1 else None


def role_named(text: str) -> str | None:
    """The mix a wide heading is about: gelcoat, resin, "" for another subject, None if unknown."""
    role = words().roles.get(plain(text).strip(":.- "))
    return "" if role == "none" else role


def gather(
    sheets: Sequence[FoundSheet], placed: Mapping[str, Placement], named: FaultNamed
) -> list[Group]:
    """The rows of all sheets in groups of one kind of record, columns joined by heading.

    Tables that call one thing by different headings stay apart. Tables that are no log are left
    out.
    """
    kinds: dict[tuple[str, ...], tuple[str | None, Holders]] = {}
    parts: dict[tuple[str, Hints | None], list[_Together]] = {}
    for number, sheet in enumerate(sheets):
        for table in sheet.layout.tables:
            if table.headers not in kinds:
                columns = columns_of_table(sheet.raw, table)
                record = choose_record(columns, placed, sheet.raw.name, named)
                kinds[table.headers] = record, _holders(record, columns, placed, named)
            record, holders = kinds[table.headers]
            if record is not None:
                alike = parts.setdefault((record, _units_only(sheet.hints)), [])
                _put_with(alike, holders, (number, table))
    return [
        _group(record, together.tables, sheets)
        for (record, _), alike in parts.items()
        for together in alike
    ]


@dataclass
class _Together:
    """Tables whose columns can be joined, and which heading holds each field in them."""

    holders: Holders
    tables: list[tuple[int, Table]]


def _holders(
    record: str | None,
    columns: Sequence[Column],
    placed: Mapping[str, Placement],
    named: FaultNamed,
) -> Holders:
    """The heading that holds each field of a table."""
    if record is None:
        return {}
    matches = match_columns(record, columns, placed, named, likeness=False)
    return {
        match.target: (plain(match.column.header), match.column.group)
        for match in matches
        if match.target and not may_share(match.target)
    }


def _put_with(alike: list[_Together], holders: Holders, table: tuple[int, Table]) -> None:
    """Add a table to the first others that call nothing by another heading."""
    for together in alike:
        if all(together.holders.get(field, name) == name for field, name in holders.items()):
            together.holders.update(holders)
            together.tables.append(table)
            return
    alike.append(_Together(dict(holders), [table]))


def _units_only(hints: Hints) -> Hints:
    return Hints(hints.units, hints.order, (), ())


def columns_of_table(raw: RawSheet, table: Table) -> list[Column]:
    """The columns of a table, a heading or none each."""
    return [
        Column(
            index,
            header,
            table.groups[index],
            raw.columns[index].rows(table.body),
            table.above[index],
        )
        for index, header in enumerate(table.headers)
    ]


def _group(record: str, found: Sequence[tuple[int, Table]], sheets: Sequence[FoundSheet]) -> Group:
    keyed = [_by_heading(sheets[number].raw, table) for number, table in found]
    order = dict.fromkeys(key for columns in keyed for key in columns)
    lengths = [len(table.body) for _, table in found]
    columns = tuple(
        Column(
            index,
            _header_of(key, keyed),
            key[2],
            joined(
                columns[key].cells if key in columns else blank_column(length)
                for columns, length in zip(keyed, lengths, strict=True)
            ),
            next(columns[key].above for columns in keyed if key in columns),
        )
        for index, key in enumerate(order)
    )
    starts = np.concatenate([[0], np.cumsum(lengths)[:-1]]) if lengths else np.zeros(0, int)
    return Group(
        record,
        columns,
        np.repeat([number for number, _ in found], lengths).astype(np.intp),
        np.concatenate([table.body for _, table in found]),
        tuple(int(start) for start in starts),
        sheets[found[0][0]].hints,
    )


def _by_heading(raw: RawSheet, table: Table) -> dict[tuple[str, int, str], Column]:
    """Columns by heading, the how-manieth of that heading, and the wide heading above."""
    seen: dict[tuple[str, str], int] = {}
    columns: dict[tuple[str, int, str], Column] = {}
    for column in columns_of_table(raw, table):
        if not column.header and not column.cells.flags(bool).any():
            continue
        name = (plain(column.header), column.group)
        seen[name] = seen.get(name, 0) + 1
        columns[(name[0], seen[name], name[1])] = column
    return columns


def _header_of(
    key: tuple[str, int, str], keyed: Sequence[Mapping[tuple[str, int, str], Column]]
) -> str:
    return next(columns[key].header for columns in keyed if key in columns)


def flags_of(columns: Sequence[Coded], test: Callable[[str], bool], rows: int) -> Rows:
    """Per row, how many of the columns hold a text that passes."""
    total = np.zeros(rows, dtype=np.intp)
    for column in columns:
        total += column.flags(test)
    return total
