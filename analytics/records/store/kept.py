"""What was worked out for a large log, kept so that a question fetches only what it needs.

The jobs table lies in the cache in pieces of so many rows; beside it one narrow row a job tells
its place, its part and mould, and the values by which jobs are held against each other.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from analytics.records.store import tables as t
from analytics.records.store.bulk import add_rows
from analytics.records.store.tables import KEPT_VALUES, kept_job

HEAD = "jobs in pieces"
_ROWS = ("place", "part_id", "mould_id", "good")


@dataclass(frozen=True)
class KeptRow:
    """One job as it is searched by: its place in the jobs table, its values None where unknown."""

    place: int
    part_id: str
    mould_id: str | None
    good: bool
    values: tuple[float | None, ...]


@dataclass(frozen=True)
class Searchable:
    """The jobs in order as columns: part numbers, moulds, whether good, and up to 48 values."""

    part_id: Sequence[str]
    mould_id: Sequence[str | None]
    good: Sequence[bool]
    values: Sequence[Sequence[float | None]]


def keep(connection: Connection, state: str, pieces: Mapping[str, bytes], jobs: Searchable) -> None:
    """Keep a log's jobs in place of those of an earlier state, on a connection that may write."""
    mine = t.cache.c.key.startswith(f"{HEAD} ", autoescape=True)
    connection.execute(sa.delete(t.cache).where(mine | (t.cache.c.key == HEAD)))
    connection.execute(sa.delete(kept_job))
    head = {HEAD: f"{len(jobs.part_id)} {len(jobs.values)}".encode()}
    rows = [
        {"key": name if name == HEAD else _key(name), "content": content, "fingerprint": state}
        for name, content in {**head, **pieces}.items()
    ]
    connection.execute(sa.insert(t.cache), rows)
    many = len(jobs.part_id)
    columns = [range(many), jobs.part_id, jobs.mould_id, jobs.good, *jobs.values]
    add_rows(connection, kept_job, [*_ROWS, *KEPT_VALUES[: len(jobs.values)]], columns)


def _key(piece: str) -> str:
    return f"{HEAD} {piece}"


@dataclass(frozen=True)
class KeptJobs:
    """The kept jobs of one state, on an open connection that sees one moment."""

    connection: Connection
    jobs: int
    values: int

    @classmethod
    def of(cls, connection: Connection, state: str) -> KeptJobs | None:
        """Those kept for this state; None where there are none."""
        c = t.cache.c
        query = sa.select(c.content).where(c.key == HEAD, c.fingerprint == state)
        head = connection.scalar(query)
        return None if head is None else cls(connection, *map(int, head.split()))

    def pieces(self, names: Iterable[str]) -> dict[str, bytes]:
        """The pieces of these names."""
        c = t.cache.c
        wanted = {_key(name): name for name in names}
        found = self.connection.execute(sa.select(c.key, c.content).where(c.key.in_(list(wanted))))
        return {wanted[key]: content for key, content in found}

    def row_of(self, part_id: str) -> KeptRow | None:
        """One part's row; None where the log has no such part."""
        found = self._rows(kept_job.c.part_id == part_id)
        return found[0] if found else None

    def rows_at(self, places: Iterable[int]) -> list[KeptRow]:
        """The rows at these places, in order."""
        return self._rows(kept_job.c.place.in_(sorted(set(places))))

    def last_of_mould(self, row: KeptRow, count: int) -> list[int]:
        """Places of the mould's latest jobs up to this one, itself among them, newest first."""
        c = kept_job.c
        mine = (c.mould_id == row.mould_id) & (c.place <= row.place)
        query = sa.select(c.place).where(mine).order_by(c.place.desc()).limit(count)
        return list(self.connection.scalars(query))

    def most_alike(
        self, row: KeptRow, count: int, *, numbers: int, same_mould_bonus: float
    ) -> list[int]:
        """Places of the good jobs most like this one, the likest first; counted by the database.

        The first `numbers` values count by how far apart they are, the others as 1 where they
        differ; the mean is over the values known on both sides, and unknown ones count half (see
        `analytics.diagnosis.alike`). The sum is made in that order, so that it is the same number.
        """
        c = kept_job.c
        far, shared = self._steps(row, numbers)
        mean = far / sa.case((shared > 0, shared), else_=1)
        score = mean + 0.5 * (1 - shared / sa.literal(float(self.values)))
        if row.mould_id is not None:
            same = sa.case((c.mould_id == row.mould_id, same_mould_bonus), else_=0.0)
            score = score - same
        query = (
            sa.select(c.place)
            .where(c.good & (c.place != row.place))
            .order_by(score, c.place)
            .limit(count)
        )
        return list(self.connection.scalars(query))

    def _steps(self, row: KeptRow, numbers: int) -> tuple[Any, Any]:
        """How far every job is from this one, summed over the values both know, and their count."""
        far: Any = sa.literal(0.0)
        shared: Any = sa.literal(0.0)
        for position, own in enumerate(row.values):
            if own is None:
                continue
            other = kept_job.c[KEPT_VALUES[position]]
            apart = (
                sa.func.abs(other - own)
                if position < numbers
                else sa.case((other != own, 1.0), else_=0.0)
            )
            far = far + sa.case((other.is_(None), 0.0), else_=apart)
            shared = shared + sa.case((other.is_(None), 0.0), else_=1.0)
        return far, shared

    def faults_of(self, part_id: str) -> list[dict[str, Any]]:
        """The faults written of one part, in the order they were written."""
        table = t.record_tables()["defect"]
        query = sa.select(table).where(table.c.part_id == part_id).order_by(table.c.id)
        return [dict(row._mapping) for row in self.connection.execute(query)]

    def placed(self, row: KeptRow, defects: Iterable[str]) -> list[tuple[str, bool, int]]:
        """Where these faults were on all other parts: place, whether on this mould, how many."""
        d, c = t.record_tables()["defect"].c, kept_job.c
        here = sa.func.coalesce(c.mould_id == row.mould_id, False).label("here")
        query = (
            sa.select(d.place, here, sa.func.count())
            .select_from(d.part_id.table.join(kept_job, d.part_id == c.part_id))
            .where(d.place.is_not(None), d.part_id != row.part_id, d.defect.in_(list(defects)))
            .group_by(d.place, here)
        )
        return [(place, bool(on), many) for place, on, many in self.connection.execute(query)]

    def _rows(self, which: sa.ColumnElement[bool]) -> list[KeptRow]:
        columns = [kept_job.c[name] for name in (*_ROWS, *KEPT_VALUES[: self.values])]
        query = sa.select(*columns).where(which).order_by(kept_job.c.place)
        return [
            KeptRow(row[0], row[1], row[2], row[3], tuple(row[4:]))
            for row in self.connection.execute(query)
        ]
