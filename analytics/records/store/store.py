"""The store: one shop's records and what it has told laylog, in SQLite or PostgreSQL."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import pandas as pd
import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine

from analytics.errors import StoreError
from analytics.records.fields import Placement
from analytics.records.log import Log
from analytics.records.store import (
    checking,
    copying,
    correcting,
    entries,
    journal,
    kept,
    memory,
    notes,
)
from analytics.records.store import tables as t
from analytics.records.store.connecting import (
    let_readers_work_beside_a_writer,
    make_engine,
    no_store,
    reading,
    refuse_missing,
    shown,
    store_url,
    writing,
)
from analytics.records.store.correcting import Correct, Current
from analytics.records.store.entries import Entry
from analytics.records.store.journal import Correction, Import
from analytics.records.store.loading import FEW, load_log, load_parts, load_readings, numbers
from analytics.records.store.memory import Confirmation, Observation
from analytics.records.store.migrations import MIGRATIONS, migrate, pending
from analytics.records.store.saving import Read, SaveReport, save_all
from analytics.records.store.undoing import UndoReport, undo


class Store:
    """One shop's store, open. Use it in a `with` block, or close it.

    Every method that writes does so in one transaction. All raise StoreError, with one sentence,
    when the database cannot do what was asked.
    """

    def __init__(self, engine: Engine, where: str) -> None:
        self._engine = engine
        self.where = where

    @classmethod
    def open(cls, url_or_path: str | Path, *, now: datetime, make: bool = True) -> Self:
        """The store at a path or URL, brought up to this version; `make` it if it is not there.

        A store of a later laylog, or another program's database, is refused and left untouched.
        """
        url = store_url(url_or_path)
        if not make:
            refuse_missing(url)
        store = cls(make_engine(url), shown(url))
        try:
            store._bring_up_to_date(now, make)
        except BaseException:
            store.close()
            raise
        return store

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    # -- records -------------------------------------------------------------------------------

    def save(
        self, result: Read, *, now: datetime, sha256: Mapping[str, str] | None = None
    ) -> SaveReport:
        """What was new, known or changed, file by file; all files are kept, or none.

        `sha256` gives the digest of each file by the name in its report. A file whose digest was
        seen before cannot bring back a value that a later file corrected.
        """
        with self._writing() as connection:
            report = save_all(connection, result, sha256 or {}, now)
            if report.total.new or report.total.changed:
                _mark_changed(connection)
            return report

    def write_down(
        self, result: Read, *, now: datetime, new: str | None = None, more_faults: bool = False
    ) -> SaveReport:
        """What keeping a record typed by hand did.

        `new` names the kind of record that must not be there yet: StoreError where it is. With
        `more_faults`, those read are added to what the part has.
        """
        with self._writing() as connection:
            given = correcting.with_earlier_faults(connection, result) if more_faults else result
            report = correcting.write_down(connection, given, new=new, now=now)
            if report.total.new or report.total.changed:
                _mark_changed(connection)
            return report

    def save_mended(
        self, files: Read, mends: Read, *, now: datetime, sha256: Mapping[str, str]
    ) -> SaveReport:
        """What was kept of files and of the cells typed anew by hand; all of it, or nothing."""
        with self._writing() as connection:
            report = correcting.save_mended(connection, files, mends, sha256, now)
            if report.total.new or report.total.changed:
                _mark_changed(connection)
            return report

    def correct(self, asked: Correct, *, now: datetime) -> int | None:
        """The number a correction of one value goes by; None where the value stood so already.

        Raises StoreError where the value is no longer what it was when looked at.
        """
        with self._writing() as connection:
            import_id = correcting.correct(connection, asked, now=now)
            if import_id is not None:
                _mark_changed(connection)
            return import_id

    def current(self, record: str, key: str) -> Current | None:
        """One record as it stands, values as the history writes them; None where there is none."""
        with self._reading() as connection:
            return correcting.current(connection, record, key)

    def imports(self) -> tuple[Import, ...]:
        """Every import, oldest first, those taken back included."""
        with self._reading() as connection:
            return journal.imports(connection)

    def undo_import(self, import_id: int, *, now: datetime) -> UndoReport:
        """What taking an import back did: its records gone, its changes put back.

        Raises StoreError when later imports build on its records.
        """
        with self._writing() as connection:
            report = undo(connection, import_id, now=now)
            _mark_changed(connection)
            return report

    def history(self, record: str, key: str | None = None) -> tuple[Correction, ...]:
        """Values filled in or corrected since first read, oldest first, of one record or all."""
        with self._reading() as connection:
            return journal.history(connection, record, key)

    def read_log(self) -> Log:
        """All records, in the order they were first read."""
        with self._reading() as connection:
            return load_log(connection)

    def read_parts(self, parts: Sequence[str]) -> Log:
        """These parts with their mixes and faults; everything where they are many."""
        with self._reading() as connection:
            return load_log(connection) if len(parts) > FEW else load_parts(connection, parts)

    def read_readings(self, first: datetime, after: datetime) -> pd.DataFrame:
        """The logger's readings from one moment to just before another."""
        with self._reading() as connection:
            return load_readings(connection, first, after)

    def part_ids(self) -> list[str]:
        """The number of every part, in the order they were first read."""
        part = t.record_tables()["part"].c
        with self._reading() as connection:
            return list(connection.scalars(sa.select(part.part_id).order_by(part.id)))

    def numbers(self) -> dict[str, list[str]]:
        """What everything is known by: "part", "batch", "lot" and "mould", in the order read."""
        with self._reading() as connection:
            return numbers(connection)

    # -- what the shop has said ----------------------------------------------------------------

    def place_column(self, header: str, target: str, unit: str | None = None) -> None:
        """Remember where a column of this heading belongs."""
        with self._writing() as connection:
            row = {"header": header, "target": target, "unit": unit}
            memory.put(connection, t.placement, row)

    def forget_column(self, header: str) -> bool:
        """Forget where a column was placed; False when it was not."""
        with self._writing() as connection:
            return memory.forget(connection, t.placement, header)

    def placements(self) -> dict[str, Placement]:
        """Where the shop said columns belong, by heading as typed."""
        with self._reading() as connection:
            return memory.placements(connection)

    def setting(self, name: str, default: Any = None) -> Any:
        """A setting's value (text, number, true or false, list or table), else `default`."""
        return self.settings().get(name, default)

    def settings(self) -> dict[str, Any]:
        """All settings by name."""
        with self._reading() as connection:
            return memory.settings(connection)

    def set_setting(self, name: str, value: Any) -> None:
        """Keep a setting; None forgets it."""
        with self._writing() as connection:
            if value is None:
                memory.forget(connection, t.setting, name)
            else:
                memory.put(connection, t.setting, {"name": name, "value": json.dumps(value)})

    def confirm(self, part_id: str, defect: str, cause: str, *, now: datetime) -> None:
        """Keep that this cause was found behind this defect, in place of an earlier finding."""
        row = {"part_id": part_id, "defect": defect, "cause": cause, "at": now}
        self._state(t.confirmation, row, "defect")

    def withdraw_confirmation(self, part_id: str, defect: str, *, now: datetime) -> bool:
        """Take a confirmed cause back; False when there is none."""
        return self._withdraw(t.confirmation, part_id, "defect", defect, now)

    def confirmations(self, part_id: str | None = None) -> tuple[Confirmation, ...]:
        """Confirmed causes, oldest first, of one part or of all."""
        with self._reading() as connection:
            return memory.confirmations(connection, part_id)

    def add_observation(self, part_id: str, check: str, result: str, *, now: datetime) -> None:
        """Keep the result of a bench check, in place of an earlier result of the same check."""
        row = {"part_id": part_id, "bench_check": check, "result": result, "at": now}
        self._state(t.observation, row, "bench_check")

    def withdraw_observation(self, part_id: str, check: str, *, now: datetime) -> bool:
        """Take a bench result back; False when there is none."""
        return self._withdraw(t.observation, part_id, "bench_check", check, now)

    def observations(self, part_id: str | None = None) -> tuple[Observation, ...]:
        """Bench results, oldest first, of one part or of all."""
        with self._reading() as connection:
            return memory.observations(connection, part_id)

    def entries(self, kind: str) -> tuple[Entry, ...]:
        """Journal entries of one kind, oldest first: what the shop changed, tries or decided."""
        with self._reading() as connection:
            return entries.entries(connection, kind)

    def add_entry(self, kind: str, name: str, content: Mapping[str, Any], *, now: datetime) -> bool:
        """Keep a journal entry (plain JSON); False where one of that kind and name stands."""
        with self._writing() as connection:
            return entries.add(connection, kind, name, content, now=now)

    def withdraw_entry(self, kind: str, name: str, *, now: datetime) -> bool:
        """Take a journal entry back; False when there is none."""
        with self._writing() as connection:
            return entries.withdraw(connection, kind, name, now=now)

    # -- cached models and health --------------------------------------------------------------

    def fingerprint(self) -> str:
        """A short text that changes whenever records change; nothing else changes it."""
        born = sa.select(sa.func.min(t.migration.c.applied_at)).scalar_subquery()
        with self._reading() as connection:
            row = connection.execute(sa.select(t.revision.c.number, born)).one()
            return f"{row[1]:%Y%m%d%H%M%S%f}-{row[0]}"

    def confirmed_mark(self) -> str:
        """A short text that changes whenever a cause is confirmed or taken back.

        Statements are never deleted, so their numbers only grow.
        """
        c = t.confirmation.c
        query = sa.select(sa.func.count(c.id), sa.func.count(c.withdrawn_at))
        with self._reading() as connection:
            said, withdrawn = connection.execute(query).one()
            return f"{said}-{withdrawn}"

    def cache_get(self, key: str, fingerprint: str) -> bytes | None:
        """The bytes kept under this key for this fingerprint; None when there are none."""
        c = t.cache.c
        query = sa.select(c.content).where(c.key == key, c.fingerprint == fingerprint)
        with self._reading() as connection:
            return connection.scalar(query)

    def cache_put(self, key: str, content: bytes, fingerprint: str) -> None:
        """Keep bytes under a key, in place of those of an earlier fingerprint."""
        row = {"key": key, "content": content, "fingerprint": fingerprint}
        with self._writing() as connection:
            memory.put(connection, t.cache, row)

    def keep_jobs(self, state: str, pieces: Mapping[str, bytes], jobs: kept.Searchable) -> None:
        """Keep the jobs of a large log for this state, in place of those of an earlier one."""
        with self._writing() as connection:
            kept.keep(connection, state, pieces, jobs)

    @contextmanager
    def kept_jobs(self, state: str) -> Iterator[kept.KeptJobs | None]:
        """The jobs kept for this state, to be asked within the block; None where there are none."""
        with self._reading() as connection:
            yield kept.KeptJobs.of(connection, state)

    def check(self) -> tuple[str, ...]:
        """One sentence for each thing wrong with the store; empty when it is sound."""
        with self._reading() as connection:
            return checking.faults(connection)

    def backup(self, file: str | Path, *, now: datetime) -> dict[str, int]:
        """How many rows of each table a backup in this file holds; others may go on working.

        The file is checked before it takes its name, and may be put back into either kind of
        database. An earlier backup of that name is replaced, any other file left alone.
        """
        path = Path(file).expanduser().absolute()
        if self._is_own(path):
            raise StoreError(f"{path} is the store itself. Name another file for the backup.")
        with self._reading() as connection:
            counts = copying.back_up(connection, path, now=now)
        with suppress(StoreError):  # a store that cannot be written can still be backed up
            self.set_setting(notes.SETTING, notes.note(path, now))
        if self._engine.dialect.name == "sqlite":
            notes.put_note(self.where, path, now)
        return counts

    # ------------------------------------------------------------------------------------------

    def _is_own(self, path: Path) -> bool:
        own = Path(self.where)
        return self._engine.dialect.name == "sqlite" and path.exists() and path.samefile(own)

    def _bring_up_to_date(self, now: datetime, make: bool) -> None:
        with self._reading() as connection:
            steps = pending(connection, self.where)
        if not make and len(steps) == len(MIGRATIONS):
            raise no_store(self.where)
        let_readers_work_beside_a_writer(self._engine)
        if steps:
            with self._writing() as connection:
                migrate(connection, self.where, now=now)

    def _state(self, table: sa.Table, row: dict[str, Any], about: str) -> None:
        with self._writing() as connection:
            memory.state(connection, table, row, about)

    def _withdraw(
        self, table: sa.Table, part_id: str, about: str, value: str, now: datetime
    ) -> bool:
        with self._writing() as connection:
            return memory.withdraw(connection, table, part_id, about, value, now=now)

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        with reading(self._engine, self.where) as connection:
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        with writing(self._engine, self.where) as connection:
            yield connection


def _mark_changed(connection: Connection) -> None:
    connection.execute(sa.update(t.revision).values(number=t.revision.c.number + 1))
