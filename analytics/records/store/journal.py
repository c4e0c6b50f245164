"""What happened to a store: every import, and every value filled in or corrected since."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from analytics.records.store import tables as t
from analytics.records.store.comparing import ORIGIN_FIELD
from analytics.records.store.saving import Counts


@dataclass(frozen=True)
class Import:
    """One file's import; `report` is the file report as JSON, `problems` the problems in it."""

    id: int
    file: str
    sha256: str | None
    at: datetime
    counts: Counts
    problems: tuple[Mapping[str, Any], ...]
    report: Mapping[str, Any]
    undone_at: datetime | None


@dataclass(frozen=True)
class Correction:
    """A value of a record that an import filled in (`old` is None) or corrected.

    Numbers, dates and answers are written as text ("18.5", "2024-03-01", "yes"); the field
    "findings" holds the faults of a part as JSON. `old_raw` is the cell as typed before.
    """

    record: str
    key: str
    field: str
    old: str | None
    new: str | None
    old_raw: str | None
    changed_at: datetime
    import_id: int


def imports(connection: Connection) -> tuple[Import, ...]:
    """Every import, oldest first, those taken back included."""
    rows = connection.execute(sa.select(t.imports).order_by(t.imports.c.id))
    return tuple(_import(row) for row in rows)


def history(connection: Connection, record: str, key: str | None) -> tuple[Correction, ...]:
    """Values of one record, or of all of its kind, that changed since first read, oldest first."""
    h = t.history.c
    columns = [h[field.name] for field in fields(Correction)]
    query = sa.select(*columns).where(h.record == record, h.field != ORIGIN_FIELD).order_by(h.id)
    if key is not None:
        query = query.where(h.key == key)
    return tuple(Correction(*row) for row in connection.execute(query))


def _import(row: Any) -> Import:
    return Import(
        id=row.id,
        file=row.file,
        sha256=row.sha256,
        at=row.at,
        counts=Counts(row.new, row.unchanged, row.changed),
        problems=tuple(json.loads(row.problems)),
        report=json.loads(row.report),
        undone_at=row.undone_at,
    )
