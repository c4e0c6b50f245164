"""laylog's own exports, read back value for value; a file somebody edited is read as any log.

What was exported was read and doubted once already: reading it by guesses again could only lose.
"""

from __future__ import annotations

import csv
import datetime as dt
import json
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import pandas as pd

from analytics.records.fields import KEYS, Field, dictionary
from analytics.records.finishing import Finished
from analytics.records.limits import Limits
from analytics.records.log import DEFECT_COLUMNS, typed, typed_defects
from analytics.records.number_columns import plausible
from analytics.records.problems import ColumnPlacement, FileReport, NotRecord, SheetReport
from analytics.records.sheets import RawSheet

LOOKED, FAULTS = "looked", "faults_kept"
"""Columns of an exported part besides its fields: whether anyone looked, and its faults as JSON."""

TABLE_NAMES = {
    "part": "parts",
    "batch": "mixes",
    "lot": "lots",
    "mould": "moulds",
    "logger": "logger",
    "defect": "faults",
}
_COUNTED = {
    "part": "parts",
    "batch": "batches",
    "lot": "lots",
    "mould": "moulds",
    "logger": "logger",
}
_HEAD = 4_000
_RUNS = re.compile(r"'*[=+\-@\t\r]")
_DETAILS = tuple(name for name in DEFECT_COLUMNS if name != "part_id")


def guarded(text: str) -> str:
    """A text no spreadsheet runs as a formula: an apostrophe before a leading = + - @, tab or CR.

    One more where the text itself begins so, so that `unguarded` gives every text back.
    """
    return f"'{text}" if _RUNS.match(text) else text


def unguarded(text: str) -> str:
    """The text that `guarded` was given."""
    return text[1:] if text.startswith("'") and _RUNS.match(text) else text


@lru_cache(maxsize=len(TABLE_NAMES))
def export_columns(record: str) -> tuple[str, ...]:
    """The headings of an exported table; of a part, with the two columns that keep its result."""
    if record == "defect":
        return DEFECT_COLUMNS
    own = tuple(field.id for field in dictionary().of(record))
    return (*own, LOOKED, FAULTS) if record == "part" else own


@dataclass(frozen=True)
class OwnExport:
    """An export read back: its report and its records."""

    report: FileReport
    done: Finished


@dataclass(frozen=True)
class _Sheet:
    """One exported table: the file and sheet it stood in, the record it holds, rows of cells."""

    file: str
    name: str
    record: str
    rows: Sequence[Sequence[str]]


def own_csv(path: Path, today: dt.date, limits: Limits) -> OwnExport | None:
    """The records of one of laylog's own CSV exports; None for any other file, or an edited one."""
    try:
        if path.stat().st_size > limits.file_mb * 1_000_000:
            return None
        with path.open("rb") as file:
            record = _record_of(file.read(_HEAD))
        if record is None:
            return None
        with path.open(encoding="utf-8-sig", newline="") as text:
            rows = [[unguarded(c) for c in row] for row in csv.reader(text, strict=True)][1:]
        return _read_all([_Sheet(path.name, path.stem, record, rows)], today)
    except (OSError, ValueError, csv.Error):
        return None


def own_workbook(name: str, sheets: Sequence[RawSheet], today: dt.date) -> OwnExport | None:
    """The same of the sheets of a workbook, all of them laylog's own."""
    records = {export_columns(record): record for record in TABLE_NAMES}
    held = [records.get(sheet.row(0)) if sheet.rows else None for sheet in sheets]
    found = []
    for sheet, record in zip(sheets, held, strict=True):
        if record is None:
            return None
        columns = [column.objects()[1:] for column in sheet.columns]
        found.append(_Sheet(name, sheet.name, record, list(zip(*columns, strict=True))))
    try:
        return _read_all(found, today) if found else None
    except ValueError:
        return None


def heading_line(record: str) -> str:
    """The first line of an exported table."""
    return ",".join(export_columns(record))


