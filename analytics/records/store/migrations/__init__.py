"""Numbered steps that bring a store of any earlier version up to this one.

A step that has shipped is never edited: it must do tomorrow what it did on the day. A new column
is a new module here, with the next number, and an entry in MIGRATIONS.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from analytics.errors import StoreError
from analytics.records.store.migrations import (
    m0001_first_tables,
    m0002_entries,
    m0003_kept_jobs,
)
from analytics.records.store.tables import all_tables, migration


@dataclass(frozen=True)
class Migration:
    """One step: its number, what it does in a few words, and the function doing it."""

    number: int
    title: str
    apply: Callable[[Connection], None]


MIGRATIONS: tuple[Migration, ...] = (
    Migration(1, "first tables", m0001_first_tables.apply),
    Migration(2, "journal entries", m0002_entries.apply),
    Migration(3, "jobs to search by", m0003_kept_jobs.apply),
)


def pending(connection: Connection, where: str) -> tuple[Migration, ...]:
    """The steps this store still needs, in order; nothing is written.

    Raises StoreError for a store of a later laylog and for a database of another program.
    """
    applied = _applied(connection, where)
    known = {step.number for step in MIGRATIONS}
    later = sorted(applied - known)
    if later:
        raise StoreError(
            f"the store {where} was written by a later laylog (version {later[-1]}; this one "
            f"knows {max(known)}). It was left as it is: install the newer laylog to use it."
        )
    return tuple(step for step in MIGRATIONS if step.number not in applied)


def migrate(connection: Connection, where: str, *, now: datetime) -> None:
    """Apply the steps still needed, on a connection holding the write lock.

    The caller's transaction makes it all or nothing.
    """
    for step in pending(connection, where):
        step.apply(connection)
        entry = {"number": step.number, "title": step.title, "applied_at": now}
        connection.execute(sa.insert(migration), entry)


def _applied(connection: Connection, where: str) -> set[int]:
    names = set(sa.inspect(connection).get_table_names())
    if migration.name in names:
        return set(connection.scalars(sa.select(migration.c.number)))
    # A PostgreSQL database may well hold other people's tables; a SQLite file is one program's.
    strangers = names if connection.dialect.name == "sqlite" else names & set(all_tables().tables)
    if strangers:
        raise StoreError(
            f"{where} is a database of another program (it has a table {min(strangers)!r}). "
            "It was left as it is: name another store."
        )
    return set()
