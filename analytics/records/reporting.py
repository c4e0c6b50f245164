"""What reading found, as problems a person can act on and an account of every row."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from analytics.records.columns import FAULTY, Match
from analytics.records.fields import RECORDS
from analytics.records.finishing import Finished
from analytics.records.gathering import FoundSheet, Group
from analytics.records.problems import ColumnPlacement, NotRecord, Problem, SheetReport
from analytics.records.rows import BLANK, RECORD, TITLE, UNREADABLE, Kinds
from analytics.records.spellings import field_of
from analytics.records.wide import Told, Wide

_ONE_BY_ONE = 30
_LISTED = 1_000
_SHOWN = 3


def column_problems(
    file: str, sheets: Sequence[str], group: Group, matches: Sequence[Match]
) -> list[Problem]:
    """Columns that were not placed, or placed on a spelling that had to be guessed."""
    sheet = _sheet_of(sheets, group.sheet_of)
    problems = []
    for match in matches:
        header = match.column.header
        if not header:
            found = f"column {match.column.index + 1} has cells but no heading"
            problems.append(
                Problem("column", file, sheet, None, None, found, "a heading",
                        "kept as typed, not used. Give the column a heading.")
            )  # fmt: skip
        elif match.target is None:
            problems.append(_unplaced(file, sheet, match))
        elif match.strength in ("spelling", "likeness", "position", "side", "pattern"):
            action = (
                f"read as {name_of(group.record, match.target)} ({match.how}). If that is wrong:"
                f' laylog place "{header}" FIELD.'
            )
            problems.append(
                Problem("assumed", file, sheet, None, header, header, "a heading laylog knows",
                        action)
            )  # fmt: skip
    return problems


def _unplaced(file: str, sheet: str, match: Match) -> Problem:
    header = match.column.header
    likely = ", ".join(match.guesses[:2])
    example = match.guesses[0] if match.guesses else "FIELD"
    if match.rival:
        found = f'"{header}", beside "{match.rival}"'
        expected = f"one column for {match.guesses[0]}"
        action = (
            f'"{match.rival}" is used, this one kept as typed. Say what it is:'
            f' laylog place "{header}" FIELD, or ignore.'
        )
        return Problem("column", file, sheet, None, header, found, expected, action)
    closest = f"Closest: {likely}. " if likely else ""
    return Problem(
        "column",
        file,
        sheet,
        None,
        header,
        header,
        "a heading laylog knows",
        f'kept as typed, not used. {closest}Say what it is: laylog place "{header}" {example}'
        + (", or ignore." if likely else " (or ignore)."),
    )


def name_of(record: str, target: str) -> str:
    """A target in words: "Gel coat mix: Catalyst"."""
    if target in ("result", FAULTY):
        return "Outcome and faults"
    role, dot, _ = target.partition(".")
    try:
        field = field_of(record, target)
    except KeyError:
        return target
    lead = {"gelcoat": "Gel coat mix: ", "resin": "Resin mix: "}.get(role, "") if dot else ""
    return lead + field.name


def _sheet_of(sheets: Sequence[str], numbers: NDArray[np.intp]) -> str:
    """The one sheet rows come from, or "all sheets"."""
    own = np.unique(numbers)
    if len(sheets) == 1 or len(own) == 1:
        return sheets[int(own[0]) if len(own) else 0]
    return "all sheets"


# ---------------------------------------------------------------- cells


def cell_problems(file: str, sheets: Sequence[str], wide: Wide) -> list[Problem]:
    """The findings of a wide table: questions row by row, repeated words once each."""
    problems: list[Problem] = []
    for told in _in_few_lines(wide.told):
        problems.append(_cell_problem(file, sheets, wide, told))
    return problems


def _in_few_lines(told: Iterable[Told]) -> list[Told]:
    """Findings one by one while they are few in a column, gathered by kind when many."""
    by_column: dict[tuple[str, str], list[Told]] = {}
    for item in told:
        by_column.setdefault((item.header, item.finding.kind), []).append(item)
    lines: list[Told] = []
    for (_, kind), found in by_column.items():
        items = _same_words(found)
        rows = sum(len(item.rows) for item in items)
        if kind in ("ask", "date") and rows <= _ONE_BY_ONE:
            lines += [_at(item, row) for item in items for row in item.rows or (None,)]
        elif kind == "approximate":
            lines.append(_gathered(items))
        elif len(items) <= _ONE_BY_ONE:
            lines += items
        else:
            lines.append(_gathered(items))
    return lines


def _same_words(items: Sequence[Told]) -> list[Told]:
    """The findings with those in the same words put together."""
    by_words: dict[tuple[str, str], Told] = {}
    for item in items:
        key = (item.finding.found, item.finding.action)
        earlier = by_words.get(key)
        rows = tuple(sorted({*(earlier.rows if earlier else ()), *item.rows}))
        by_words[key] = Told(item.header, item.finding, rows)
    return list(by_words.values())


def _at(item: Told, row: int | None) -> Told:
    return Told(item.header, item.finding, () if row is None else (row,))


def _gathered(items: Sequence[Told]) -> Told:
    """One line for many findings of a kind: the commonest texts, and the first one's advice."""
    if len(items) == 1:
        return items[0]
    ranked = sorted(items, key=lambda item: -len(item.rows))
    shown = ", ".join(item.finding.found for item in ranked[:_SHOWN])
    more = f" and {len(ranked) - _SHOWN} more" if len(ranked) > _SHOWN else ""
    first = ranked[0].finding
    finding = type(first)(first.kind, shown + more, first.expected, first.action, first.code)
    return Told(items[0].header, finding, tuple(sorted(row for i in items for row in i.rows)))


