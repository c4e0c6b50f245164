"""The database behind a store: where it is, how it is opened, and what is said when it fails."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import sqlalchemy as sa
from sqlalchemy import event
from sqlalchemy.engine import URL, Connection, Engine

from analytics.errors import StoreError
from analytics.records.store.notes import offer

BUSY_SECONDS = 30
"""How long a writer waits for another one before giving up [s]."""

# Any fixed number does: it names laylog's own lock among all the locks of a PostgreSQL database.
_WRITE_LOCK = 0x6C61796C6F67

_POSTGRESQL = ("postgresql", "postgres", "postgresql+psycopg")

_SQLITE_SAYS = {
    "NOTADB": "{where} is not a laylog store: it is some other kind of file, or damaged. "
    "Name another store. {offer}",
    "CORRUPT": "the store {where} is damaged. {offer}",
    "READONLY": "the store {where} cannot be written: the file or its folder is read-only.",
    "PERM": "the store {where} cannot be opened: you may not read or write that file.",
    "CANTOPEN": "the store {where} cannot be opened: "
    "check that the folder is there and that you may write in it.",
    "FULL": "the disk holding the store {where} is full. Nothing was changed; "
    "make room and try again.",
    "BUSY": "the store {where} is in use by another laylog. Nothing was changed; "
    "try again in a minute.",
    "IOERR": "the disk holding the store {where} gives errors. Nothing was changed; "
    "check the disk, then try again.",
}
_SQLITE_SAME_AS = {"LOCKED": "BUSY", "PROTOCOL": "BUSY", "AUTH": "PERM", "TOOBIG": "FULL"}

# The driver's own copying says only the sentence, not the name of what went wrong.
_SQLITE_NAMES = {
    "disk I/O error": "IOERR",
    "database or disk is full": "FULL",
    "file is not a database": "NOTADB",
    "database disk image is malformed": "CORRUPT",
    "unable to open database file": "CANTOPEN",
    "attempt to write a readonly database": "READONLY",
    "database is locked": "BUSY",
}

# PostgreSQL's five-letter states or their first two letters (its manual, appendix A).
_POSTGRESQL_SAYS = {
    "53100": _SQLITE_SAYS["FULL"],
    "55P03": _SQLITE_SAYS["BUSY"],
    "40P01": _SQLITE_SAYS["BUSY"],
    "42501": "the database {where} does not let this user make or change tables. "
    "Ask whoever looks after it for the right to.",
    "3F000": "the database {where} has no schema this user may make tables in. "
    "Ask whoever looks after it for one.",
    "25006": "the database {where} is read-only just now. Nothing was changed.",
    "3D000": "there is no database {where}. Make an empty one first, then try again.",
    "28": "the database server turned away the user name or password for {where}.",
    "08": "the connection to the database {where} was lost. Nothing was changed; try again.",
    "57": "the database server behind {where} is stopping or restarting. Nothing was changed; "
    "try again in a minute.",
}
_NO_ANSWER = (
    "the database server for {where} does not answer. "
    "Check that it is running and that the address is right."
)
# A refused PostgreSQL connection carries no state, only the server's English sentence.
_REFUSED = {
    "does not exist": _POSTGRESQL_SAYS["3D000"],
    "password": _POSTGRESQL_SAYS["28"],
    "authentication": _POSTGRESQL_SAYS["28"],
    "no pg_hba": _POSTGRESQL_SAYS["28"],
}


def default_store_url(environ: Mapping[str, str]) -> str:
    """Where the store is when nobody names one: LAYLOG_STORE, else the user's data folder."""
    named = environ.get("LAYLOG_STORE", "").strip()
    if named:
        return named
    from platformdirs import user_data_path

    return str(user_data_path("laylog", appauthor=False) / "shop.laylog")


def store_url(url_or_path: str | Path) -> URL:
    """The database address meant by a path or URL.

    Raises StoreError for a kind of database laylog does not keep stores in.
    """
    text = str(url_or_path).strip()
    if not text:
        raise StoreError("no store was named. Give a file name or a database address.")
    if "://" not in text:
        return URL.create("sqlite", database=str(Path(text).expanduser()))
    try:
        url = sa.make_url(text)
    except (sa.exc.ArgumentError, ValueError):
        # the text may hold a password, so it is not repeated
        raise StoreError(
            "that database address cannot be read. "
            "Write it as postgresql://user@server/database, or name a file."
        ) from None
    if url.drivername in _POSTGRESQL:
        return url.set(drivername="postgresql+psycopg")
    if url.drivername == "sqlite" and url.database:
        return url
    raise StoreError(
        f'a store cannot be kept in "{url.render_as_string()}". '
        "Name a file, sqlite:///file, or postgresql://server/database."
    )


def shown(url: URL) -> str:
    """The store's address as shown to people: a plain path, or a URL without its password."""
    if url.get_backend_name() == "sqlite":
        return str(file_of(url))
    return url.set(drivername="postgresql").render_as_string(hide_password=True)


def file_of(url: URL) -> Path:
    """The file of a SQLite address, also of one written as sqlite:///file:…?uri=true."""
    named = str(url.database)
    if not named.startswith("file:"):
        return Path(named)
    path = unquote(named.removeprefix("file:").partition("?")[0])
    return Path(f"/{path.lstrip('/')}" if path.startswith("//") else path)


