"""Files as a shop keeps them -> trusted tables, and a report of everything doubtful in them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from analytics.errors import FileError
from analytics.records.building import Surroundings, Wide, build, told_order_of
from analytics.records.cells import choice_of
from analytics.records.datecolumns import certain_order
from analytics.records.dates import Order
from analytics.records.faults import FaultReader
from analytics.records.fields import RECORDS, Placement, dictionary
from analytics.records.finishing import Finished, finish
from analytics.records.gathering import FoundSheet, Group, find_sheet, gather
from analytics.records.limits import LIMITS, Limits
from analytics.records.log import typed, typed_defects
from analytics.records.matching import Match, match_columns
from analytics.records.mix_links import (
    link_mixes,
    material_from_parts,
    missing_mixes,
    same_spelling,
)
from analytics.records.opening import log_files, open_sheets
from analytics.records.problems import FileReport, Problem, SheetReport
from analytics.records.reporting import (
    cell_problems,
    column_problems,
    sheet_reports,
    unreadable_problems,
)
from analytics.records.results import fault_reader
from analytics.records.rows import Kinds, classify
from analytics.records.settings import ReadSettings

_DATES = frozenset({"date", "timestamp", "received", "opened", "expires", "made", "last_renewal"})
Read = tuple[Group, Sequence[Match], Kinds, Wide]


@dataclass(frozen=True)
class ReadResult:
    """What was read: a report per file and the records of all files together.

    `tables` maps "part", "batch", "lot", "mould" and "logger" to tables with every field of that
    record as a column, and file, sheet, row and raw (JSON of the cells as typed); "part" also has
    `looked`. "defect" has part_id, defect, severity, place, words.
    """

    files: tuple[FileReport, ...]
    tables: dict[str, pd.DataFrame]


def read_files(
    paths: Iterable[str | Path],
    *,
    defect_words: Mapping[str, str],
    placed: Mapping[str, Placement],
    settings: Mapping[str, Any] | ReadSettings | None,
    today: dt.date,
    limits: Limits = LIMITS,
) -> ReadResult:
    """Everything the files hold, however untidy; a file that cannot be read does not stop others.

    Parameters
    ----------
    paths : files or folders
        CSV, TSV, text, XLSX, XLS or ODS; of a folder, the logs in it.
    defect_words : mapping
        Lower-case spelling of a fault to its defect id.
    placed : mapping
        Headings the shop has said the meaning of.
    settings : mapping
        The shop's own figures by their ids in fields.toml ("catalyst_g_ml" …).
    today : date
        Dates after it are not believed.
    """
    own = settings if isinstance(settings, ReadSettings) else ReadSettings.of(settings)
    reader = _FileReader(fault_reader(defect_words), placed, own, today, limits)
    for path in paths:
        reader.read_path(Path(path))
    return reader.result()


class _FileReader:
    def __init__(
        self,
        faults: FaultReader,
        placed: Mapping[str, Placement],
        settings: ReadSettings,
        today: dt.date,
        limits: Limits,
    ) -> None:
        self.faults, self.placed, self.settings = faults, placed, settings
        self.today, self.limits = today, limits
        self.reports: list[FileReport] = []
        self.done: list[Finished] = []

    def read_path(self, path: Path) -> None:
        """Read a file, or every log in a folder."""
        try:
            files = log_files(path)
        except FileError as error:
            self._failed(path, error)
            return
        for file in files:
            try:
                self._read_file(file)
            except FileError as error:
                self._failed(file, error)

    def _failed(self, path: Path, error: FileError) -> None:
        sentence, _, advice = str(error).partition(". ")
        problem = Problem(
            "file", path.name, "", None, None, sentence, "a log laylog can read", advice
        )
        self.reports.append(FileReport(path.name, (), (problem,)))
        self.done.append(Finished())

    def _read_file(self, path: Path) -> None:
        name = path.name
        found = [find_sheet(raw) for raw in open_sheets(path, self.limits)]
        sheets = [sheet.raw.name for sheet in found]
        named = self.faults.defect_named
        matched = [
            (group, match_columns(group.record, group.columns, self.placed, named))
            for group in gather(found, self.placed, named)
        ]
        around = Surroundings(
            [sheet.hints for sheet in found],
            self.settings,
            self.faults,
            self.today,
            _order_in_file(matched, self.today),
        )
        read = [_read_group(group, matches, around) for group, matches in matched]
        done = finish(name, sheets, _by_record(read, found))
        problems = _headless(name, found, [group for group, _ in matched])
        for group, matches, kinds, wide in read:
            problems += column_problems(name, sheets, group, matches)
            problems += unreadable_problems(name, sheets, group, kinds)
            problems += cell_problems(name, sheets, wide)
        done.problems = problems + done.problems
        self.done.append(done)
        reports: tuple[SheetReport, ...] = tuple(sheet_reports(found, read, done))
        self.reports.append(FileReport(name, reports, ()))

    def result(self) -> ReadResult:
        """All files together, with parts pointed at their mixes."""
        tables = {record: _together(record, self.done) for record in RECORDS}
        tables["part"] = link_mixes(
            tables["part"], [link for done in self.done for link in done.links]
        )
        tables["part"] = same_spelling(tables["part"], tables["batch"])
        tables["batch"] = material_from_parts(tables["batch"], tables["part"])
        tables["defect"] = _together_defects(self.done)
        reports = []
        for report, done in zip(self.reports, self.done, strict=True):
            missing = missing_mixes(report.file, tables)
            problems = (*report.problems, *done.problems, *missing)
            reports.append(FileReport(report.file, report.sheets, problems))
        return ReadResult(tuple(reports), tables)


def _read_group(group: Group, matches: Sequence[Match], around: Surroundings) -> Read:
    kinds = classify(group, matches)
    return group, matches, kinds, build(group, matches, kinds, around)


def _order_in_file(
    matched: Sequence[tuple[Group, Sequence[Match]]], today: dt.date
) -> Order | None:
    """The day and month order some columns of the file can only be read in, if they agree."""
    orders = {
        order
        for group, matches in matched
        for match in matches
        if match.target in _DATES
        and (order := certain_order(match.column.cells, told_order_of(group, match), today))
    }
    return orders.pop() if len(orders) == 1 else None


def _by_record(read: Sequence[Read], found: Sequence[FoundSheet]) -> dict[str, pd.DataFrame]:
    """The wide tables of one file, one per record."""
    frames: dict[str, list[pd.DataFrame]] = {}
    for group, _, _, wide in read:
        if group.record == "batch" and "material" not in wide.frame:
            wide.frame["material"] = [
                _material_of_sheet(found[number]) for number in wide.frame["sheet_no"]
            ]
        if len(wide.frame):
            frames.setdefault(group.record, []).append(wide.frame)
    return {
        record: pd.concat(listed, ignore_index=True).sort_values(["sheet_no", "row"])
        if len(listed) > 1
        else listed[0]
        for record, listed in frames.items()
    }


def _material_of_sheet(sheet: FoundSheet) -> str | None:
    """Gel coat or resin, when the sheet's name says which mixes are on it."""
    return choice_of(sheet.raw.name, dictionary().get("batch", "material"))


def _headless(file: str, found: Sequence[FoundSheet], groups: Sequence[Group]) -> list[Problem]:
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
        if number not in used | empty
        and not (sheet.layout.tables and not any(len(t.body) for t in sheet.layout.tables))
    ]


def _no_log(file: str, sheet: FoundSheet) -> Problem:
    """A sheet without headings, or whose headings are those of something else."""
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


def _together(record: str, done: Sequence[Finished]) -> pd.DataFrame:
    frames = [d.tables[record] for d in done if record in d.tables]
    if not frames:
        return typed(record, ())
    return pd.concat(frames, ignore_index=True) if len(frames) > 1 else frames[0]


def _together_defects(done: Sequence[Finished]) -> pd.DataFrame:
    frames = [d.tables["defect"] for d in done if "defect" in d.tables]
    return pd.concat(frames, ignore_index=True) if frames else typed_defects(())
