"""Whether a store is sound: the database's own check and the promises laylog makes itself."""

from __future__ import annotations

import json
from collections.abc import Iterator

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from analytics.records.fields import RECORDS
from analytics.records.store import tables as t


def faults(connection: Connection) -> tuple[str, ...]:
    """One sentence for each thing wrong with the store; empty when it is sound."""
    return (*_file_faults(connection), *_promise_faults(connection))


def _file_faults(connection: Connection) -> Iterator[str]:
    if connection.dialect.name != "sqlite":
        return
    for (said,) in connection.exec_driver_sql("PRAGMA integrity_check"):
        if said != "ok":
            yield f"the file is damaged: {said}"
    for table, row, parent, _ in connection.exec_driver_sql("PRAGMA foreign_key_check"):
        yield f"{table} row {row} points to a {parent} that is not there"


def _promise_faults(connection: Connection) -> Iterator[str]:
    i = t.imports.c
    live = set(connection.scalars(sa.select(i.id).where(i.undone_at.is_(None))))
    if connection.scalar(sa.select(sa.func.count()).select_from(t.revision)) != 1:
        yield "the counter that tells when records change is lost"
    for record in RECORDS:
        yield from _record_faults(connection, record, live)
    for import_id, report, problems in connection.execute(sa.select(i.id, i.report, i.problems)):
        try:
            json.loads(report), json.loads(problems)
        except ValueError:
            yield f"the report of import {import_id} cannot be read"


def _record_faults(connection: Connection, record: str, live: set[int]) -> Iterator[str]:
    table, h = t.record_tables()[record], t.history.c
    for column in (table.c.import_id, table.c.changed_id):
        for import_id in set(connection.scalars(sa.select(column).distinct())) - live:
            yield f"a {record} still comes from import {import_id}, which was taken back"
    known = sa.select(table.c.id)
    lost = sa.select(h.key).distinct().where(h.record == record, h.record_id.not_in(known))
    for key in connection.scalars(lost):
        yield f"the history tells of {record} {key}, which is not there"
