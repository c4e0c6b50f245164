"""Files as a shop keeps them -> trusted tables, and a report of everything doubtful in them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from analytics.errors import FileError
from analytics.records.building import Surroundings, build, told_order_of
from analytics.records.cells import choice_of
from analytics.records.columns import Match
from analytics.records.daily_numbers import pointed_by_day
from analytics.records.datecolumns import certain_order
from analytics.records.dates import Order
from analytics.records.faults import FaultReader
from analytics.records.fields import RECORDS, Placement, dictionary
from analytics.records.finishing import Finished, finish
from analytics.records.gathering import FoundSheet, Group, find_sheet, gather
from analytics.records.lent_headings import with_lent_headings
from analytics.records.limits import LIMITS, Limits
from analytics.records.log import typed, typed_defects
from analytics.records.lots_or_mixes import lots_told_from_mixes, mix_numbers
from analytics.records.matching import match_columns
from analytics.records.mends import Mend, with_mends
from analytics.records.mix_links import (
    link_mixes,
    material_from_parts,
    missing_mixes,
    same_spelling,
)
from analytics.records.opening import log_files, open_sheets
from analytics.records.own_export import OwnExport, own_csv, own_workbook
from analytics.records.problems import FileReport, Problem, SheetReport
from analytics.records.reporting import (
    cell_problems,
    column_problems,
    sheet_reports,
    unreadable_problems,
)
from analytics.records.results import fault_reader
from analytics.records.rows import RECORD, UNREADABLE, Kinds, classify
from analytics.records.settings import ReadSettings
from analytics.records.strange_sheets import sheet_problems
from analytics.records.wide import Wide, with_moments
from analytics.stopping import step

_DATES = frozenset({"date", "timestamp", "received", "opened", "expires", "made", "last_renewal"})
Read = tuple[Group, Sequence[Match], Kinds, Wide]


@dataclass(frozen=True)
class ReadResult:
    """What was read: a report per file and the records of all files together.

    `tables` maps "part", "batch", "lot", "mould" and "logger" to tables with every field of that
    record as a column, and file, sheet, row and raw (JSON of the cells as typed); "part" also has
    `looked`. "defect" has part_id, defect, severity, place, words. `found` maps a file to its
    sheets as they stood in it, mends put in.
    """

    files: tuple[FileReport, ...]
    tables: dict[str, pd.DataFrame]
    found: Mapping[str, Sequence[FoundSheet]] = field(default_factory=dict)


def read_files(
    paths: Iterable[str | Path],
    *,
    defect_words: Mapping[str, str],
    placed: Mapping[str, Placement],
    settings: Mapping[str, Any] | ReadSettings | None,
    today: dt.date,
    limits: Limits = LIMITS,
    mends: Mapping[str, Sequence[Mend]] | None = None,
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
    mends : mapping
        Cells typed anew before reading, by file name.
    """
    own = settings if isinstance(settings, ReadSettings) else ReadSettings.of(settings)
    reader = _FileReader(fault_reader(defect_words), placed, own, today, limits, mends or {})
    for path in paths:
        reader.open_path(Path(path))
    reader.read_all()
    return reader.result()


@dataclass(frozen=True)
class _Opened:
    """A file with its columns placed: its sheets, what was lent to them, its groups."""

    name: str
    found: list[FoundSheet]
    lent: list[Problem]
    matched: list[tuple[Group, list[Match]]]


