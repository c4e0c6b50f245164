"""The log: five tables of trusted records, where every question starts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from analytics.records.fields import RECORDS, dictionary

ORIGIN = ("file", "sheet", "row", "raw")
DEFECT_COLUMNS = ("part_id", "defect", "severity", "place", "words")
TABLES = {
    "part": "parts",
    "batch": "batches",
    "lot": "lots",
    "mould": "moulds",
    "logger": "logger",
}


@dataclass(frozen=True)
class Log:
    """One shop's records as tables with every field of the dictionary as a column.

    A field nobody filled in is a column of missing values, never a missing column. Each table
    also has `file`, `sheet`, `row` (where the record came from) and `raw` (the cells as typed,
    JSON). `parts` also has `looked`: True where somebody wrote a result down. `defects` has one
    row per fault of a part: part_id, defect, severity, place, words.
    """

    parts: pd.DataFrame
    batches: pd.DataFrame
    lots: pd.DataFrame
    moulds: pd.DataFrame
    logger: pd.DataFrame
    defects: pd.DataFrame

    @staticmethod
    def empty() -> Log:
        """A log with nothing in it."""
        return Log.of({})

    @staticmethod
    def of(tables: Mapping[str, pd.DataFrame | Iterable[Mapping[str, Any]]]) -> Log:
        """A log from tables by record ("part", "batch" … and "defect"); absent ones are empty."""
        own = {
            name: typed(record, tables[record]) if record in tables else typed(record, ())
            for record, name in TABLES.items()
        }
        return Log(**own, defects=typed_defects(tables.get("defect", ())))


def columns_of(record: str) -> tuple[str, ...]:
    """The columns of a record's table, in order."""
    own = tuple(f.id for f in dictionary().of(record))
    return (*own, "looked", *ORIGIN) if record == "part" else (*own, *ORIGIN)


def dtype_of(record: str, column: str) -> Any:
    """The pandas dtype of a column of a record's table."""
    if column == "row":
        return "Int64"
    if column == "looked":
        return "boolean"
    if column in ORIGIN:
        return "str"
    kind = dictionary().get(record, column).kind
    by_kind = {
        "number": "float64",
        "yes_no": "boolean",
        "date": "datetime64[ns]",
        "datetime": "datetime64[ns]",
    }
    return by_kind.get(kind, "str")


def typed(record: str, rows: pd.DataFrame | Iterable[Mapping[str, Any]]) -> pd.DataFrame:
    """A table of a record with every column present and of its own dtype, index from 0."""
    given = rows if isinstance(rows, pd.DataFrame) else pd.DataFrame(list(rows))
    if record not in RECORDS:
        raise KeyError(record)
    made = {
        column: _column(given, column, dtype_of(record, column)) for column in columns_of(record)
    }
    return pd.DataFrame(made).reset_index(drop=True)


def typed_defects(rows: pd.DataFrame | Iterable[Mapping[str, Any]]) -> pd.DataFrame:
    """The table of faults: part_id, defect, severity, place, words, all text."""
    given = rows if isinstance(rows, pd.DataFrame) else pd.DataFrame(list(rows))
    made = {column: _column(given, column, "str") for column in DEFECT_COLUMNS}
    return pd.DataFrame(made).reset_index(drop=True)


def _column(given: pd.DataFrame, column: str, dtype: Any) -> pd.Series[Any]:
    if column not in given:
        return pd.Series([None] * len(given), index=given.index, dtype=dtype)
    if dtype == "datetime64[ns]":
        return pd.to_datetime(given[column]).astype(dtype)
    return given[column].astype(dtype)