def _cell_problem(file: str, sheets: Sequence[str], wide: Wide, told: Told) -> Problem:
    finding = told.finding
    sheet_of, row_of = wide.frame["sheet_no"].to_numpy(), wide.frame["row"].to_numpy()
    if not told.rows:
        sheet = _sheet_of(sheets, sheet_of) if len(sheet_of) else sheets[0]
        row = None
    else:
        sheet = sheets[int(sheet_of[told.rows[0]])]
        row = int(row_of[told.rows[0]]) + 1
    found = finding.found
    if len(told.rows) > 1:
        found += f" ({len(told.rows)} rows, the first in row {row})"
    return Problem(
        finding.kind, file, sheet, row, told.header, found, finding.expected, finding.action
    )


# ---------------------------------------------------------------- rows


def unreadable_problems(
    file: str, sheets: Sequence[str], group: Group, kinds: Kinds
) -> list[Problem]:
    """One problem for all rows with cells that say nothing of which record they are."""
    rows = np.flatnonzero(kinds == UNREADABLE)
    if not len(rows):
        return []
    expected = {
        "part": "a part number, or a date and a mould",
        "batch": "a mix number, or a date",
        "lot": "a lot number",
        "mould": "a mould number",
        "logger": "a date and time",
    }[group.record]
    first = int(rows[0])
    text = _row_text([c.cells.at(first) for c in group.columns])
    count = f" ({len(rows)} such rows)" if len(rows) > 1 else ""
    return [
        Problem(
            "unreadable row",
            file,
            sheets[int(group.sheet_of[first])],
            int(group.row_of[first]) + 1,
            None,
            text + count,
            expected,
            "left out. Fill in what is missing and import the file again.",
        )
    ]


def _row_text(cells: Iterable[str]) -> str:
    text = " | ".join(cell for cell in cells if cell)
    return text if len(text) <= 120 else text[:117] + "…"


def sheet_reports(
    found: Sequence[FoundSheet],
    groups: Sequence[tuple[Group, Sequence[Match], Kinds, Wide]],
    done: Finished,
) -> list[SheetReport]:
    """The account of every physical row of every sheet."""
    return [_sheet_report(number, sheet, groups, done) for number, sheet in enumerate(found)]


def _sheet_report(
    number: int,
    sheet: FoundSheet,
    groups: Sequence[tuple[Group, Sequence[Match], Kinds, Wide]],
    done: Finished,
) -> SheetReport:
    kinds = _kinds_of_rows(number, sheet, groups)
    columns = {
        match.column.header: _placement(match, wide)
        for group, matches, _, wide in groups
        if (group.sheet_of == number).any()
        for match in matches
    }
    kept = {record: done.kept.get(record, Counter())[number] for record in RECORDS}
    return SheetReport(
        sheet=sheet.raw.name,
        rows=sheet.raw.rows,
        parts=kept["part"],
        batches=kept["batch"],
        logger=kept["logger"],
        lots=kept["lot"],
        moulds=kept["mould"],
        duplicates=done.repeats[number],
        not_records=int((kinds != RECORD).sum()),
        listed=tuple(_listed(sheet, kinds)),
        columns=tuple(columns.values()),
        mixes_in_part_rows=done.mixes[number],
    )


def _kinds_of_rows(
    number: int,
    sheet: FoundSheet,
    groups: Sequence[tuple[Group, Sequence[Match], Kinds, Wide]],
) -> Kinds:
    """What every physical row of a sheet is."""
    kinds = np.full(sheet.raw.rows, BLANK, dtype=object)
    kinds[list(sheet.layout.prose_rows)] = TITLE if sheet.layout.tables else UNREADABLE
    kinds[list(sheet.layout.header_rows)] = "header"
    for table in sheet.layout.tables:
        kinds[table.body] = UNREADABLE
    for group, _, group_kinds, _ in groups:
        own = group.sheet_of == number
        kinds[group.row_of[own]] = group_kinds[own]
    return kinds


def _placement(match: Match, wide: Wide) -> ColumnPlacement:
    target = match.target
    remark = wide.remarks.get(str(target), "")
    how = f"{match.how}; {remark}" if remark else match.how
    return ColumnPlacement(match.column.header, target, match.unit, how)


def _listed(sheet: FoundSheet, kinds: Kinds) -> list[NotRecord]:
    """The rows that are no records, a run of blank rows in one line, at most a thousand lines."""
    lines: list[NotRecord] = []
    rows = np.flatnonzero(kinds != RECORD)
    position = 0
    while position < len(rows):
        row, kind = int(rows[position]), str(kinds[rows[position]])
        run = 1
        if kind == BLANK:
            while (
                position + run < len(rows)
                and rows[position + run] == row + run
                and (kinds[row + run] == BLANK)
            ):
                run += 1
        if len(lines) == _LISTED:
            left = len(rows) - position
            lines.append(NotRecord(row + 1, "note", f"and {left} more rows that are no records"))
            break
        text = _row_text(sheet.raw.row(row)) if kind != BLANK else _blank_text(run)
        lines.append(NotRecord(row + 1, kind, text))
        position += run
    return lines


def _blank_text(run: int) -> str:
    return "blank row" if run == 1 else f"{run} blank rows"