def refuse_missing(url: URL) -> None:
    """Raise StoreError where a file is named that is not there: to ask is no reason to make it."""
    if url.get_backend_name() == "sqlite" and url.database not in (None, "", ":memory:"):
        path = file_of(url)
        if not path.exists():
            raise no_store(str(path))


def no_store(where: str) -> StoreError:
    """What to say where there is no store yet, and how to begin one."""
    return StoreError(
        f"there is no store at {where}. Check the name, or begin one by reading a log in: "
        "laylog import FILE"
    )


def make_engine(url: URL) -> Engine:
    """An engine whose transactions are real ones on SQLite too (tables included)."""
    if url.get_backend_name() != "sqlite":
        return sa.create_engine(url, isolation_level="REPEATABLE READ", pool_pre_ping=True)
    _make_folder(file_of(url))
    engine = sa.create_engine(url, connect_args={"timeout": BUSY_SECONDS})
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _make_folder(path: Path) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            f"the folder {path.parent} for the store cannot be made: {error.strerror}."
        ) from error
    if path.is_dir():
        raise StoreError(f"{path} is a folder, not a store. Name a file in it.")


def _prepare_sqlite(connection: sqlite3.Connection, _record: object) -> None:
    # Left to itself the driver begins transactions only before some writes, so reads would not be
    # of one moment; with None it keeps out of the way and _begin_sqlite opens every one.
    connection.isolation_level = None
    connection.execute("PRAGMA foreign_keys = ON")


def _begin_sqlite(connection: Connection) -> None:
    # A writer takes the lock before it reads, or two imports would both compare with the old rows.
    writes = connection.get_execution_options().get("laylog_write", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def let_readers_work_beside_a_writer(engine: Engine) -> None:
    """Put a SQLite file in write-ahead mode, where it stays.

    Two processes that try at the same moment lock each other out at once, whatever the timeout.
    The loser goes on without: the mode is a convenience, and the next opening tries again.
    """
    if engine.dialect.name != "sqlite":
        return
    raw = engine.raw_connection()
    with closing(raw), suppress(sqlite3.OperationalError):
        raw.cursor().execute("PRAGMA journal_mode = WAL")


@contextmanager
def reading(engine: Engine, where: str) -> Iterator[Connection]:
    """A connection that sees the store as it was at one moment."""
    with plain_words(where), engine.connect() as connection, connection.begin():
        yield connection


@contextmanager
def writing(engine: Engine, where: str) -> Iterator[Connection]:
    """A connection holding the one write lock: all that is done on it happens, or none of it."""
    with plain_words(where), engine.connect() as plain:
        connection = plain.execution_options(laylog_write=True)
        if engine.dialect.name == "postgresql":
            # the lock must be held before the first look at the data, which REPEATABLE READ freezes
            connection = connection.execution_options(isolation_level="READ COMMITTED")
        with connection.begin():
            if engine.dialect.name == "postgresql":
                connection.exec_driver_sql(f"SET LOCAL lock_timeout = '{BUSY_SECONDS}s'")
                connection.execute(sa.select(sa.func.pg_advisory_xact_lock(_WRITE_LOCK)))
            yield connection


@contextmanager
def plain_words(where: str) -> Iterator[None]:
    """Turn what a database driver raises into a StoreError with one sentence."""
    try:
        yield
    except sa.exc.DBAPIError as error:
        raise StoreError(_sentence(error.orig, where)) from error
    except sqlite3.Error as error:
        raise StoreError(_sqlite_sentence(error, where)) from error
    except sa.exc.SQLAlchemyError as error:
        raise StoreError(_other(error, where)) from error


def _sentence(error: Any, where: str) -> str:
    if isinstance(error, sqlite3.Error):
        return _sqlite_sentence(error, where)
    state = getattr(error, "sqlstate", None) or ""
    for start, says in _POSTGRESQL_SAYS.items():
        if state.startswith(start):
            return says.format(where=where)
    if not state:
        refused = (says for words, says in _REFUSED.items() if words in str(error))
        return next(refused, _NO_ANSWER).format(where=where)
    return _other(error, where)


def _sqlite_sentence(error: sqlite3.Error, where: str) -> str:
    name = _sqlite_name(error)
    says = _SQLITE_SAYS.get(_SQLITE_SAME_AS.get(name, name))
    return says.format(where=where, offer=offer(where)) if says else _other(error, where)


def is_damage(error: object) -> bool:
    """Whether SQLite says that a file is damaged, or no database."""
    return isinstance(error, sqlite3.Error) and _sqlite_name(error) in ("CORRUPT", "NOTADB")


def _sqlite_name(error: sqlite3.Error) -> str:
    """SQLite's first word for what went wrong: "FULL", "CORRUPT" …"""
    named: str | None = getattr(error, "sqlite_errorname", None)
    if named is None:
        return _SQLITE_NAMES.get(str(error), "")
    return named.removeprefix("SQLITE_").split("_")[0]


def _other(error: Any, where: str) -> str:
    first = (str(error).strip() or type(error).__name__).splitlines()[0]
    return f"the store {where} could not be used: {first}. Nothing was changed."
