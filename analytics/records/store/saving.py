"""Writing what was read into the store: one transaction, history kept, undo possible."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol

import pandas as pd
import sqlalchemy as sa
from sqlalchemy.engine import Connection

from analytics.errors import StoreError
from analytics.records.fields import RECORDS
from analytics.records.log import columns_of, typed_defects
from analytics.records.problems import FileReport
from analytics.records.store import tables as t
from analytics.records.store.adding import add_new
from analytics.records.store.comparing import (
    Change,
    Difference,
    all_new,
    compare,
    findings,
    fold,
    with_findings,
)
from analytics.records.store.loading import any_known, known_table
from analytics.records.store.loggers import told_apart
from analytics.records.store.tables import BY_HAND
from analytics.records.store.values import FINDINGS, rows_of
from analytics.stopping import step


@dataclass(frozen=True)
class Counts:
    """How many records of a file were new, known already, or filled in or corrected."""

    new: int = 0
    unchanged: int = 0
    changed: int = 0

    def __add__(self, other: Counts) -> Counts:
        return Counts(
            self.new + other.new, self.unchanged + other.unchanged, self.changed + other.changed
        )


@dataclass(frozen=True)
class FileSaved:
    """What saving one file did: the number of its import and counts by record ("part" …)."""

    import_id: int
    file: str
    records: Mapping[str, Counts]

    @property
    def total(self) -> Counts:
        """All its records together."""
        return sum(self.records.values(), Counts())


@dataclass(frozen=True)
class SaveReport:
    """What saving did, file by file in the order they were given."""

    files: tuple[FileSaved, ...]

    @property
    def total(self) -> Counts:
        """All files together."""
        return sum((file.total for file in self.files), Counts())


class Read(Protocol):
    """What reading files gives: a report per file, and tables by record ("part" … "defect")."""

    @property
    def files(self) -> tuple[FileReport, ...]: ...

    @property
    def tables(self) -> Mapping[str, pd.DataFrame]: ...


def save_all(
    connection: Connection, result: Read, sha256: Mapping[str, str], now: datetime
) -> SaveReport:
    """Save every file read, in order, on a connection holding the write lock."""
    _refuse_unreported(result)
    saved = [
        save_file(
            connection,
            report,
            _tables_of(result.tables, report.file),
            sha256=sha256.get(report.file),
            now=now,
        )
        for report in result.files
    ]
    # the last moment at which nothing is kept yet
    step()
    return SaveReport(tuple(saved))


def _refuse_unreported(result: Read) -> None:
    names = [report.file for report in result.files]
    for record in RECORDS:
        table = result.tables.get(record)
        strange = set() if table is None else set(table["file"].unique()) - set(names)
        if strange:
            raise ValueError(f"{record} rows from {strange}, which no file report names")
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise StoreError(
            f"two files are called {twice[0]}, and laylog tells files apart by name. "
            "Import them one after the other, or rename one. Nothing was changed."
        )


def _tables_of(tables: Mapping[str, pd.DataFrame], file: str) -> dict[str, pd.DataFrame]:
    own = {r: _of_file(tables[r], file) for r in RECORDS if r in tables}
    if "part" in own and "defect" in tables:
        faults = tables["defect"]
        if own["part"] is not tables["part"]:
            faults = faults[faults["part_id"].isin(own["part"]["part_id"])]
        own["defect"] = faults
    return own


def _of_file(table: pd.DataFrame, file: str) -> pd.DataFrame:
    mine = (table["file"] == file).to_numpy(dtype=bool)
    return table if mine.all() else table[mine]


def save_file(
    connection: Connection,
    report: FileReport,
    given: Mapping[str, pd.DataFrame],
    *,
    sha256: str | None,
    now: datetime,
) -> FileSaved:
    """Bring the store up to date with one file's tables, on a connection holding the write lock."""
    step(f"keeping {report.file}")
    first = _first_read(connection, sha256)
    superseded = {} if report.file.startswith(BY_HAND) else _superseded(connection, first)
    if len(given.get("logger", ())):
        given = {**given, "logger": _told_apart(connection, given["logger"], report.file, first)}
    differences = [
        _difference(connection, record, given, superseded.get(record, frozenset()))
        for record in RECORDS
        if len(given.get(record, ()))
    ]
    saved = {d.record: Counts(len(d.new), d.unchanged, len(d.changed)) for d in differences}
    import_id = _add_import(connection, report, sha256, now, differences)
    for difference in differences:
        step()
        add_new(connection, difference, import_id)
        _write_changed(connection, difference, import_id)
        _add_history(connection, difference, import_id, now)
    return FileSaved(import_id, report.file, saved)


def _difference(
    connection: Connection,
    record: str,
    given: Mapping[str, pd.DataFrame],
    superseded: frozenset[tuple[str, str, str | None]],
) -> Difference:
    step()
    table = given[record]
    if record == "part":
        table = with_findings(table, given.get("defect", typed_defects(())))
    if not any_known(connection, record):
        new = all_new(record, table)
        if new is not None:
            return new
    folded = fold(record, table)
    return compare(record, known_table(connection, record, folded), folded, superseded)


