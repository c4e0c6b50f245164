"""Dated entries in the shop's journal beside its records: what it changed, tries and decided."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from analytics.records.store.tables import entry


@dataclass(frozen=True)
class Entry:
    """One entry: `kind` says what it is about, `name` is its own within that kind."""

    id: int
    kind: str
    name: str
    content: Mapping[str, Any]
    at: datetime


def entries(connection: Connection, kind: str) -> tuple[Entry, ...]:
    """Entries of a kind not taken back, oldest first."""
    live = entry.c.withdrawn_at.is_(None)
    query = sa.select(entry).where(entry.c.kind == kind, live).order_by(entry.c.id)
    return tuple(
        Entry(row.id, row.kind, row.name, json.loads(row.content), row.at)
        for row in connection.execute(query)
    )


def add(
    connection: Connection, kind: str, name: str, content: Mapping[str, Any], *, now: datetime
) -> bool:
    """Keep an entry; False, and nothing kept, where one of that name stands already."""
    same = (entry.c.kind == kind) & (entry.c.name == name) & entry.c.withdrawn_at.is_(None)
    if connection.scalar(sa.select(entry.c.id).where(same)) is not None:
        return False
    row = {"kind": kind, "name": name, "at": now, "content": json.dumps(content)}
    connection.execute(sa.insert(entry), row)
    return True


def withdraw(connection: Connection, kind: str, name: str, *, now: datetime) -> bool:
    """Take an entry back, keeping it in the table as withdrawn; False when there is none."""
    same = (entry.c.kind == kind) & (entry.c.name == name) & entry.c.withdrawn_at.is_(None)
    return connection.execute(sa.update(entry).where(same).values(withdrawn_at=now)).rowcount > 0
