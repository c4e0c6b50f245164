"""A file on disk, whatever it is, as sheets of cell texts; or one sentence saying why not."""

from __future__ import annotations

from pathlib import Path

from analytics.errors import FileError
from analytics.records.limits import LIMITS, Limits, damaged, locked
from analytics.records.sheets import RawSheet
from analytics.records.textfiles import looks_like_text, open_text
from analytics.records.workbooks import check_package, open_book

TEXT_ENDINGS = (".csv", ".tsv", ".txt", ".tab", ".dat")
BOOK_ENDINGS = (".xlsx", ".xlsm", ".xls", ".xlsb", ".ods")
LOG_ENDINGS = (*TEXT_ENDINGS, *BOOK_ENDINGS)
_OTHER_KINDS = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"{\\rtf", "a word-processor document"),
    (b"SQLite format 3", "a database"),
    (b"Rar!", "a packed archive"),
    (b"7z\xbc\xaf", "a packed archive"),
    (b"\x1f\x8b", "a packed archive"),
)


def log_files(path: Path) -> list[Path]:
    """The files to read for a path: itself, or the log files of a folder, by name.

    Raises FileError when there is nothing there, or no log in the folder.
    """
    try:
        if not path.exists():
            raise FileError(f"{path}: no such file. Check the name and the folder.")
        if not path.is_dir():
            return [path]
        found = sorted(p for p in path.iterdir() if _is_log(p))
    except PermissionError as error:
        raise FileError(f"{path}: not allowed to read it. Ask whoever owns it.") from error
    except (OSError, ValueError) as error:
        raise FileError(f"{path}: cannot be looked up. Check the name.") from error
    if not found:
        raise FileError(
            f"{path}: no logs in this folder. Put {', '.join(LOG_ENDINGS)} files there."
        )
    return found


def _is_log(path: Path) -> bool:
    hidden = path.name.startswith((".", "~$"))
    return path.is_file() and not hidden and path.suffix.lower() in LOG_ENDINGS


def open_sheets(path: Path, limits: Limits = LIMITS) -> list[RawSheet]:
    """The sheets of a CSV, TSV, text, XLSX, XLS or ODS file, every cell as text.

    The content decides the kind, not the name. Raises FileError with one sentence to act on.
    """
    data = _read_bytes(path, limits)
    for start, what in _OTHER_KINDS:
        if data.startswith(start):
            raise FileError(f"{path.name}: this is {what}, not a log. Save it as CSV or XLSX.")
    if data.startswith(b"PK"):
        check_package(path, data, limits)
        return open_book(path, data, limits)
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        if "EncryptedPackage".encode("utf-16-le") in data:
            raise locked(path)
        return open_book(path, data, limits)
    if path.suffix.lower() in BOOK_ENDINGS and not looks_like_text(data):
        raise damaged(path)
    return [open_text(path, data, limits)]


def _read_bytes(path: Path, limits: Limits) -> bytes:
    try:
        size = path.stat().st_size
        if size > limits.file_mb * 1_000_000:
            raise FileError(
                f"{path.name}: {size / 1e6:.0f} MB is more than the {limits.file_mb} MB laylog"
                " reads at once. Split it by year."
            )
        data = path.read_bytes()
    except FileNotFoundError as error:
        raise FileError(f"{path}: no such file. Check the name and the folder.") from error
    except PermissionError as error:
        raise FileError(
            f"{path.name}: not allowed to read it. Close it in other programs and try again."
        ) from error
    except OSError as error:
        raise FileError(
            f"{path.name}: cannot be read ({error.strerror}). Copy it again."
        ) from error
    if not data.strip(b"\x00\r\n\t \xef\xbb\xbf"):
        raise FileError(f"{path.name}: the file is empty. Save the log again.")
    return data
