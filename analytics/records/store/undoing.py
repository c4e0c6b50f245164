"""Taking an import back: what it added goes, what it changed returns to what it was."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from analytics.errors import StoreError
from analytics.records.fields import RECORDS
from analytics.records.log import columns_of
from analytics.records.store import tables as t
from analytics.records.store.comparing import ORIGIN_FIELD
from analytics.records.store.saving import update_rows, write_findings
from analytics.records.store.values import FINDINGS, from_text


@dataclass(frozen=True)
class UndoReport:
    """What taking an import back did: records removed and records put back as they were."""

    import_id: int
    file: str
    removed: int
    restored: int


def undo(connection: Connection, import_id: int, *, now: datetime) -> UndoReport:
    """Take one import back on a connection holding the write lock.

    Raises StoreError for an unknown import, one already taken back, and one that later imports
    build on: what those files say about the same records would be lost with it.
    """
    file = _file_to_undo(connection, import_id)
    restored = sum(_restore(connection, record, import_id) for record in RECORDS)
    h = t.history
    connection.execute(sa.delete(h).where(h.c.import_id == import_id))
    removed = sum(_remove(connection, record, import_id) for record in RECORDS)
    mine = t.imports.c.id == import_id
    connection.execute(sa.update(t.imports).where(mine).values(undone_at=now))
    return UndoReport(import_id, file, removed, restored)


def _file_to_undo(connection: Connection, import_id: int) -> str:
    i = t.imports.c
    query = sa.select(i.id, i.file, i.undone_at, i.builds_on).order_by(i.id)
    rows = {row.id: row for row in connection.execute(query)}
    row = rows.get(import_id)
    if row is None:
        raise StoreError(f"there is no import {import_id}.{_known(list(rows))}")
    if row.undone_at is not None:
        raise StoreError(
            f"import {import_id} ({row.file}) was already taken back on {row.undone_at:%Y-%m-%d}."
        )
    live = [other for other in rows.values() if other.undone_at is None]
    later = [other for other in live if import_id in json.loads(other.builds_on)]
    if later:
        named = ", ".join(f"{other.id} ({other.file})" for other in later)
        raise StoreError(
            f"import {import_id} ({row.file}) cannot be taken back yet: later imports repeat or "
            f"correct its records. Take back {named} first, newest first, then import what you "
            "want to keep again. Nothing was changed."
        )
    return str(row.file)


def _known(ids: Sequence[int]) -> str:
    return f" The last one is {max(ids)}." if ids else " Nothing was imported yet."


def _restore(connection: Connection, record: str, import_id: int) -> int:
    h = t.history.c
    query = (
        sa.select(h.record_id, h.field, h.old)
        .where(h.import_id == import_id, h.record == record)
        .order_by(h.id)
    )
    before: dict[int, dict[str, str | None]] = {}
    for record_id, field, old in connection.execute(query):
        before.setdefault(record_id, {})[field] = old
    if not before:
        return 0
    rows = _current(connection, record, import_id)
    for row in rows:
        row |= _as_it_was(record, before[row["id"]])
    if record == "part":
        texts = {row["part_id"]: before[row["id"]] for row in rows}
        write_findings(
            connection, [(part, old[FINDINGS]) for part, old in texts.items() if FINDINGS in old]
        )
    update_rows(connection, record, rows)
    return len(rows)


def _current(connection: Connection, record: str, import_id: int) -> list[dict[str, Any]]:
    table, h = t.record_tables()[record], t.history.c
    touched = sa.select(h.record_id).where(h.import_id == import_id, h.record == record)
    columns = [table.c[name] for name in ("id", *columns_of(record), "changed_id")]
    query = sa.select(*columns).where(table.c.id.in_(touched))
    return [dict(row) for row in connection.execute(query).mappings()]


def _as_it_was(record: str, before: Mapping[str, str | None]) -> dict[str, Any]:
    values = {
        field: from_text(record, field, old)
        for field, old in before.items()
        if field not in (ORIGIN_FIELD, FINDINGS)
    }
    return values | json.loads(before[ORIGIN_FIELD] or "{}")


def _remove(connection: Connection, record: str, import_id: int) -> int:
    table = t.record_tables()[record]
    return connection.execute(sa.delete(table).where(table.c.import_id == import_id)).rowcount
