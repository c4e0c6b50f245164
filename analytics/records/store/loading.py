"""Reading records back out of the store as typed tables."""

from __future__ import annotations

from typing import Any

import pandas as pd
import sqlalchemy as sa
from sqlalchemy.engine import Connection

from analytics.records.fields import RECORDS
from analytics.records.log import DEFECT_COLUMNS, TABLES, Log, columns_of, typed_defects
from analytics.records.store import tables as t
from analytics.records.store.bulk import all_rows
from analytics.records.store.comparing import with_findings
from analytics.records.store.values import BOOKKEEPING, table_of


def load_log(connection: Connection) -> Log:
    """All records as a Log, in the order they were first read."""
    tables: dict[str, Any] = {
        TABLES[record]: _rows(connection, record, columns_of(record)) for record in RECORDS
    }
    parts, logger = tables["parts"], tables["logger"]
    tables["parts"] = parts.assign(looked=parts["looked"].fillna(False))
    tables["logger"] = logger.assign(logger_id=logger["logger_id"].mask(logger["logger_id"] == ""))
    return Log(**tables, defects=known_defects(connection))


def known_table(
    connection: Connection, record: str, around: pd.DataFrame | None = None
) -> pd.DataFrame:
    """A record's stored rows with `id`, `import_id` and `changed_id`; parts also `findings`.

    `around` (a table of the record) limits logger readings to its span of time, because a shop's
    readings outgrow everything else it keeps.
    """
    span = None
    if record == "logger" and around is not None:
        moments = around["timestamp"]
        span = moments.min().to_pydatetime(), moments.max().to_pydatetime()
    known = _rows(connection, record, (*columns_of(record), *BOOKKEEPING), span)
    return with_findings(known, known_defects(connection)) if record == "part" else known


def any_known(connection: Connection, record: str) -> bool:
    """Whether the store holds any record of this kind."""
    table = t.record_tables()[record]
    return connection.execute(sa.select(table.c.id).limit(1)).first() is not None


def known_defects(connection: Connection) -> pd.DataFrame:
    """The faults of all parts, in the order they were written."""
    table = t.record_tables()["defect"]
    query = sa.select(*(table.c[name] for name in DEFECT_COLUMNS)).order_by(table.c.id)
    rows = all_rows(connection, query)
    return typed_defects(pd.DataFrame(rows, columns=list(DEFECT_COLUMNS), dtype="object"))


def _rows(
    connection: Connection,
    record: str,
    columns: tuple[str, ...],
    span: tuple[object, object] | None = None,
) -> pd.DataFrame:
    table = t.record_tables()[record]
    query = sa.select(*(table.c[name] for name in columns)).order_by(table.c.id)
    if span:
        query = query.where(table.c.timestamp.between(*span))
    return table_of(record, columns, all_rows(connection, query))
