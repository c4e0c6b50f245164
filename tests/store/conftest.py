"""A store on each kind of database, and what reading a file would have given."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import pandas as pd
import pytest

from analytics.records.log import typed, typed_defects
from analytics.records.problems import FileReport, Problem
from analytics.records.store import Store

Rows = Sequence[Mapping[str, Any]]


@dataclass(frozen=True)
class Given:
    """What reading gives, made by hand."""

    files: tuple[FileReport, ...]
    tables: dict[str, pd.DataFrame]

    def __add__(self, other: Given) -> Given:
        """Both files read in one import."""
        tables = {
            record: pd.concat([self.tables[record], other.tables[record]], ignore_index=True)
            for record in self.tables
        }
        return Given(self.files + other.files, tables)


def _read(
    file: str = "march.csv",
    faults: Rows = (),
    problems: tuple[Problem, ...] = (),
    **records: Rows,
) -> Given:
    tables = {
        record: typed(record, [_row(file, n, row) for n, row in enumerate(records.get(record, ()))])
        for record in ("part", "batch", "lot", "mould", "logger")
    }
    tables["defect"] = typed_defects(faults)
    return Given((FileReport(file, (), problems),), tables)


def _row(file: str, number: int, row: Mapping[str, Any]) -> dict[str, Any]:
    raw = json.dumps({name: str(value) for name, value in row.items()})
    return {"file": file, "sheet": "log", "row": number + 2, "raw": raw} | dict(row)


@pytest.fixture
def read() -> Callable[..., Given]:
    """`read(part=[{...}], faults=[{...}], file="march.csv")`: one file, as read."""
    return _read


@pytest.fixture
def now() -> datetime:
    return datetime(2024, 3, 1, 9, 30)


@pytest.fixture
def store(store_url: str, now: datetime) -> Iterator[Store]:
    """A new, empty store."""
    with Store.open(store_url, now=now) as opened:
        yield opened
