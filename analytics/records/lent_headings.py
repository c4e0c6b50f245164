"""Month sheets without headings of their own, read under those of the sheet beside them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from analytics.records.coded import Coded
from analytics.records.columns import IGNORED, FaultNamed, Match
from analytics.records.fields import Placement
from analytics.records.fitting import fit_of
from analytics.records.gathering import FoundSheet, columns_of_table
from analytics.records.headings import read_headings
from analytics.records.matching import match_columns
from analytics.records.problems import Problem
from analytics.records.record_kinds import choose_record
from analytics.records.sheets import Layout, RawSheet, Table
from analytics.records.spellings import field_of

_MOST = 0.8
_TELLING = 3


def with_lent_headings(
    file: str, sheets: Sequence[FoundSheet], placed: Mapping[str, Placement], named: FaultNamed
) -> tuple[list[FoundSheet], list[Problem]]:
    """The sheets, those without headings given a neighbour's where their columns fit, and a
    problem for each that was."""
    out, problems = list(sheets), []
    for number, sheet in enumerate(sheets):
        if sheet.layout.tables or not sheet.raw.filled().any():
            continue
        lender = next(
            (
                n
                for n in _nearest_first(number, sheets)
                if _fits(sheet.raw, sheets[n], placed, named)
            ),
            None,
        )
        if lender is not None:
            table = _under(sheet.raw, sheets[lender].layout.tables[0])
            out[number] = replace(sheet, layout=Layout((table,), (), ()))
            problems.append(_lent(file, sheet.raw.name, sheets[lender].raw.name))
    return out, problems


def _nearest_first(number: int, sheets: Sequence[FoundSheet]) -> list[int]:
    """The sheets with one table, the one before first."""
    others = [n for n, sheet in enumerate(sheets) if len(sheet.layout.tables) == 1]
    return sorted(others, key=lambda n: (abs(n - number), n > number))


def _under(raw: RawSheet, table: Table) -> Table:
    """A table of all rows of a sheet under another sheet's headings."""
    spare = ("",) * max(len(raw.columns) - len(table.headers), 0)
    return Table(
        (*table.headers, *spare)[: len(raw.columns)],
        (*table.groups, *spare)[: len(raw.columns)],
        (*table.above, *spare)[: len(raw.columns)],
        np.arange(raw.rows),
    )


def _fits(
    raw: RawSheet, lender: FoundSheet, placed: Mapping[str, Placement], named: FaultNamed
) -> bool:
    """Whether the cells of a sheet suit the fields the lender's columns are placed on."""
    own = columns_of_table(lender.raw, lender.layout.tables[0])
    record = choose_record(own, placed, lender.raw.name, named)
    if record is None or len(raw.columns) > len(own) + 1:
        return False
    matches = match_columns(record, own, placed, named, likeness=False)
    lent = columns_of_table(raw, _under(raw, lender.layout.tables[0]))
    suits = [
        _suits(record, match, column.cells)
        for match, column in zip(matches, lent, strict=False)
        if _is_telling(record, match) and column.cells.said.any()
    ]
    return len(suits) >= _TELLING and sum(suits) >= _MOST * len(suits)


def _is_telling(record: str, match: Match) -> bool:
    """Whether a column's field takes only some cells: figures, dates, choices, not any text."""
    if match.target in (None, IGNORED):
        return False
    try:
        return field_of(record, str(match.target)).kind not in ("text", "defects")
    except KeyError:
        return False


def _suits(record: str, match: Match, cells: Coded) -> bool:
    field = field_of(record, str(match.target))
    headings = read_headings(match.column.header)
    return any(fit_of(field, heading, cells).suits for heading in headings)


def _lent(file: str, sheet: str, lender: str) -> Problem:
    return Problem(
        "assumed",
        file,
        sheet,
        None,
        None,
        "no row of headings",
        "a row that names the columns",
        f'read under the headings of "{lender}", which its columns fit. If that is wrong, put'
        " the right headings above the records.",
    )
