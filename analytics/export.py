"""The log as files other programs open: CSV that imports again, workbooks, Parquet.

Nothing in an export can run: text a spreadsheet would take for a formula is marked as text.
"""

from __future__ import annotations

import csv
import io
import json
import os
import re
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from analytics.errors import FileError, QuestionError
from analytics.records.log import DEFECT_COLUMNS, TABLES, Log
from analytics.records.own_export import FAULTS, LOOKED, TABLE_NAMES, export_columns, guarded

if TYPE_CHECKING:
    import pyarrow

FORMATS = ("csv", "xlsx", "parquet")
EVERY = "all"
MOST_SHEET_ROWS = 1_048_575
"""Rows under the headings that a sheet of a workbook holds."""

_MOST_CELL_TEXT = 32_767
_CANNOT_BE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")
"""Characters no workbook can hold."""

_BY_NAME = {name: record for record, name in TABLE_NAMES.items()}


def exported(log: Log, table: str) -> pd.DataFrame:
    """One table of the log as exported: parts, mixes, lots, moulds, logger or faults.

    Every field of the record is a column, its unit in its name (`air_c`, `gel_min`); parts also
    have `looked` and `faults_kept` (JSON). Raises QuestionError for another table.
    """
    if table not in _BY_NAME:
        raise QuestionError(f'no table is called "{table}"; there are {", ".join(_BY_NAME)}.')
    record = _BY_NAME[table]
    if record == "defect":
        return log.defects[list(DEFECT_COLUMNS)]
    rows = getattr(log, TABLES[record])
    if record == "part":
        looked = rows[LOOKED].mask(~rows[LOOKED].fillna(False).astype(bool))
        rows = rows.assign(**{LOOKED: looked, FAULTS: _faults(rows, log.defects)})
    return rows[list(export_columns(record))]


def _faults(parts: pd.DataFrame, defects: pd.DataFrame) -> pd.Series[Any]:
    """The faults of each part as one JSON text, missing where it has none."""
    found: dict[str, list[list[Any]]] = {}
    told = defects[list(DEFECT_COLUMNS)].astype("object")
    for part, *details in told.where(told.notna(), None).to_numpy().tolist():
        found.setdefault(part, []).append(details)
    texts = {part: json.dumps(faults, ensure_ascii=False) for part, faults in found.items()}
    return parts["part_id"].map(texts).astype("str")


# ---------------------------------------------------------------- formats


