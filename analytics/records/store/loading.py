"""Reading records back out of the store as typed tables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

import pandas as pd
import sqlalchemy as sa
from sqlalchemy.engine import Connection

from analytics.records.fields import RECORDS
from analytics.records.log import DEFECT_COLUMNS, TABLES, Log, columns_of, typed_defects
from analytics.records.store import tables as t
from analytics.records.store.bulk import all_rows
from analytics.records.store.comparing import with_findings
from analytics.records.store.tables import KEYS
from analytics.records.store.values import BOOKKEEPING, table_of

FEW = 500
"""Records that are asked for one by one; of more, all are read."""


def load_log(connection: Connection) -> Log:
    """All records as a Log, in the order they were first read."""
    tables: dict[str, Any] = {
        TABLES[record]: _rows(connection, record, columns_of(record)) for record in RECORDS
    }
    tables["parts"] = _looked(tables["parts"])
    tables["logger"] = _unnamed(tables["logger"])
    return Log(**tables, defects=known_defects(connection))


def load_parts(connection: Connection, parts: Sequence[str]) -> Log:
    """These parts, the mixes they name and their faults; of everything else nothing."""
    p, m = t.record_tables()["part"].c, t.record_tables()["batch"].c
    found = _rows(connection, "part", columns_of("part"), p.part_id.in_(list(parts)))
    named = pd.concat([found["gelcoat_batch_id"], found["resin_batch_id"]]).dropna().unique()
    mixes = _rows(connection, "batch", columns_of("batch"), m.batch_id.in_(named.tolist()))
    faults = known_defects(connection, parts)
    return replace(Log.empty(), parts=_looked(found), batches=mixes, defects=faults)


def load_readings(connection: Connection, first: datetime, after: datetime) -> pd.DataFrame:
    """The logger's readings from one moment to just before another."""
    moment = t.record_tables()["logger"].c.timestamp
    within = (moment >= first) & (moment < after)
    return _unnamed(_rows(connection, "logger", columns_of("logger"), within))


def _looked(parts: pd.DataFrame) -> pd.DataFrame:
    return parts.assign(looked=parts["looked"].fillna(False))


def _unnamed(logger: pd.DataFrame) -> pd.DataFrame:
    return logger.assign(logger_id=logger["logger_id"].mask(logger["logger_id"] == ""))


def known_table(
    connection: Connection, record: str, around: pd.DataFrame | None = None
) -> pd.DataFrame:
    """A record's stored rows with `id`, `import_id` and `changed_id`; parts also `findings`.

    `around` (a table of the record) limits logger readings to its span of time, because a shop's
    readings outgrow everything else it keeps; of other records, to those of the same keys where it
    has few rows: one part written by hand is no reason to read them all.
    """
    columns = (*columns_of(record), *BOOKKEEPING)
    if around is None or (record != "logger" and len(around) > FEW):
        known, parts = _rows(connection, record, columns), None
    elif record == "logger":
        moments = around["timestamp"]
        span = moments.min().to_pydatetime(), moments.max().to_pydatetime()
        within = t.record_tables()[record].c.timestamp.between(*span)
        known, parts = _rows(connection, record, columns, within), None
    else:
        parts = around[KEYS[record][0]].dropna().tolist()
        mine = t.record_tables()[record].c[KEYS[record][0]].in_(parts)
        known = _rows(connection, record, columns, mine)
    return with_findings(known, known_defects(connection, parts)) if record == "part" else known


def numbers(connection: Connection) -> dict[str, list[str]]:
    """What everything is known by, in the order it was read; lots and moulds named anywhere."""
    named = {
        "part": (("part", "part_id"),),
        "batch": (("batch", "batch_id"),),
        "lot": (("lot", "lot"), ("batch", "lot"), ("batch", "catalyst_lot")),
        "mould": (("mould", "mould_id"), ("part", "mould_id")),
    }
    return {
        name: list(dict.fromkeys(n for where in places for n in _named(connection, *where)))
        for name, places in named.items()
    }


def _named(connection: Connection, record: str, column: str) -> Iterator[str]:
    table = t.record_tables()[record]
    own = table.c[column]
    if (column,) == KEYS[record]:
        return iter(connection.scalars(sa.select(own).order_by(table.c.id)))
    first = sa.func.min(table.c.id)
    query = sa.select(own).where(own.is_not(None)).group_by(own).order_by(first)
    return iter(connection.scalars(query))


def any_known(connection: Connection, record: str) -> bool:
    """Whether the store holds any record of this kind."""
    table = t.record_tables()[record]
    return connection.execute(sa.select(table.c.id).limit(1)).first() is not None


def known_defects(connection: Connection, parts: Sequence[str] | None = None) -> pd.DataFrame:
    """The faults of all parts, or of these few, in the order they were written."""
    table = t.record_tables()["defect"]
    query = sa.select(*(table.c[name] for name in DEFECT_COLUMNS)).order_by(table.c.id)
    if parts is not None:
        query = query.where(table.c.part_id.in_(list(parts)))
    rows = all_rows(connection, query)
    return typed_defects(pd.DataFrame(rows, columns=list(DEFECT_COLUMNS), dtype="object"))


def _rows(
    connection: Connection,
    record: str,
    columns: tuple[str, ...],
    which: sa.ColumnElement[bool] | None = None,
) -> pd.DataFrame:
    table = t.record_tables()[record]
    query = sa.select(*(table.c[name] for name in columns)).order_by(table.c.id)
    if which is not None:
        query = query.where(which)
    return table_of(record, columns, all_rows(connection, query))