def _told_apart(
    connection: Connection, given: pd.DataFrame, file: str, first: int | None
) -> pd.DataFrame:
    named = given["logger_id"].notna().all()
    if named or given["timestamp"].isna().any() or not any_known(connection, "logger"):
        return given
    known = known_table(connection, "logger", given)
    return told_apart(known, given, file, read_before=first is not None)


def _first_read(connection: Connection, sha256: str | None) -> int | None:
    """The first import of this very file that was not taken back."""
    if sha256 is None:
        return None
    live = sa.select(sa.func.min(t.imports.c.id)).where(
        t.imports.c.sha256 == sha256, t.imports.c.undone_at.is_(None)
    )
    return connection.scalar(live)


def _superseded(
    connection: Connection, first: int | None
) -> dict[str, frozenset[tuple[str, str, str | None]]]:
    """Values a file cannot bring back, by record, as (key, field, text).

    What somebody put right by hand stays right whatever file says it wrong again: a log grows, and
    its old rows are read anew under any name. Reading the very same file again must change nothing
    either, even when a later file corrected it.
    """
    h, i = t.history.c, t.imports.c
    by_hand = sa.select(i.id).where(i.file.startswith(BY_HAND), i.undone_at.is_(None))
    which: sa.ColumnElement[bool] = h.import_id.in_(by_hand)
    which = which if first is None else which | (h.import_id > first)
    query = sa.select(h.record, h.key, h.field, h.old).where(which, h.old.is_not(None))
    found: dict[str, set[tuple[str, str, str | None]]] = {}
    for record, key, field, old in connection.execute(query):
        found.setdefault(record, set()).add((key, field, old))
    return {record: frozenset(entries) for record, entries in found.items()}


def _add_import(
    connection: Connection,
    report: FileReport,
    sha256: str | None,
    now: datetime,
    differences: Sequence[Difference],
) -> int:
    total = sum((Counts(len(d.new), d.unchanged, len(d.changed)) for d in differences), Counts())
    told = report.to_json()
    row = {
        "file": report.file,
        "sha256": sha256,
        "at": now,
        "new": total.new,
        "unchanged": total.unchanged,
        "changed": total.changed,
        "builds_on": json.dumps(sorted(set().union(*(d.builds_on for d in differences)))),
        "problems": json.dumps(told["problems"], ensure_ascii=False),
        "report": json.dumps(told, ensure_ascii=False),
    }
    result = connection.execute(sa.insert(t.imports).returning(t.imports.c.id), row)
    return int(result.scalar_one())


def _write_changed(connection: Connection, difference: Difference, import_id: int) -> None:
    if difference.changed.empty:
        return
    record = difference.record
    rows = rows_of(record, difference.changed, ("id", *columns_of(record)))
    for row in rows:
        row["changed_id"] = import_id
    update_rows(connection, record, rows)
    if record == "part":
        ids = {change.key for change in difference.changes if change.field == FINDINGS}
        parts = difference.changed[difference.changed["part_id"].isin(ids)]
        write_findings(connection, zip(parts["part_id"], parts[FINDINGS], strict=True))


def update_rows(connection: Connection, record: str, rows: Iterable[dict[str, Any]]) -> None:
    """Write rows with an `id` back over themselves; all rows must have the same columns."""
    table = t.record_tables()[record]
    renamed = [{"the_id": row.pop("id"), **row} for row in rows]
    named: dict[str, Any] = {name: sa.bindparam(name) for name in renamed[0] if name != "the_id"}
    statement = sa.update(table).where(table.c.id == sa.bindparam("the_id")).values(named)
    connection.execute(statement, renamed)


def write_findings(connection: Connection, found: Iterable[tuple[str, Any]]) -> None:
    """Replace the faults of these parts by those in their `findings` texts."""
    table = t.record_tables()["defect"]
    texts = {part: None if pd.isna(text) else text for part, text in found}
    if not texts:
        return
    gone = sa.delete(table).where(table.c.part_id == sa.bindparam("the_part"))
    connection.execute(gone, [{"the_part": part} for part in texts])
    rows = [{"part_id": part, **row} for part, text in texts.items() for row in findings(text)]
    if rows:
        connection.execute(sa.insert(table), rows)


def _add_history(
    connection: Connection, difference: Difference, import_id: int, now: datetime
) -> None:
    rows = [
        _history_row(change, difference.record, import_id, now) for change in difference.changes
    ]
    if rows:
        connection.execute(sa.insert(t.history), rows)


def _history_row(change: Change, record: str, import_id: int, now: datetime) -> dict[str, Any]:
    own = {"record": record, "import_id": import_id, "changed_at": now}
    return own | {
        "record_id": change.record_id,
        "key": change.key,
        "field": change.field,
        "old": change.old,
        "new": change.new,
        "old_raw": change.old_raw,
    }
