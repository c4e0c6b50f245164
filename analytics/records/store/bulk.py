"""Adding many rows at once, the quick way of each database, within the transaction at hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection


def all_rows(connection: Connection, query: sa.Select[Any]) -> list[tuple[Any, ...]]:
    """Every row of a query as the driver gives it: SQLite's days and moments are ISO texts.

    SQLAlchemy turns every value of every row, which takes longer than the database does.
    """
    with connection.execute(query) as result:
        return list(result.cursor.fetchall())


def add_rows(
    connection: Connection, table: sa.Table, names: Sequence[str], columns: Sequence[Sequence[Any]]
) -> None:
    """Add rows given column by column (`values.as_written`, None where unknown) to a table.

    SQLAlchemy prepares every value of every row anew, which takes longer than the database does.
    """
    prepare = connection.dialect.identifier_preparer
    into = f"{prepare.format_table(table)} ({', '.join(map(prepare.quote, names))})"
    raw = connection.connection.driver_connection
    assert raw is not None
    try:
        if connection.dialect.name == "sqlite":
            marks = ", ".join("?" * len(names))
            raw.executemany(f"INSERT INTO {into} VALUES ({marks})", zip(*columns, strict=True))
        else:
            with raw.cursor() as cursor, cursor.copy(f"COPY {into} FROM STDIN") as copy:
                for row in zip(*columns, strict=True):
                    copy.write_row(row)
    except connection.dialect.loaded_dbapi.Error as error:
        # as SQLAlchemy itself would say it, so that one place turns it into a sentence
        raise sa.exc.DBAPIError.instance(
            f"INSERT INTO {into}", None, error, connection.dialect.loaded_dbapi.Error
        ) from error
