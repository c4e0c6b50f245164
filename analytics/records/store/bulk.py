"""Adding many rows at once, the quick way of each database, within the transaction at hand."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection


def add_rows(
    connection: Connection, table: sa.Table, names: Sequence[str], columns: Sequence[Sequence[Any]]
) -> None:
    """Add rows given column by column (plain Python values, None where unknown) to a table.

    SQLAlchemy prepares every value of every row anew, which takes longer than the database does.
    """
    prepare = connection.dialect.identifier_preparer
    into = f"{prepare.format_table(table)} ({', '.join(map(prepare.quote, names))})"
    raw = connection.connection.driver_connection
    assert raw is not None
    try:
        if connection.dialect.name == "sqlite":
            marks = ", ".join("?" * len(names))
            told = [_as_sqlite_keeps(values) for values in columns]
            raw.executemany(f"INSERT INTO {into} VALUES ({marks})", zip(*told, strict=True))
        else:
            with raw.cursor() as cursor, cursor.copy(f"COPY {into} FROM STDIN") as copy:
                for row in zip(*columns, strict=True):
                    copy.write_row(row)
    except connection.dialect.loaded_dbapi.Error as error:
        # as SQLAlchemy itself would say it, so that one place turns it into a sentence
        raise sa.exc.DBAPIError.instance(
            f"INSERT INTO {into}", None, error, connection.dialect.loaded_dbapi.Error
        ) from error


def _as_sqlite_keeps(values: Sequence[Any]) -> Sequence[Any]:
    """Days and moments as the texts SQLAlchemy reads back; all else as it is."""
    first = next((value for value in values if value is not None), None)
    if isinstance(first, datetime):
        return [v if v is None else v.isoformat(" ", "microseconds") for v in values]
    if isinstance(first, date):
        return [v if v is None else v.isoformat() for v in values]
    return values
