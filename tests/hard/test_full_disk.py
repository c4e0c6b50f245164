"""A full or read-only disk is told in a sentence, and nothing is lost by it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from analytics.records.store import Store
from tests.hard.given import NOW, a_log

ROOT = Path(__file__).parents[2]

# No file may grow beyond the size given: what a full disk does, without filling one.
WRITER = """
import resource, signal, sys
from tests.hard.given import NOW, a_log
from analytics.errors import StoreError
from analytics.records.store import Store, restore
url, what, size, *more = sys.argv[1:]
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(size), int(size)))
try:
    if what == "restore":
        restore(more[0], url, now=NOW, replace=True)
    with Store.open(url, now=NOW) as store:
        if what == "backup":
            store.backup(more[0], now=NOW)
        if what == "import":
            store.save(a_log("april.csv", range(50, 3000), air_c=18.0, readings=9000), now=NOW)
except StoreError as error:
    print(error)
"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    path = tmp_path / "shop.laylog"
    with Store.open(path, now=NOW) as store:
        store.save(a_log("march.csv", range(50), air_c=18.0), now=NOW)
    return path


def _on_full_disk(shop: Path, what: str, *more: Path, room: int) -> str:
    done = subprocess.run(
        [sys.executable, "-c", WRITER, shop, what, str(room), *more],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.stderr == ""
    return done.stdout


def _unharmed(shop: Path) -> None:
    with Store.open(shop, now=NOW) as store:
        assert store.check() == ()
        assert len(store.read_log().parts) == 50
        assert len(store.imports()) == 1


def test_import_on_a_full_disk_is_told_and_keeps_nothing(shop: Path) -> None:
    said = _on_full_disk(shop, "import", room=shop.stat().st_size + 300_000)
    assert said.count("\n") == 1
    assert "the disk holding" in said
    assert "Nothing was changed" in said
    _unharmed(shop)


def test_backup_on_a_full_disk_is_told_and_leaves_the_last_one(shop: Path, tmp_path: Path) -> None:
    file = tmp_path / "a.laylog-backup"
    with Store.open(shop, now=NOW) as store:
        store.backup(file, now=NOW)
    before = file.read_bytes()
    said = _on_full_disk(shop, "backup", file, room=50_000)
    assert said.count("\n") == 1
    assert "the disk holding" in said
    assert file.read_bytes() == before
    assert list(tmp_path.glob(".*part*")) == []
    _unharmed(shop)


def test_restoring_on_a_full_disk_is_told_and_changes_nothing(shop: Path, tmp_path: Path) -> None:
    file = tmp_path / "a.laylog-backup"
    with Store.open(tmp_path / "big.laylog", now=NOW) as big:
        big.save(a_log("big.csv", range(3000), air_c=18.0, readings=9000), now=NOW)
        big.backup(file, now=NOW)
    said = _on_full_disk(shop, "restore", file, room=shop.stat().st_size + 100_000)
    assert said.count("\n") == 1
    assert "the disk holding" in said
    _unharmed(shop)
