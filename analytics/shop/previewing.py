"""Files looked at before they are kept: cells as typed next to what was understood, and mends."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from analytics.errors import QuestionError
from analytics.knowledge.loading import defect_words
from analytics.records.fields import KEYS
from analytics.records.log import ORIGIN, columns_of
from analytics.shop.keeping import ImportAnswer
from analytics.shop.understood import said, texts_of
from analytics.shop.writing import Writing

if TYPE_CHECKING:
    import pandas as pd

    from analytics.records.gathering import FoundSheet
    from analytics.records.mends import Mend
    from analytics.records.problems import FileReport, Problem, SheetReport
    from analytics.records.reading import ReadResult

FIRST_ROWS = 5
MOST_PROBLEM_ROWS = 40
_RECORDS = {"part": "part", "batch": "mix", "lot": "lot", "mould": "mould", "logger": "reading"}


@dataclass(frozen=True)
class PreviewCell:
    """One cell: its heading and field, as it stood in the file, how it was read, what is wrong.

    `read` is None where nothing was understood or the column is not used; `mended` is what was
    typed in its place.
    """

    column: int
    heading: str
    target: str | None
    typed: str
    read: str | None
    problems: tuple[Problem, ...]
    mended: str | None


@dataclass(frozen=True)
class PreviewRow:
    """One row of a sheet: what it was read as ("part P-014", "no record") and its cells."""

    row: int
    about: str
    cells: tuple[PreviewCell, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class PreviewSheet:
    """A sheet: rows with something to look at, then its first rows; `left` more are not shown."""

    file: str
    sheet: str
    to_mend: tuple[PreviewRow, ...]
    first: tuple[PreviewRow, ...]
    left: int


@dataclass(frozen=True)
class Preview:
    """What would be kept of dropped files, nothing kept yet."""

    answer: ImportAnswer
    sheets: tuple[PreviewSheet, ...]


class Previewing(Writing):
    """Reading without keeping, and keeping what was looked at."""

    def preview(
        self, paths: Sequence[str | Path], mends: Mapping[str, Sequence[Mend]] | None = None
    ) -> Preview:
        """What would be read from these files with these cells typed anew (by file name)."""
        as_found = self._reading(paths, {})
        read = self._reading(paths, mends) if mends else as_found
        sheets = [
            _Sheet(read, as_found, report, sheet, (mends or {}).get(report.file, ())).preview()
            for report in read.files
            for sheet in report.sheets
            if report.file in read.found
        ]
        return Preview(ImportAnswer(read.files), tuple(s for s in sheets if s.to_mend or s.first))

    def keep_files(
        self, paths: Sequence[str | Path], mends: Mapping[str, Sequence[Mend]]
    ) -> ImportAnswer:
        """What was kept of files that were looked at, and of the cells typed anew, together.

        What the file says is kept first, then what was typed in its place, with its history.
        """
        from analytics.records.digests import digests

        read, now = self._reading(paths, mends), self._now()
        if not any(mends.values()):
            saved = self.store.save(read, now=now, sha256=digests(paths))
            return ImportAnswer(read.files, saved)
        as_found = self._reading(paths, {})
        rows = {(file, m.sheet, m.row) for file, listed in mends.items() for m in listed}
        first = _unmended(read, as_found, rows)
        by_hand = _only(read, rows, self._hand_file())
        saved = self.store.save_mended(first, by_hand, now=now, sha256=digests(paths))
        return ImportAnswer((*read.files, *by_hand.files), saved)

    def _reading(
        self, paths: Sequence[str | Path], mends: Mapping[str, Sequence[Mend]] | None
    ) -> ReadResult:
        from analytics.records.reading import read_files

        names = [Path(path).name for path in paths]
        if len(set(names)) < len(names):
            raise QuestionError("two of these files have the same name; drop them one by one.")
        return read_files(
            [Path(path) for path in paths],
            defect_words=defect_words(self.knowledge),
            placed=self.store.placements(),
            settings=self.store.settings(),
            today=self._now().date(),
            mends=mends,
        )


# ---------------------------------------------------------------- what to keep


def _at(table: pd.DataFrame) -> list[tuple[str, str, int]]:
    return list(zip(table["file"], table["sheet"], table["row"].fillna(0).astype(int), strict=True))


def _unmended(
    read: ReadResult, as_found: ReadResult, rows: set[tuple[str, str, int]]
) -> ReadResult:
    """The reading with the mended rows as the file has them; those it cannot name left out.

    A cell emptied by hand is empty: there is nothing to put right in it later.
    """
    import pandas as pd

    from analytics.records.reading import ReadResult

    tables = dict(read.tables)
    for record, key in KEYS.items():
        table, before = read.tables[record], as_found.tables[record]
        mended = pd.Series([at in rows for at in _at(table)], index=table.index, dtype=bool)
        if not mended.any():
            continue
        earlier = before[[at in rows for at in _at(before)]].set_index(key, drop=False)
        now = table[mended].set_index(key, drop=False)
        earlier = earlier[~earlier.index.duplicated() & earlier.index.isin(now.index)]
        values = [c for c in columns_of(record) if c not in ORIGIN]
        emptied = now.loc[earlier.index, values].isna()
        earlier[values] = earlier[values].mask(emptied)
        tables[record] = pd.concat([table[~mended], earlier], ignore_index=True)
    parts = tables["part"]["part_id"]
    faults, before = read.tables["defect"], as_found.tables["defect"]
    touched = read.tables["part"].loc[[at in rows for at in _at(read.tables["part"])], "part_id"]
    kept = [faults[~faults["part_id"].isin(touched)], before[before["part_id"].isin(touched)]]
    together = pd.concat(kept, ignore_index=True)
    tables["defect"] = together[together["part_id"].isin(parts)]
    return ReadResult(read.files, tables)


def _only(read: ReadResult, rows: set[tuple[str, str, int]], file: str) -> ReadResult:
    """The mended rows alone, under the name that what is typed by hand goes by."""
    from analytics.records.problems import FileReport
    from analytics.records.reading import ReadResult

    tables = {}
    for record in KEYS:
        table = read.tables[record]
        tables[record] = table[[at in rows for at in _at(table)]].assign(file=file)
    faults = read.tables["defect"]
    tables["defect"] = faults[faults["part_id"].isin(tables["part"]["part_id"])]
    return ReadResult((FileReport(file, (), ()),), tables)


# ---------------------------------------------------------------- what to show


class _Sheet:
    """One sheet of a reading, cell by cell."""

    def __init__(
        self,
        read: ReadResult,
        as_found: ReadResult,
        report: FileReport,
        sheet: SheetReport,
        mends: Sequence[Mend],
    ) -> None:
        self.report, self.sheet = report, sheet
        self.found = _sheet_of(read, report.file, sheet.sheet)
        self.typed = _sheet_of(as_found, report.file, sheet.sheet)
        self.targets = {column.header: column.target for column in sheet.columns}
        own = [m for m in mends if m.sheet == sheet.sheet and 0 < m.row <= sheet.rows]
        self.mends = {(m.row, m.column): m.text for m in own}
        self.problems = [p for p in report.problems if p.sheet == sheet.sheet and p.row]
        self.records = {
            record: table[(table["file"] == report.file) & (table["sheet"] == sheet.sheet)]
            for record, table in read.tables.items()
            if record in KEYS
        }

    def preview(self) -> PreviewSheet:
        """The rows to look at, and the first ones."""
        troubled = {p.row for p in self.problems if p.row}
        troubled |= {row for row, _ in self.mends}
        troubled |= {n.row for n in self.sheet.listed if n.kind == "unreadable"}
        shown = sorted(troubled)[:MOST_PROBLEM_ROWS]
        body = [int(r) + 1 for t in self.found.layout.tables for r in t.body[: FIRST_ROWS * 4]]
        read = {int(r) for table in self.records.values() for r in table["row"].dropna()}
        first = [row for row in body if row in read][:FIRST_ROWS]
        return PreviewSheet(
            self.report.file,
            self.sheet.sheet,
            tuple(map(self._row, shown)),
            tuple(map(self._row, first)),
            len(troubled) - len(shown),
        )

    def _row(self, row: int) -> PreviewRow:
        here = [p for p in self.problems if p.row == row]
        values, about = self._values(row)
        cells = []
        for column, heading in enumerate(self._headings(row)):
            target = self.targets.get(heading)
            own = tuple(p for p in here if _is_about(p, heading, target))
            typed = self.typed.raw.columns[column].at(row - 1)
            mended = self.mends.get((row, column))
            if heading or typed:
                read = values.get(target or "")
                cells.append(PreviewCell(column, heading, target, typed, read, own, mended))
        told = {problem for cell in cells for problem in cell.problems}
        rest = tuple(problem for problem in here if problem not in told)
        return PreviewRow(row, about, tuple(cells), rest)

    def _headings(self, row: int) -> tuple[str, ...]:
        for table in self.found.layout.tables:
            if row - 1 in table.body:
                return table.headers
        return ("",) * len(self.found.raw.columns)

    def _values(self, row: int) -> tuple[dict[str, str], str]:
        """What was read in a row, as texts by target; and what the row was read as."""
        values: dict[str, str] = {}
        about = ""
        for record, table in self.records.items():
            for _, read in table[table["row"] == row].iterrows():
                role = read["material"] if record == "batch" and about else ""
                values |= dict(texts_of(record, read, f"{role}." if role else ""))
                about = about or f"{_RECORDS[record]} {said(read[KEYS[record]])}"
        return values, about or "no record"


def _sheet_of(read: ReadResult, file: str, name: str) -> FoundSheet:
    return next(sheet for sheet in read.found[file] if sheet.raw.name == name)


def _is_about(problem: Problem, heading: str, target: str | None) -> bool:
    if not problem.column or not heading:
        return False
    return problem.column == target or heading in (problem.column, *problem.column.split(" + "))
