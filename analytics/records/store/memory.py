"""What a shop has told laylog besides its log: columns, settings, confirmed causes, bench tests."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from analytics.records.fields import Placement
from analytics.records.store import tables as t


@dataclass(frozen=True)
class Confirmation:
    """A cause somebody found to be behind a defect of a part."""

    part_id: str
    defect: str
    cause: str
    at: datetime


@dataclass(frozen=True)
class Observation:
    """The result of a bench check on a part; `check` and `result` are knowledge ids."""

    part_id: str
    check: str
    result: str
    at: datetime


def put(connection: Connection, table: sa.Table, row: dict[str, Any]) -> None:
    """Keep a row in place of the one with the same primary key."""
    forget(connection, table, *(row[column.name] for column in table.primary_key))
    connection.execute(sa.insert(table), row)


def forget(connection: Connection, table: sa.Table, *key: Any) -> bool:
    """Delete the row with this primary key; False when there is none."""
    same = [c == v for c, v in zip(table.primary_key, key, strict=True)]
    return connection.execute(sa.delete(table).where(*same)).rowcount > 0


def placements(connection: Connection) -> dict[str, Placement]:
    """Where the shop said columns belong, by heading."""
    rows = connection.execute(sa.select(t.placement).order_by(t.placement.c.header))
    return {row.header: Placement(row.target, row.unit) for row in rows}


def settings(connection: Connection) -> dict[str, Any]:
    """All settings by name."""
    rows = connection.execute(sa.select(t.setting).order_by(t.setting.c.name))
    return {row.name: json.loads(row.value) for row in rows}


def confirmations(connection: Connection, part_id: str | None) -> tuple[Confirmation, ...]:
    """Causes confirmed and not withdrawn, oldest first, of one part or of all."""
    return tuple(
        Confirmation(row.part_id, row.defect, row.cause, row.at)
        for row in _live(connection, t.confirmation, part_id)
    )


def observations(connection: Connection, part_id: str | None) -> tuple[Observation, ...]:
    """Bench results not withdrawn, oldest first, of one part or of all."""
    return tuple(
        Observation(row.part_id, row.bench_check, row.result, row.at)
        for row in _live(connection, t.observation, part_id)
    )


def state(connection: Connection, table: sa.Table, row: dict[str, Any], about: str) -> bool:
    """Keep what was said in place of what was said before; False when nothing is new.

    `about` names the column that, with the part, tells one statement from another. The earlier
    one stays in the table as withdrawn: what a shop once believed is worth keeping.
    """
    new = {name: value for name, value in row.items() if name != "at"}
    for old in _live(connection, table, row["part_id"]):
        if all(getattr(old, name) == value for name, value in new.items()):
            return False
    withdraw(connection, table, row["part_id"], about, row[about], now=row["at"])
    connection.execute(sa.insert(table), row)
    return True


def withdraw(
    connection: Connection, table: sa.Table, part_id: str, about: str, value: str, *, now: datetime
) -> bool:
    """Mark a statement as withdrawn; False when there is none."""
    same = (table.c.part_id == part_id) & (table.c[about] == value)
    mine = same & table.c.withdrawn_at.is_(None)
    return connection.execute(sa.update(table).where(mine).values(withdrawn_at=now)).rowcount > 0


def _live(connection: Connection, table: sa.Table, part_id: str | None) -> list[Any]:
    query = sa.select(table).where(table.c.withdrawn_at.is_(None)).order_by(table.c.id)
    if part_id is not None:
        query = query.where(table.c.part_id == part_id)
    return list(connection.execute(query))
