"""What an import has to say about the files it read: plain frozen objects, ready for JSON."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

RECORD_COUNTS = ("parts", "batches", "logger", "lots", "moulds")


@dataclass(frozen=True)
class Problem:
    """One thing a person should look at: what, where, as typed, what was expected, what to do.

    `kind` is one of the fixed words in `KINDS`. `row` counts from 1 as the spreadsheet shows it;
    None where the problem is about a whole column, sheet or file.
    """

    kind: str
    file: str
    sheet: str
    row: int | None
    column: str | None
    found: str
    expected: str
    action: str

    def to_json(self) -> dict[str, Any]:
        """The problem as the import answer prints it."""
        keys = ("kind", "sheet", "row", "column", "found", "expected", "action")
        return {key: getattr(self, key) for key in keys}


KINDS = {
    "file": "the file could not be read",
    "sheet": "a sheet that could not be read as a log",
    "column": "a column laylog does not know",
    "assumed": "a reading laylog assumed; say so if it is wrong",
    "ask": "a value left unknown until someone says what was meant",
    "approximate": "a value known only roughly",
    "unknown word": "a word laylog does not know",
    "date": "a date that cannot be right",
    "part number twice": "two different parts under one number",
    "mix number twice": "two different mixes under one number",
    "lot number twice": "two different lots under one number",
    "mould number twice": "two different moulds under one number",
    "missing mix": "a mix number with no mix behind it",
    "no number": "records without a number of their own",
    "unreadable row": "a row with cells, but nothing that says which record it is",
}


@dataclass(frozen=True)
class NotRecord:
    """A physical row that is no record; `kind` is blank, title, header, total, note, unreadable."""

    row: int
    kind: str
    text: str


@dataclass(frozen=True)
class ColumnPlacement:
    """Where one column went: `target` is None when it was not placed; `how` says how decided."""

    header: str
    target: str | None
    unit: str | None
    how: str


@dataclass(frozen=True)
class SheetReport:
    """The rows of one sheet, every one accounted for.

    `rows` equals parts + batches + logger + lots + moulds + duplicates + not_records.
    `mixes_in_part_rows` counts mixes written on part rows, which have no row of their own.
    `listed` names the rows that are no records, runs of blank rows by their first row.
    """

    sheet: str
    rows: int
    parts: int
    batches: int
    logger: int
    lots: int
    moulds: int
    duplicates: int
    not_records: int
    listed: tuple[NotRecord, ...]
    columns: tuple[ColumnPlacement, ...]
    mixes_in_part_rows: int

    def to_json(self) -> dict[str, Any]:
        """The counts and placements as the import answer prints them."""
        return asdict(self)


@dataclass(frozen=True)
class FileReport:
    """What was found in one file."""

    file: str
    sheets: tuple[SheetReport, ...]
    problems: tuple[Problem, ...]

    def to_json(self) -> dict[str, Any]:
        """The report as the import answer prints it."""
        return {
            "file": self.file,
            "sheets": [sheet.to_json() for sheet in self.sheets],
            "problems": [problem.to_json() for problem in self.problems],
        }
