"""XLSX, XLS and ODS workbooks as sheets of cell texts."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from analytics.errors import FileError
from analytics.records.coding import code_rows
from analytics.records.limits import Limits, damaged, locked
from analytics.records.number_formats import Formats, shown_formats
from analytics.records.sheets import RawSheet

_READER_ERRORS = frozenset(
    {"PanicException", "CalamineError", "PasswordError", "XlsError", "XlsxError", "OdsError",
     "ZipError", "XmlError"}
)  # fmt: skip


def check_package(path: Path, data: bytes, limits: Limits) -> None:
    """Refuse packages that unpack to far more than they should, or that are no workbook."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            entries = package.infolist()
            names = {entry.filename for entry in entries}
            encrypted = any(entry.flag_bits & 1 for entry in entries)
            manifest = _manifest(package, names)
    except (zipfile.BadZipFile, zlib.error, OSError, EOFError, RuntimeError) as error:
        raise damaged(path) from error
    unpacked = sum(entry.file_size for entry in entries)
    if unpacked > limits.unpacked_mb * 1_000_000:
        raise FileError(
            f"{path.name}: unpacks to {unpacked / 1e6:.0f} MB, more than the"
            f" {limits.unpacked_mb} MB laylog reads at once. Save only the log sheets."
        )
    if encrypted or b"encryption-data" in manifest:
        raise locked(path)
    is_book = any(name.startswith("xl/") for name in names) or "content.xml" in names
    if not is_book or "word/document.xml" in names or b"opendocument.text" in manifest:
        raise FileError(f"{path.name}: not a spreadsheet. Save the log as XLSX, ODS or CSV.")


def _manifest(package: zipfile.ZipFile, names: set[str]) -> bytes:
    name = "META-INF/manifest.xml"
    if name not in names or package.getinfo(name).file_size > 5_000_000:
        return b""
    return package.read(name)


def open_book(path: Path, data: bytes, limits: Limits) -> list[RawSheet]:
    """The sheets of a workbook. Raises FileError when it is damaged or locked."""
    try:
        return _read_book(data, limits)
    except FileError as error:
        raise FileError(f"{path.name}, {error}") from error
    except (OSError, ValueError, zipfile.BadZipFile) as error:
        raise damaged(path) from error
    except BaseException as error:
        # The reader's own panics on damaged files are no ordinary exceptions.
        if type(error).__name__ not in _READER_ERRORS:
            raise
        told = str(error).lower()
        kept_out = "password" in told or "encrypt" in told
        raise (locked(path) if kept_out else damaged(path)) from error


def _read_book(data: bytes, limits: Limits) -> list[RawSheet]:
    from python_calamine import CalamineWorkbook, SheetTypeEnum

    book = CalamineWorkbook.from_filelike(io.BytesIO(data))
    kinds = {sheet.name: sheet.typ for sheet in book.sheets_metadata}
    names = [name for name in book.sheet_names if kinds[name] == SheetTypeEnum.WorkSheet]
    formats = shown_formats(data) if data.startswith(b"PK") else {}
    sheets = []
    for name in names:
        sheet = book.get_sheet_by_name(name)
        rows = sheet.to_python(skip_empty_area=False)
        _fill_merged(rows, sheet.merged_cell_ranges or ())
        sheets.append(_coded(name, rows, formats.get(name, {}), limits))
    return sheets


def _fill_merged(rows: Sequence[list[Any]], ranges: Iterable[Sequence[tuple[int, int]]]) -> None:
    """Write what stands in cells joined down a column into every row they were joined over."""
    for (top, left), (bottom, right) in ranges:
        if left != right or bottom >= len(rows):
            continue
        for row in range(top + 1, bottom + 1):
            if rows[row][left] in ("", None):
                rows[row][left] = rows[top][left]


def _coded(
    name: str, rows: Sequence[Sequence[object]], formats: Formats, limits: Limits
) -> RawSheet:
    as_text = ([cell_text(value) for value in row] for row in rows)
    return code_rows(name, _as_shown(as_text, rows, formats), limits)


def _as_shown(
    texts: Iterable[list[str]], rows: Sequence[Sequence[object]], formats: Formats
) -> Iterator[list[str]]:
    """The cells of each row, those shown otherwise than they are stored as they are shown."""
    by_row: dict[int, list[int]] = {}
    for row, column in formats:
        by_row.setdefault(row, []).append(column)
    for row, cells in enumerate(texts):
        for column in by_row.get(row, ()):
            value = rows[row][column] if column < len(cells) else None
            if isinstance(value, float | int) and not isinstance(value, bool):
                cells[column] = formats[row, column](value)
        yield cells


def cell_text(value: object) -> str:
    """A workbook cell as the text a person would have typed: 4.0 is "4", a date is ISO."""
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | int):
        return f"{value:.12g}" if abs(value) < 1e12 else f"{value:.17g}"
    if isinstance(value, dt.datetime):
        day_only = value.time() == dt.time()
        return value.date().isoformat() if day_only else value.isoformat(" ", "minutes")
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, dt.time):
        return value.isoformat("minutes")
    if isinstance(value, dt.timedelta):
        minutes = round(value.total_seconds() / 60)
        return f"{minutes // 60}:{minutes % 60:02d}"
    return "" if value is None else str(value)
