"""Adding many rows at once, the quick way of each database, within the transaction at hand."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from itertools import chain, islice, repeat
from typing import Any

import pyarrow as pa
import sqlalchemy as sa
from sqlalchemy.engine import Connection

from analytics.stopping import step

_AT_ONCE = 5_000
_TOGETHER = 100
_CACHE_KB = 16_000
"""What SQLite may hold of a store while much is added, so that pages are written once."""


def all_rows(connection: Connection, query: sa.Select[Any]) -> list[tuple[Any, ...]]:
    """Every row of a query as the driver gives it: SQLite's days and moments are ISO texts.

    SQLAlchemy turns every value of every row, which takes longer than the database does.
    """
    with connection.execute(query) as result:
        return list(result.cursor.fetchall())


def add_rows(
    connection: Connection, table: sa.Table, names: Sequence[str], columns: Sequence[Sequence[Any]]
) -> None:
    """Add rows given column by column, as `all_rows` gives them (None where unknown), to a table.

    SQLAlchemy prepares every value of every row anew, which takes longer than the database does.
    """
    into = _into(connection, table, names)
    with _in_its_words(connection, into) as raw:
        if connection.dialect.name == "sqlite":
            marks = ", ".join("?" * len(names))
            raw.executemany(f"INSERT INTO {into} VALUES ({marks})", zip(*columns, strict=True))
        else:
            with raw.cursor() as cursor, cursor.copy(f"COPY {into} FROM STDIN") as copy:
                for row in zip(*columns, strict=True):
                    copy.write_row(row)


def add_table(
    connection: Connection, table: sa.Table, rows: pa.Table, same: Mapping[str, str | int]
) -> None:
    """Add the rows of an Arrow table to a table; `same` has columns alike in all of them.

    Few rows at a time become Python's or text: a million of them at once would fill the memory.
    """
    told = [n for n in rows.column_names if rows[n].null_count < len(rows)]
    into = _into(connection, table, [*told, *same])
    batches = rows.select(told).to_batches(max_chunksize=_AT_ONCE)
    with _in_its_words(connection, into) as raw:
        if connection.dialect.name == "sqlite":
            raw.execute(f"PRAGMA cache_size = -{_CACHE_KB}")
        add = _insert if connection.dialect.name == "sqlite" else _copy_in
        for batch in batches:
            step()
            add(raw, into, batch, same)


def _insert(raw: Any, into: str, batch: pa.RecordBatch, same: Mapping[str, str | int]) -> None:
    """Add rows to SQLite, many with each statement: starting one takes longer than a row does."""
    values = [_as_sqlite_keeps(column).to_pylist() for column in batch.columns]
    width = len(values) + len(same)
    marks = f"({', '.join('?' * width)})"
    together = max(min(raw.getlimit(sqlite3.SQLITE_LIMIT_VARIABLE_NUMBER) // width, _TOGETHER), 1)
    every = (repeat(value, len(batch)) for value in same.values())
    flat = chain.from_iterable(zip(*values, *every, strict=True))
    whole, left = divmod(len(batch), together)
    for count, times in ((together, whole), (left, min(left, 1))):
        statement = f"INSERT INTO {into} VALUES {', '.join([marks] * count)}"
        filled = (tuple(islice(flat, count * width)) for _ in range(times))
        if times:
            raw.executemany(statement, filled)


def _copy_in(raw: Any, into: str, batch: pa.RecordBatch, same: Mapping[str, str | int]) -> None:
    from pyarrow import csv

    whole = pa.Table.from_batches([batch])
    for name, value in same.items():
        whole = whole.append_column(name, pa.repeat(value, len(batch)))
    text = pa.BufferOutputStream()
    csv.write_csv(whole, text, csv.WriteOptions(include_header=False))
    with raw.cursor() as cursor, cursor.copy(f"COPY {into} FROM STDIN (FORMAT csv)") as copy:
        copy.write(text.getvalue())


def _as_sqlite_keeps(column: pa.Array) -> pa.Array:
    """Days and moments as the texts SQLAlchemy keeps them as."""
    return column.cast(pa.string()) if pa.types.is_temporal(column.type) else column


def _into(connection: Connection, table: sa.Table, names: Sequence[str]) -> str:
    prepare = connection.dialect.identifier_preparer
    return f"{prepare.format_table(table)} ({', '.join(map(prepare.quote, names))})"


@contextmanager
def _in_its_words(connection: Connection, into: str) -> Iterator[Any]:
    """The driver's connection; what it raises is told as SQLAlchemy itself would say it, so that
    one place turns it into a sentence."""
    raw = connection.connection.driver_connection
    assert raw is not None
    errors = connection.dialect.loaded_dbapi.Error
    try:
        yield raw
    except errors as error:
        raise sa.exc.DBAPIError.instance(f"INSERT INTO {into}", None, error, errors) from error