def _record_of(head: bytes) -> str | None:
    first = head.partition(b"\n")[0].removeprefix(b"\xef\xbb\xbf").strip(b"\r")
    lines = {heading_line(record).encode(): record for record in TABLE_NAMES}
    return lines.get(first)


def _read_all(sheets: Sequence[_Sheet], today: dt.date) -> OwnExport:
    done = Finished()
    for sheet in sheets:
        # the faults stand in the table of parts too, each with its part
        if sheet.record != "defect":
            done.tables |= _read(sheet, today)
    report = FileReport(sheets[0].file, tuple(map(_report, sheets)), ())
    return OwnExport(report, done)


def _read(sheet: _Sheet, today: dt.date) -> dict[str, pd.DataFrame]:
    record, columns = sheet.record, export_columns(sheet.record)
    fields = {field.id: field for field in dictionary().of(record)}
    keys = ("logger_id", "timestamp") if record == "logger" else (KEYS[record],)
    rows, faults, seen = [], [], set[tuple[str, ...]]()
    for number, cells in enumerate(sheet.rows, start=2):
        told = dict(zip(columns, cells, strict=True))
        key = tuple(told[part] for part in keys)
        if not told[KEYS[record]] or key in seen:
            raise ValueError("a record without a number of its own")
        seen.add(key)
        row = {name: _value(field, told[name], today) for name, field in fields.items()}
        if record == "part":
            row[LOOKED] = _answer(told[LOOKED])
            faults += [(told["part_id"], *fault) for fault in _faults(told[FAULTS])]
        raw = json.dumps({name: told[name] for name in fields if told[name]}, ensure_ascii=False)
        rows.append(row | {"file": sheet.file, "sheet": sheet.name, "row": number, "raw": raw})
    tables = {record: typed(record, rows)}
    if record == "part":
        named = [dict(zip(DEFECT_COLUMNS, fault, strict=True)) for fault in faults]
        tables["defect"] = typed_defects(named)
    return tables


def _value(field: Field, text: str, today: dt.date) -> Any:
    """The value of a cell exactly as exported. Raises ValueError for anything else."""
    if not text:
        return None
    if field.kind == "number":
        number = float(text)
        if not math.isfinite(number) or not plausible(number, field):
            raise ValueError(text)
        return number
    if field.kind == "yes_no":
        return _answer(text)
    if field.kind in ("date", "datetime"):
        moment = dt.datetime.fromisoformat(text)
        if moment.date() > today and field.id != "expires":
            raise ValueError(text)
        return moment
    if field.kind == "choice" and text not in field.choices:
        raise ValueError(text)
    return text


def _answer(text: str) -> bool | None:
    if text not in ("yes", "no", ""):
        raise ValueError(text)
    return {"yes": True, "no": False}.get(text)


def _faults(text: str) -> list[list[str | None]]:
    found = json.loads(text or "[]")
    for fault in found:
        if len(fault) != len(_DETAILS) or not all(x is None or isinstance(x, str) for x in fault):
            raise ValueError(text)
    return list(found)


def _report(sheet: _Sheet) -> SheetReport:
    rows = len(sheet.rows)
    listed = [NotRecord(1, "header", heading_line(sheet.record)[:120])]
    counts = dict.fromkeys(_COUNTED.values(), 0)
    if sheet.record == "defect":
        listed.append(NotRecord(2, "note", f"{rows} faults, which the parts hold too"))
    else:
        counts[_COUNTED[sheet.record]] = rows
    return SheetReport(
        sheet=sheet.name,
        rows=rows + 1,
        duplicates=0,
        not_records=1 + rows - sum(counts.values()),
        listed=tuple(listed),
        columns=tuple(
            ColumnPlacement(heading, heading, None, "laylog's own export")
            for heading in export_columns(sheet.record)
        ),
        mixes_in_part_rows=0,
        **counts,
    )
