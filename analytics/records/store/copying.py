"""A store copied to one file while others work on it, and put back from one, all or nothing.

A backup is a SQLite store of its own whatever database it was made from, so that every backup can
be checked alone and put back into either kind.
"""

from __future__ import annotations

import os
import sqlite3
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from datetime import datetime
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from analytics.errors import StoreError
from analytics.records.store import checking
from analytics.records.store import tables as t
from analytics.records.store.bulk import add_rows
from analytics.records.store.connecting import (
    is_damage,
    make_engine,
    plain_words,
    store_url,
)
from analytics.records.store.migrations import migrate, pending

_ROWS_AT_ONCE = 5_000
_OF_ITS_OWN = frozenset({"laylog_migration", "revision", "cache", "kept_job"})
"""Tables about the database they are in rather than about the shop; never carried over."""


def back_up(source: Connection, path: Path, *, now: datetime) -> dict[str, int]:
    """Copy a store, as it was at one moment, to a file; how many rows of each table are in it.

    `source` sees one moment. The file takes its name only when it is whole, on the disk and sound.
    """
    _refuse_strange(path)
    counts = count_rows(source)
    with _beside(path) as part:
        with plain_words(str(path)):
            if source.dialect.name == "sqlite":
                _copy_pages(source, part)
            else:
                _copy_all_rows(source, part, now)
        _check(part, counts, path)
        _put_on_disk(part)
        os.replace(part, path)
        _put_on_disk(path.parent)
    return counts


def count_rows(connection: Connection) -> dict[str, int]:
    """How many rows each table of the shop's has, by its name."""
    return {
        table.name: connection.scalar(sa.select(sa.func.count()).select_from(table)) or 0
        for table in _tables()
    }


@contextmanager
def checked_backup(path: Path, *, now: datetime) -> Iterator[Connection]:
    """A backup, proved sound and brought up to this version in a copy; the file is not touched.

    Raises StoreError for a file that is no backup, is damaged, or is of a later laylog.
    """
    if not path.is_file():
        raise StoreError(f"{path}: no such backup. Check the name and the folder.")
    with tempfile.TemporaryDirectory(prefix="laylog-") as folder:
        copy = Path(folder) / "copy"
        with _as_backup(path):
            _copy_file(path, copy)
        engine = make_engine(store_url(copy))
        try:
            with engine.connect().execution_options(laylog_write=True) as connection:
                with _as_backup(path):
                    _prove(connection, path, now)
                yield connection
        finally:
            engine.dispose()


def _prove(copy: Connection, path: Path, now: datetime) -> None:
    """Bring the copy up to date and check it, in a transaction that is never kept."""
    if pending(copy, str(path)) and t.migration.name not in sa.inspect(copy).get_table_names():
        raise StoreError(f"{path} is empty: there is no store in it.")
    migrate(copy, str(path), now=now)
    faults = checking.faults(copy)
    if faults:
        raise StoreError(
            f"the backup {path} is damaged ({faults[0]}). Nothing was changed; use another one."
        )


def put_back(source: Connection, target: Connection) -> dict[str, int]:
    """Give a store the rows of a checked backup in place of its own; how many of each table.

    `target` holds the write lock of a store of this version: it is all or nothing, and nobody
    sees it half done.
    """
    for table in reversed(_tables()):
        target.execute(sa.delete(table))
    for worked_out in (t.cache, t.kept_job):
        target.execute(sa.delete(worked_out))
    for table in _tables():
        _copy_rows(source, target, table)
    # whoever has worked something out from this store must not take it for what is now in it
    numbers = [c.scalar(sa.select(t.revision.c.number)) or 0 for c in (source, target)]
    target.execute(sa.update(t.revision).values(number=max(numbers) + 1))
    if target.dialect.name == "postgresql":
        _count_on(target)
    return count_rows(target)


def _tables() -> list[sa.Table]:
    return [table for table in t.all_tables().sorted_tables if table.name not in _OF_ITS_OWN]


