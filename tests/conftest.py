"""Fixtures every test may use: a place for a store on each kind of database."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from itertools import count
from pathlib import Path

import pytest
import sqlalchemy as sa


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def store_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where to make a new, empty store: a SQLite file, then a PostgreSQL schema."""
    if request.param == "sqlite":
        return str(tmp_path / "shop.laylog")
    return str(request.getfixturevalue("new_postgresql")())


@pytest.fixture(scope="session")
def new_postgresql() -> Iterator[object]:
    """A function that makes an empty schema on a private PostgreSQL server and gives its URL.

    The server starts when first asked for, listens only on a socket in its own folder, and goes
    with the session. Without PostgreSQL the tests skip; with LAYLOG_REQUIRE_ALL=1 they fail.
    """
    programs = _postgresql_programs()
    folder = Path(tempfile.mkdtemp(prefix="laylog-pg-", dir=_fast_disk()))
    try:
        _start(programs, folder)
        server = sa.URL.create(
            "postgresql+psycopg", "postgres", query={"host": str(folder)}, database="postgres"
        )
        engine = sa.create_engine(server, isolation_level="AUTOCOMMIT")
        number = count(1)

        def make() -> str:
            name = f"shop_{next(number)}"
            with engine.connect() as connection:
                connection.execute(sa.text(f"CREATE SCHEMA {name}"))
            path = {"options": f"-csearch_path={name}"}
            return server.update_query_dict(path).render_as_string()

        yield make
        engine.dispose()
    finally:
        _run(programs / "pg_ctl", "-D", folder / "data", "-m", "immediate", "stop", check=False)
        shutil.rmtree(folder, ignore_errors=True)


def _postgresql_programs() -> Path:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if found:
        return found[-1].parent
    reason = "PostgreSQL is not installed: no initdb under /usr/lib/postgresql/*/bin"
    if os.environ.get("LAYLOG_REQUIRE_ALL") == "1":
        pytest.fail(reason)
    pytest.skip(reason)


def _fast_disk() -> str | None:
    """Memory where the system offers enough of it: thousands of small files come and go here."""
    memory = Path("/dev/shm")
    return str(memory) if memory.is_dir() and shutil.disk_usage(memory).free > 2**30 else None


def _start(programs: Path, folder: Path) -> None:
    if os.getuid() == 0:
        shutil.chown(folder, "postgres")
    data = folder / "data"
    _run(programs / "initdb", "-D", data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "-N")
    # nothing here outlives the session, so nothing needs to reach the disk
    options = f"-k {folder} -h '' -F -c full_page_writes=off -c shared_buffers=16MB"
    _run(programs / "pg_ctl", "-D", data, "-l", folder / "log", "-w", "-o", options, "start")


def _run(program: Path, *arguments: str | Path, check: bool = True) -> None:
    # PostgreSQL refuses to run as root
    as_user = ["runuser", "-u", "postgres", "--"] if os.getuid() == 0 else []
    subprocess.run(
        [*as_user, program, *arguments],
        check=check,
        cwd="/",
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        timeout=120,
    )
