"""XLSX, XLS and ODS workbooks as sheets of cell texts."""

from __future__ import annotations

import io
import marshal
import os
import subprocess
import sys
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from itertools import chain, takewhile
from pathlib import Path
from threading import Timer
from typing import IO, Any

from analytics.errors import FileError
from analytics.records.book_process import LOCKED, wall_seconds
from analytics.records.coding import code_rows
from analytics.records.limits import Limits, check_size, damaged, locked
from analytics.records.sheets import RawSheet

_SOURCE = Path(__file__).parents[2]


def check_package(path: Path, data: bytes, limits: Limits) -> None:
    """Refuse packages that unpack to far more than they should, or that are no workbook."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            entries = package.infolist()
            names = {entry.filename for entry in entries}
            encrypted = any(entry.flag_bits & 1 for entry in entries)
            manifest = _manifest(package, names)
    except (zipfile.BadZipFile, zlib.error, OSError, EOFError, RuntimeError, ValueError) as error:
        # a ValueError is a name that is no text, or a place before the file begins
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
    """The sheets of a workbook, read in a process of its own (see `book_process`).

    Raises FileError when the workbook is damaged, locked, or claims to be far larger than it is.
    """
    with _reader(data) as said:
        try:
            return list(_sheets(_messages(said, path), limits))
        except FileError as error:
            if str(error).startswith(path.name):
                raise
            raise FileError(f"{path.name}, {error}") from error


@contextmanager
def _reader(data: bytes) -> Iterator[IO[bytes]]:
    """What the process reading a workbook says; it is gone afterwards, whatever happened."""
    path = os.pathsep.join(filter(None, (str(_SOURCE), os.environ.get("PYTHONPATH"))))
    process = subprocess.Popen(
        [sys.executable, "-P", "-m", "analytics.records.book_process"],
        # out of memory, the library's own report of where it stood would wait for itself for ever
        env={**os.environ, "PYTHONPATH": path, "RUST_BACKTRACE": "0"},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
    )
    assert process.stdin
    assert process.stdout
    late = Timer(wall_seconds(len(data)), process.kill)
    late.daemon = True
    late.start()
    try:
        with suppress(BrokenPipeError), process.stdin as given:
            given.write(data)
        yield process.stdout
    finally:
        late.cancel()
        process.kill()
        process.stdout.close()
        process.wait()


def _messages(said: IO[bytes], path: Path) -> Iterator[tuple[Any, ...]]:
    while True:
        try:
            message = marshal.load(said)
        except (EOFError, ValueError, TypeError) as error:
            raise FileError(
                f"{path.name}: takes far more memory or time than a file of its size should. "
                "Copy the log's cells into a new sheet and save that."
            ) from error
        if message[0] == "end":
            return
        if message[0] == "failed":
            raise locked(path) if message[1] == LOCKED else damaged(path)
        yield message


def _sheets(messages: Iterator[tuple[Any, ...]], limits: Limits) -> Iterator[RawSheet]:
    for _, name, rows, columns in messages:
        check_size(name, rows, columns, limits)
        chunks = (texts for _, texts in takewhile(lambda said: said[0] == "rows", messages))
        yield code_rows(name, chain.from_iterable(chunks), limits)