def _refuse_strange(path: Path) -> None:
    """Only a backup may be written over."""
    if path.is_dir():
        raise StoreError(f"{path} is a folder. Name a file in it for the backup.")
    if not path.parent.is_dir():
        raise StoreError(f"there is no folder {path.parent} for the backup. Make it first.")
    if path.exists() and not _is_backup(path):
        raise StoreError(f"{path} is not a laylog backup, so it is left alone. Name another file.")


def _is_backup(path: Path) -> bool:
    try:
        with closing(_open_read_only(path)) as file:
            return bool(file.execute("SELECT 1 FROM laylog_migration").fetchone())
    except sqlite3.Error:
        return False


def _open_read_only(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)


@contextmanager
def _beside(path: Path) -> Iterator[Path]:
    """A name for the unfinished backup in the same folder; gone when it did not get its own."""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    except OSError as error:
        raise StoreError(f"the backup {path} cannot be written: {error.strerror}.") from error
    os.close(handle)
    try:
        yield Path(name)
    finally:
        for left in (name, f"{name}-journal", f"{name}-wal", f"{name}-shm"):
            with suppress(FileNotFoundError):
                os.unlink(left)


def _copy_pages(source: Connection, part: Path) -> None:
    raw = source.connection.driver_connection
    assert raw is not None
    with closing(sqlite3.connect(part)) as copy:
        raw.backup(copy)
        # one file and no other: what is read from a stick must not need to be written to
        copy.execute("PRAGMA journal_mode = DELETE")


def _copy_file(path: Path, copy: Path) -> None:
    with closing(_open_read_only(path)) as file, closing(sqlite3.connect(copy)) as made:
        file.backup(made)


def _copy_all_rows(source: Connection, part: Path, now: datetime) -> None:
    engine = make_engine(store_url(part))
    try:
        with engine.connect().execution_options(laylog_write=True) as copy, copy.begin():
            migrate(copy, str(part), now=now)
            for table in _tables():
                _copy_rows(source, copy, table)
            number = source.scalar(sa.select(t.revision.c.number))
            copy.execute(sa.update(t.revision).values(number=number))
    finally:
        engine.dispose()


def _copy_rows(source: Connection, target: Connection, table: sa.Table) -> None:
    query = sa.select(table).order_by(*table.primary_key)
    names = [column.name for column in table.columns]
    lazily = query.execution_options(yield_per=_ROWS_AT_ONCE)
    for rows in source.execute(lazily).partitions():
        add_rows(target, table, names, list(zip(*rows, strict=True)))


def _count_on(target: Connection) -> None:
    """Let PostgreSQL number new rows after those put in with their numbers."""
    for table in _tables():
        if "id" in table.columns:
            last = sa.select(sa.func.coalesce(sa.func.max(table.c.id), 0) + 1).scalar_subquery()
            sequence = sa.func.pg_get_serial_sequence(table.name, "id")
            target.execute(sa.select(sa.func.setval(sequence, last, False)))


def _check(part: Path, counts: Mapping[str, int], path: Path) -> None:
    engine = make_engine(store_url(part))
    try:
        with plain_words(str(path)), engine.connect() as copy, copy.begin():
            faults = checking.faults(copy)
            if count_rows(copy) != counts:
                faults = (*faults, "some rows are missing from the copy")
    finally:
        engine.dispose()
    if faults:
        raise StoreError(
            f"no backup was made, because the store or its copy is not sound: {faults[0]}. "
            "See: laylog health"
        )


@contextmanager
def _as_backup(path: Path) -> Iterator[None]:
    """What a database driver says of a damaged backup, in the words for a backup."""
    try:
        with plain_words(tempfile.gettempdir()):
            yield
    except StoreError as error:
        told = getattr(error.__cause__, "orig", error.__cause__)
        if not is_damage(told):
            raise
        raise StoreError(
            f"{path} is not a laylog backup, or it is damaged. Nothing was changed; "
            "use another one."
        ) from error


def _put_on_disk(path: Path) -> None:
    """Wait until a file, or the names in a folder, would outlive a power cut."""
    # a folder cannot be opened for this on every system
    with suppress(PermissionError):
        handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
