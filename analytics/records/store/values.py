"""Values on their way in and out of the store: tables to rows, rows to tables, values to text."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from analytics.records.fields import dictionary
from analytics.records.log import ORIGIN, columns_of, dtype_of
from analytics.records.store.tables import KEYS

FINDINGS = "findings"
"""The faults of a part as one JSON text, so that they are compared and undone like any field."""

_MADE = ("raw",)
"""JSON of laylog's own making: never blank, and without a NUL, which JSON spells out."""

BOOKKEEPING = ("id", "import_id", "changed_id")
"""Columns of every record table that are the store's own."""


def dtype(record: str, column: str) -> Any:
    """The pandas dtype of a stored column, the store's own ones included."""
    if column in BOOKKEEPING:
        return "int64"
    return "str" if column == FINDINGS else dtype_of(record, column)


def value_columns(record: str) -> tuple[str, ...]:
    """The columns an import may fill or correct: all but the key and where the row came from."""
    kept = tuple(c for c in columns_of(record) if c not in (*KEYS[record], *ORIGIN))
    return (*kept, FINDINGS) if record == "part" else kept


def table_of(record: str, columns: Sequence[str], rows: Sequence[Sequence[Any]]) -> pd.DataFrame:
    """A table with canonical dtypes from rows as the database gives them."""
    values = zip(*rows, strict=True) if rows else [()] * len(columns)
    made = {c: _series(dtype(record, c), v) for c, v in zip(columns, values, strict=True)}
    return pd.DataFrame(made)


def _series(kind: Any, values: Sequence[Any]) -> Any:
    if kind == "float64":
        return np.array(values, dtype="float64")
    if kind == "datetime64[ns]":
        return np.array(values, dtype="datetime64[us]").astype(kind)
    return pd.Series(list(values), dtype=kind)


def columns_of_values(record: str, table: pd.DataFrame, columns: Sequence[str]) -> list[list[Any]]:
    """The table's columns as the database takes them: plain Python values, None where unknown."""
    return [_plain(record, name, table[name]) for name in columns]


def rows_of(record: str, table: pd.DataFrame, columns: Sequence[str]) -> list[dict[str, Any]]:
    """The same, row by row."""
    lists = columns_of_values(record, table, columns)
    return [dict(zip(columns, values, strict=True)) for values in zip(*lists, strict=True)]


def as_arrow(record: str, table: pd.DataFrame, columns: Sequence[str]) -> pa.Table:
    """The table's columns as an Arrow table, days as days, moments to the microsecond."""
    return pa.table({name: _arrow(record, name, table[name]) for name in columns})


def _arrow(record: str, column: str, series: pd.Series[Any]) -> Any:
    if dtype(record, column) == "datetime64[ns]":
        unit = "D" if _is_day(record, column) else "us"
        return pa.array(series.to_numpy().astype(f"datetime64[{unit}]"))
    return pa.array(series, from_pandas=True)


def _plain(record: str, column: str, series: pd.Series[Any]) -> list[Any]:
    if dtype(record, column) == "datetime64[ns]":
        # numpy turns days into date and microseconds into datetime, NaT into None
        unit = "D" if _is_day(record, column) else "us"
        return series.to_numpy().astype(f"datetime64[{unit}]").tolist()
    values = series.to_numpy(dtype=object, copy=True)
    values[series.isna().to_numpy()] = None
    return values.tolist()


def _is_day(record: str, column: str) -> bool:
    return dictionary().get(record, column).kind == "date"


def texts(record: str, column: str, series: pd.Series[Any]) -> list[str | None]:
    """Stored values as the history keeps them; None where unknown."""
    kind = dtype(record, column)
    values = _plain(record, column, series)
    if kind == "float64":
        return [None if v is None else repr(v) for v in values]
    if kind == "boolean":
        return [None if v is None else "yes" if v else "no" for v in values]
    if kind == "datetime64[ns]":
        return [None if v is None else v.isoformat() for v in values]
    return values


def from_text(record: str, column: str, text: str | None) -> Any:
    """The value `texts` was given, as the database takes it."""
    if text is None:
        return None
    kind = dtype(record, column)
    if kind == "float64":
        return float(text)
    if kind == "boolean":
        return text == "yes"
    if kind == "datetime64[ns]":
        return date.fromisoformat(text) if _is_day(record, column) else datetime.fromisoformat(text)
    return text


def keys(record: str, table: pd.DataFrame) -> pd.Series[Any]:
    """What each row is known by, as text: "P-014", or "logger moment" for a reading."""
    if record != "logger":
        return table[KEYS[record][0]]
    named = (table["logger_id"].fillna("") + " ").where(table["logger_id"].fillna("") != "", "")
    return (named + table["timestamp"].astype("str")).where(table["timestamp"].notna())


def clean(table: pd.DataFrame) -> pd.DataFrame:
    """The table with text a database can keep, and blank text as unknown.

    PostgreSQL cannot hold the character NUL, and no encoding can hold half a surrogate pair; what
    is stored must equal what is compared, or every import would find a change.
    """
    held = [name for name in table.columns if table[name].dtype == "str" and name not in _MADE]
    return table.assign(**{name: _kept(table[name]) for name in held})


def _kept(column: pd.Series[Any]) -> pd.Series[Any]:
    texts = pa.array(column, type=pa.large_string(), from_pandas=True)
    told = texts.unique() if len(texts) > 1 and texts[0] == texts[-1] else texts
    ascii_only = pc.all(pc.string_is_ascii(told)).as_py() is not False
    if ascii_only and not pc.any(pc.match_substring(told, "\0")).as_py():
        # most columns hold no blank text, and a look is cheaper than a copy
        blank = pc.any(pc.match_substring_regex(told, r"^[\s\x0b\x1c-\x1f]*$")).as_py()
        return column.mask(column.str.strip() == "") if blank else column
    by_text = {text: _storable(text) for text in column.unique().tolist()}
    kept = list(map(by_text.get, column.tolist()))
    return pd.Series(kept, index=column.index, dtype="str")


def _storable(value: Any) -> str | None:
    if not isinstance(value, str):
        return None
    if not value.isascii() or "\0" in value:
        value = value.replace("\0", "").encode("utf-8", "replace").decode("utf-8")
    return value if value.strip() else None
