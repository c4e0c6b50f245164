"""The most laylog reads at once, and what it says of files it cannot open."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from analytics.errors import FileError


@dataclass(frozen=True)
class Limits:
    """The most laylog will read at once."""

    file_mb: int = 400
    unpacked_mb: int = 2_000
    rows: int = 1_200_000
    columns: int = 400


LIMITS = Limits()

LONGEST_CELL = 100_000
"""The longest cell read [characters]; a workbook's own limit is 32,767."""

LONGEST_FIGURE = 200
"""The longest text looked at as a figure, date or time [characters]."""

LONGEST_HEADING = 200
"""How much of a heading is looked at for what it means [characters]."""


def check_size(name: str, rows: int, columns: int, limits: Limits) -> None:
    """Refuse a sheet of more rows or columns than the limits. Raises FileError."""
    if columns > limits.columns:
        raise FileError(
            f'sheet "{name}": {columns} columns is more than the {limits.columns} laylog reads.'
            " Delete the spare columns."
        )
    if rows > limits.rows:
        raise FileError(
            f'sheet "{name}": more than the {limits.rows:,} rows laylog reads at once.'
            " Split it by year."
        )


def locked(path: Path) -> FileError:
    """The error for a file protected by a password."""
    return FileError(f"{path.name}: protected by a password. Save a copy without one.")


def damaged(path: Path) -> FileError:
    """The error for a file that is broken or cut short."""
    return FileError(
        f"{path.name}: damaged or cut short, it does not open. Save it again from the spreadsheet."
    )
