"""The process that reads a workbook, so that a bad one can take nothing but this process with it.

A workbook of a few thousand bytes may claim a cell in the last row and column there is, or repeat
one cell a thousand million times. The library that reads workbooks then asks for all the memory
of the machine, and the whole program stops with it. Here it runs within limits of its own.

Bytes of the workbook in, marshalled messages out: of each sheet ("sheet", name, rows,
columns), ("rows", texts) as often as needed and ("sheet ends",); at last ("end",) or
("failed", why).
"""

from __future__ import annotations

import datetime as dt
import io
import marshal
import signal
import sys
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, BinaryIO

from analytics.records.limits import LONGEST_CELL
from analytics.records.number_formats import Formats, shown_formats

_MEMORY = 160 * 2**20, 40
_BUSY_SECONDS = 5, 1e-6
_WALL_SECONDS = 9, 2e-6
_ROWS_AT_ONCE = 20_000
LOCKED, DAMAGED = "locked", "damaged"


def main() -> None:
    """Read the workbook on standard input and tell what is in it on standard output."""
    data = sys.stdin.buffer.read()
    _within_limits(len(data))
    out = sys.stdout.buffer
    try:
        _tell_book(data, out)
        _tell(out, ("end",))
    except BaseException as error:
        # The library's own panics on damaged files are no ordinary exceptions, and nothing that
        # goes wrong with a file here is a mistake of the program that asked.
        told = f"{type(error).__name__} {error}".lower()
        kept_out = "password" in told or "encrypt" in told
        _tell(out, ("failed", LOCKED if kept_out else DAMAGED))
    out.flush()


def memory_limit(size: int) -> int:
    """The most memory for a workbook of this size [bytes]: a large log is no bomb."""
    return _MEMORY[0] + _MEMORY[1] * size


def wall_seconds(size: int) -> int:
    """The longest a workbook of this size may take by the clock [s]."""
    return int(_WALL_SECONDS[0] + _WALL_SECONDS[1] * size)


def _within_limits(size: int) -> None:
    """Keep this process small and short-lived; on Windows only who started it can end it."""
    try:
        import resource
    except ImportError:
        return
    busy = int(_BUSY_SECONDS[0] + _BUSY_SECONDS[1] * size)
    resource.setrlimit(resource.RLIMIT_AS, (memory_limit(size),) * 2)
    resource.setrlimit(resource.RLIMIT_CPU, (busy, busy + 1))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    signal.alarm(wall_seconds(size))


def _tell(out: BinaryIO, message: tuple[Any, ...]) -> None:
    marshal.dump(message, out)


def _tell_book(data: bytes, out: BinaryIO) -> None:
    from python_calamine import CalamineWorkbook, SheetTypeEnum

    book = CalamineWorkbook.from_filelike(io.BytesIO(data))
    kinds = {sheet.name: sheet.typ for sheet in book.sheets_metadata}
    names = [name for name in book.sheet_names if kinds[name] == SheetTypeEnum.WorkSheet]
    formats = shown_formats(data) if data.startswith(b"PK") else {}
    for name in names:
        sheet = book.get_sheet_by_name(name)
        _tell(out, ("sheet", name, sheet.total_height, sheet.total_width))
        out.flush()  # too large a sheet is refused before its cells are made
        rows = sheet.to_python(skip_empty_area=False)
        _fill_merged(rows, sheet.merged_cell_ranges or ())
        _tell_rows(rows, formats.get(name, {}), out)
        _tell(out, ("sheet ends",))


def _tell_rows(rows: Sequence[list[Any]], formats: Formats, out: BinaryIO) -> None:
    shown = _as_shown(rows, formats)
    for start in range(0, len(rows), _ROWS_AT_ONCE):
        count = min(_ROWS_AT_ONCE, len(rows) - start)
        _tell(out, ("rows", [next(shown) for _ in range(count)]))


def _fill_merged(rows: Sequence[list[Any]], ranges: Iterable[Sequence[tuple[int, int]]]) -> None:
    """Write what stands in cells joined down a column into every row they were joined over."""
    for (top, left), (bottom, right) in ranges:
        if left != right or bottom >= len(rows):
            continue
        for row in range(top + 1, bottom + 1):
            if rows[row][left] in ("", None):
                rows[row][left] = rows[top][left]


def _as_shown(rows: Sequence[Sequence[object]], formats: Formats) -> Iterator[list[str]]:
    """The texts of each row, cells shown otherwise than they are stored as they are shown."""
    by_row: dict[int, list[int]] = {}
    for row, column in formats:
        by_row.setdefault(row, []).append(column)
    for row, values in enumerate(rows):
        cells = [cell_text(value) for value in values]
        for column in by_row.get(row, ()):
            value = values[column] if column < len(cells) else None
            if isinstance(value, float | int) and not isinstance(value, bool):
                cells[column] = formats[row, column](value)
        yield cells


def cell_text(value: object) -> str:
    """A workbook cell as the text a person would have typed: 4.0 is "4", a date is ISO."""
    if isinstance(value, str):
        if len(value) > LONGEST_CELL:
            raise ValueError("no cell of a log is that long")
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


if __name__ == "__main__":
    main()