class _FileReader:
    def __init__(
        self,
        faults: FaultReader,
        placed: Mapping[str, Placement],
        settings: ReadSettings,
        today: dt.date,
        limits: Limits,
        mends: Mapping[str, Sequence[Mend]],
    ) -> None:
        self.mends = mends
        self.faults, self.placed, self.settings = faults, placed, settings
        self.today, self.limits = today, limits
        self.opened: list[_Opened | OwnExport | tuple[Path, FileError]] = []
        self.reports: list[FileReport] = []
        self.done: list[Finished] = []

    def open_path(self, path: Path) -> None:
        """Open a file, or every log in a folder, and place its columns."""
        try:
            files = log_files(path)
        except FileError as error:
            self.opened.append((path, error))
            return
        for file in files:
            try:
                self.opened.append(self._open(file))
            except FileError as error:
                self.opened.append((file, error))

    def read_all(self) -> None:
        """Read what was opened, each file in the light of the mixes of all."""
        mixes = mix_numbers(
            pair for one in self.opened if isinstance(one, _Opened) for pair in one.matched
        )
        for one in self.opened:
            if isinstance(one, _Opened):
                self._read_file(one, mixes)
                one.matched.clear()  # a long log's columns are not needed twice
            elif isinstance(one, OwnExport):
                self.reports.append(one.report)
                self.done.append(one.done)
            else:
                self._failed(*one)

    def _failed(self, path: Path, error: FileError) -> None:
        sentence, _, advice = str(error).partition(". ")
        problem = Problem(
            "file", path.name, "", None, None, sentence, "a log laylog can read", advice
        )
        self.reports.append(FileReport(path.name, (), (problem,)))
        self.done.append(Finished())

    def _open(self, path: Path) -> _Opened | OwnExport:
        name = path.name
        step(f"opening {name}")
        own = own_csv(path, self.today, self.limits)
        if own is not None:
            return own
        sheets = with_mends(open_sheets(path, self.limits), self.mends.get(name, ()))
        own = own_workbook(name, sheets, self.today)
        if own is not None:
            return own
        named = self.faults.defect_named
        found, lent = with_lent_headings(
            name, [find_sheet(raw) for raw in sheets], self.placed, named
        )
        matched = [
            (group, match_columns(group.record, group.columns, self.placed, named))
            for group in gather(found, self.placed, named)
        ]
        return _Opened(name, found, lent, matched)

    def _read_file(self, opened: _Opened, mixes: Set[str]) -> None:
        name, found = opened.name, opened.found
        step(f"reading {name}")
        sheets = [sheet.raw.name for sheet in found]
        matched = [
            (group, lots_told_from_mixes(group, matches, mixes))
            for group, matches in opened.matched
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
        problems = opened.lent + sheet_problems(name, found, [group for group, _ in matched])
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
        step("putting parts and mixes together")
        tables = {record: _together(record, self.done) for record in RECORDS}
        tables["part"] = link_mixes(
            tables["part"], [link for done in self.done for link in done.links]
        )
        tables["part"] = same_spelling(tables["part"], tables["batch"])
        tables["part"] = pointed_by_day(tables["part"], tables["batch"])
        tables["batch"] = material_from_parts(tables["batch"], tables["part"])
        tables["defect"] = _together_defects(self.done)
        reports = []
        for report, done in zip(self.reports, self.done, strict=True):
            missing = missing_mixes(report.file, tables)
            problems = (*report.problems, *done.problems, *missing)
            reports.append(FileReport(report.file, report.sheets, problems))
        found = {one.name: one.found for one in self.opened if isinstance(one, _Opened)}
        return ReadResult(tuple(reports), tables, found)


def _read_group(group: Group, matches: Sequence[Match], around: Surroundings) -> Read:
    step()
    kinds = classify(group, matches)
    wide = build(group, matches, kinds, around)
    if group.record == "logger":
        wide.frame = with_moments(wide.frame)
        if "timestamp" in wide.frame:
            # a reading of no known moment is no reading, and must not stop the others
            timeless = wide.frame["timestamp"].isna().to_numpy()
            kinds[np.flatnonzero(kinds == RECORD)[timeless]] = UNREADABLE
    return group, matches, kinds, wide


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


def _together(record: str, done: Sequence[Finished]) -> pd.DataFrame:
    frames = [d.tables[record] for d in done if record in d.tables]
    if not frames:
        return typed(record, ())
    return pd.concat(frames, ignore_index=True) if len(frames) > 1 else frames[0]


def _together_defects(done: Sequence[Finished]) -> pd.DataFrame:
    frames = [d.tables["defect"] for d in done if "defect" in d.tables]
    return pd.concat(frames, ignore_index=True) if frames else typed_defects(())