def as_csv(table: pd.DataFrame) -> bytes:
    """The table as UTF-8 CSV: ISO dates, "yes" and "no", blanks for unknown, formulas disarmed."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(table.columns)
    columns = [_texts(table[name]) for name in table.columns]
    writer.writerows(zip(*columns, strict=True))
    return out.getvalue().encode("utf-8")


def _texts(column: pd.Series[Any]) -> list[str]:
    values = [None if gone else value for value, gone in zip(column, column.isna(), strict=True)]
    if column.dtype == "float64":
        return ["" if v is None else _figure(v) for v in values]
    if column.dtype == "boolean":
        return ["" if v is None else "yes" if v else "no" for v in values]
    if np.issubdtype(column.to_numpy().dtype, np.datetime64):
        return ["" if v is None else _moment(v) for v in values]
    return ["" if v is None else guarded(str(v)) for v in values]


def _figure(value: float) -> str:
    return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(float(value))


def _moment(value: pd.Timestamp) -> str:
    return value.date().isoformat() if value == value.normalize() else value.isoformat(sep=" ")


def as_xlsx(tables: Mapping[str, pd.DataFrame]) -> bytes:
    """The tables as the sheets of one workbook; no cell is a formula.

    Raises QuestionError for a table longer than a sheet can be.
    """
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    for name, table in tables.items():
        if len(table) > MOST_SHEET_ROWS:
            raise QuestionError(
                f"{name} has {len(table):,} rows, more than a sheet holds ({MOST_SHEET_ROWS:,}). "
                "Export CSV or Parquet instead."
            )
        sheet = book.create_sheet(name)
        sheet.freeze_panes = "B2"
        sheet.append(list(table.columns))
        for row in _sheet_rows(table):
            sheet.append([_cell(sheet, value) for value in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _sheet_rows(table: pd.DataFrame) -> Iterable[tuple[Any, ...]]:
    plain = table.astype("object")
    return plain.where(plain.notna(), None).itertuples(index=False, name=None)


def _cell(sheet: Any, value: Any) -> Any:
    """A cell of the kind of its value: text is text even where it begins like a formula."""
    if isinstance(value, str):
        return _text_cell(sheet, value)
    if isinstance(value, pd.Timestamp):
        return value.date() if value == value.normalize() else value.to_pydatetime()
    if isinstance(value, bool | np.bool_):
        return "yes" if value else "no"
    return value


def _text_cell(sheet: Any, text: str) -> Any:
    kept = _CANNOT_BE.sub(" ", text)[:_MOST_CELL_TEXT]
    if not kept.startswith("="):
        return kept
    from openpyxl.cell import WriteOnlyCell

    cell = WriteOnlyCell(sheet, kept)
    cell.data_type = "s"
    return cell


def as_parquet(table: pd.DataFrame) -> bytes:
    """The table as Parquet: unknown as null, days as dates, moments as timestamps."""
    import pyarrow
    from pyarrow import parquet

    out = io.BytesIO()
    parquet.write_table(_arrow(pyarrow, table), out)
    return out.getvalue()


def _arrow(pa: Any, table: pd.DataFrame) -> pyarrow.Table:
    arrays = {}
    for name in table.columns:
        column = table[name]
        made = pa.Array.from_pandas(column)
        if pa.types.is_timestamp(made.type):
            days = bool((column.dropna() == column.dropna().dt.normalize()).all())
            made = made.cast(pa.date32() if days and name != "timestamp" else pa.timestamp("ms"))
        arrays[name] = made.cast(pa.string()) if pa.types.is_large_string(made.type) else made
    return pa.table(arrays)


def as_bytes(log: Log, table: str, kind: str) -> bytes:
    """One table of the log in one format, "all" of them as a workbook.

    Raises QuestionError for an unknown table or format.
    """
    if (table, kind) == (EVERY, "xlsx"):
        return as_xlsx({name: exported(log, name) for name in _BY_NAME})
    made = exported(log, table)
    if kind == "csv":
        return as_csv(made)
    if kind == "xlsx":
        return as_xlsx({table: made})
    if kind == "parquet":
        return as_parquet(made)
    raise QuestionError(f'no export is called "{kind}"; there are {", ".join(FORMATS)}.')


# ---------------------------------------------------------------- files


def export_file(log: Log, path: Path, table: str, *, replace: bool) -> list[Path]:
    """The file written: one table as CSV or Parquet, or every table as a workbook."""
    kind = path.suffix.lower().removeprefix(".")
    if kind != "xlsx" and table == EVERY:
        table = "parts"
    return [write_whole(path, as_bytes(log, table, kind), replace)]


def export_folder(log: Log, folder: Path, table: str, *, replace: bool) -> list[Path]:
    """The CSV files written, one for each table (or the one asked for), in a folder made for it."""
    names = list(_BY_NAME) if table == EVERY else [table]
    wanted = {folder / f"{name}.csv": as_csv(exported(log, name)) for name in names}
    if not replace:
        for path in wanted:
            _refuse_there(path)
    return [write_whole(path, content, replace) for path, content in wanted.items()]


def _refuse_there(path: Path) -> None:
    if path.exists():
        raise FileError(f"{path} is there already. Name another file, or add --replace.")


def write_whole(path: Path, content: bytes, replace: bool) -> Path:
    """The file written, whole or not at all. Raises FileError with a sentence."""
    if not replace:
        _refuse_there(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, spare = tempfile.mkstemp(dir=path.parent, prefix=".laylog-")
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(content)
            os.chmod(spare, 0o644)
            os.replace(spare, path)
        except BaseException:
            os.unlink(spare)
            raise
    except OSError as error:
        raise FileError(f"{path}: cannot be written ({error.strerror}). Nothing was.") from error
    return path
