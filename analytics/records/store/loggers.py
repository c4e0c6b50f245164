"""Loggers that do not say their name, told apart by the file their readings come from."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

_FEW = 3
_MOST = 0.5
_VALUES = ("air_c", "humidity_pct")


def told_apart(
    known: pd.DataFrame, given: pd.DataFrame, file: str, *, read_before: bool
) -> pd.DataFrame:
    """A file's readings, those without a logger's name under the file's where they need one.

    They need one where another file's nameless logger read something else at most of the same
    moments: under one name the one would be written over the other. What was decided when the
    file was first read stands when it is read again.
    """
    nameless = given["logger_id"].isna() | (given["logger_id"] == "")
    name = Path(file).stem
    if not nameless.any() or not name:
        return given
    ours = (known["logger_id"] == name) & (known["file"] == file)
    if not ours.any() and (read_before or not _another(known, given[nameless], file)):
        return given
    return given.assign(logger_id=given["logger_id"].mask(nameless, name))


def _another(known: pd.DataFrame, given: pd.DataFrame, file: str) -> bool:
    """Whether readings are another logger's than the nameless ones of other files."""
    theirs = known[(known["logger_id"] == "") & (known["file"] != file)]
    both = given.merge(theirs, on="timestamp", suffixes=("", "_known"))
    if len(both) < _FEW:
        return False
    differs = pd.Series(False, index=both.index)
    for value in _VALUES:
        one, other = both[value], both[f"{value}_known"]
        differs |= one.notna() & other.notna() & (one != other)
    return bool(differs.mean() > _MOST)
