"""Reading files in tests, with a small set of a shop's words for faults."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pandas as pd

from analytics.records.fields import Placement
from analytics.records.problems import Problem
from analytics.records.reading import ReadResult, read_files

ODD = Path(__file__).parent.parent / "data" / "odd"
TODAY = dt.date(2025, 6, 1)
FAULT_WORDS = {
    "sticking": "sticking",
    "stuck": "sticking",
    "stuk": "sticking",
    "stuck in mould": "sticking",
    "stuck in mold": "sticking",
    "stuk in mould": "sticking",
    "pinhole": "pinholes",
    "pinholes": "pinholes",
    "pin holes": "pinholes",
    "pin hole": "pinholes",
    "print": "print-through",
    "print through": "print-through",
    "print thru": "print-through",
    "wrinkle": "wrinkling",
    "wrinkles": "wrinkling",
    "wrinkled": "wrinkling",
    "tacky": "tacky-surface",
    "soft/tacky": "tacky-surface",
    "fish eyes": "fish-eyes",
    "fisheyes": "fish-eyes",
    "bubbles in corners": "air-voids",
}


def read(
    *paths: Path | str,
    placed: Mapping[str, Placement] | None = None,
    settings: Mapping[str, Any] | None = None,
    today: dt.date = TODAY,
) -> ReadResult:
    """What reading these files gives; bare names are files of tests/data/odd."""
    full = [ODD / path if isinstance(path, str) else path for path in paths]
    return read_files(
        full, defect_words=FAULT_WORDS, placed=placed or {}, settings=settings, today=today
    )


def read_text(folder: Path, text: str, name: str = "log.csv", **how: Any) -> ReadResult:
    """What reading a file with this text gives."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return read(path, **how)


def problems(result: ReadResult, kind: str | None = None) -> list[Problem]:
    """The problems of all files, of one kind if given."""
    return [p for f in result.files for p in f.problems if kind in (None, p.kind)]


def parts(result: ReadResult) -> pd.DataFrame:
    """The parts, by number."""
    return result.tables["part"].set_index("part_id")


def mixes(result: ReadResult) -> pd.DataFrame:
    """The mixes, by number."""
    return result.tables["batch"].set_index("batch_id")


def faults(result: ReadResult) -> dict[str, list[str]]:
    """The faults of each part that has any, sorted."""
    table = result.tables["defect"]
    return {part: sorted(rows["defect"]) for part, rows in table.groupby("part_id")}
