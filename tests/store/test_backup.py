"""A backup is one checked file, made while others work, and put back all or nothing."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
import sqlalchemy as sa

from analytics.errors import StoreError
from analytics.records.store import Store, connecting, copying, restore
from analytics.records.store.bulk import add_rows
from analytics.records.store.migrations import MIGRATIONS
from tests.hard.given import a_log

NOW = datetime(2024, 3, 1, 9, 30)
LATER = NOW + timedelta(hours=1)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "stick.laylog-backup"


@pytest.fixture
def full(store: Store, read: Callable[..., Any]) -> Store:
    """A store with something in every table."""
    store.save(a_log("march.csv", range(40), air_c=18.0, readings=60), now=NOW)
    store.save(read(part=[{"part_id": "P1", "air_c": 19.5, "notes": "Öl, 5 °C"}]), now=NOW)
    store.save(read(lot=[{"lot": "007"}], mould=[{"mould_id": "M1"}], file="lots.csv"), now=NOW)
    store.place_column("Shed temp", "part.air_c", "F")
    store.set_setting("catalyst_g_ml", 1.1)
    store.confirm("P1", "pinholes", "too-cold", now=NOW)
    store.add_observation("P1", "cup-test", "slow", now=NOW)
    store.add_entry("action", "heater", {"what": "new"}, now=NOW)
    return store


def told(store: Store) -> dict[str, Any]:
    """Everything a store says."""
    log = store.read_log()
    return {
        "tables": {n: getattr(log, n) for n in ("parts", "batches", "lots", "moulds", "logger")},
        "defects": log.defects,
        "rest": (
            store.imports(), store.history("part"), store.placements(), store.confirmations(),
            store.observations(), store.entries("action"), store.setting("catalyst_g_ml"),
        ),
    }  # fmt: skip


def assert_same(one: dict[str, Any], other: dict[str, Any]) -> None:
    assert one["rest"] == other["rest"]
    pd.testing.assert_frame_equal(one["defects"], other["defects"])
    for name, table in one["tables"].items():
        pd.testing.assert_frame_equal(table, other["tables"][name])


def test_backup_is_one_file_that_holds_everything(full: Store, file: Path) -> None:
    rows = full.backup(file, now=LATER)
    assert [path.name for path in file.parent.glob("*stick*")] == [file.name]
    assert rows["part"] == 40
    assert rows["logger"] == 60
    with Store.open(file, now=LATER) as copy:
        assert_same(told(copy), told(full))
        assert copy.check() == ()


def test_backup_is_put_back_into_either_kind_of_database(
    full: Store, file: Path, store_url: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    full.backup(file, now=LATER)
    places = [str(tmp_path / "other.laylog")]
    if store_url.startswith("postgresql"):
        places.append(request.getfixturevalue("new_postgresql")())
    for place in places:
        report = restore(file, place, now=LATER)
        assert report.aside is None
        with Store.open(place, now=LATER) as back:
            assert_same(told(back), told(full))
            assert back.check() == ()
            assert back.setting("last-backup")["path"] == str(file)
            back.save(a_log("april.csv", range(50, 60), air_c=20.0), now=LATER)
            assert len(back.read_log().parts) == 50


def test_backup_sees_one_moment_while_others_write(
    store: Store, store_url: str, file: Path
) -> None:
    """Parts and mixes are written together, so a copy of one moment has as many of each."""
    stop = threading.Event()
    wrong: list[BaseException] = []

    def write() -> None:
        try:
            with Store.open(store_url, now=NOW) as other:
                number = 0
                while not stop.is_set() and number < 400:
                    other.save(a_log("a.csv", range(number, number + 2), air_c=18.0), now=NOW)
                    number += 2
        except BaseException as error:
            wrong.append(error)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        counts = [store.backup(file, now=LATER) for _ in range(4)]
    finally:
        stop.set()
        writer.join()
    assert wrong == []
    assert all(rows["part"] == rows["batch"] for rows in counts)


def test_last_backup_is_remembered_and_offered_when_the_store_is_damaged(
    tmp_path: Path, file: Path
) -> None:
    path = tmp_path / "shop.laylog"
    with Store.open(path, now=NOW) as store:
        store.save(a_log("march.csv", range(200), air_c=18.0), now=NOW)
        store.backup(file, now=LATER)
        assert store.setting("last-backup") == {"path": str(file), "at": "2024-03-01 10:30"}
    _damage(path)
    with pytest.raises(StoreError) as caught, Store.open(path, now=LATER) as store:
        store.check()
    assert f"is damaged. The last backup is {file}, of 2024-03-01 10:30" in str(caught.value)
    assert f"laylog restore {file} --store {path} --replace" in str(caught.value)


def test_a_backup_lying_beside_a_damaged_store_is_found_without_a_note(tmp_path: Path) -> None:
    path, file = tmp_path / "shop.laylog", tmp_path / "friday.laylog-backup"
    with Store.open(path, now=NOW) as store:
        store.save(a_log("march.csv", range(200), air_c=18.0), now=NOW)
        store.backup(file, now=LATER)
    Path(f"{path}.last-backup").unlink()
    _damage(path)
    with (
        pytest.raises(StoreError, match=r"friday\.laylog-backup"),
        Store.open(path, now=NOW) as lost,
    ):
        lost.check()


def _damage(path: Path) -> None:
    whole = path.read_bytes()
    path.write_bytes(whole[:8192] + b"\xff" * 40_000 + whole[48_192:])


def test_damaged_store_is_set_aside_and_replaced(tmp_path: Path, file: Path) -> None:
    path = tmp_path / "shop.laylog"
    with Store.open(path, now=NOW) as store:
        store.save(a_log("march.csv", range(200), air_c=18.0), now=NOW)
        store.backup(file, now=NOW)
    _damage(path)
    with pytest.raises(StoreError, match="is damaged, or no store"):
        restore(file, path, now=LATER)
    damaged = path.read_bytes()
    report = restore(file, path, now=LATER, replace=True)
    assert report.aside is not None
    assert report.aside.read_bytes() == damaged
    with Store.open(path, now=LATER) as back:
        assert len(back.read_log().parts) == 200


def test_store_with_records_is_replaced_only_when_asked_and_kept_aside(
    full: Store, store_url: str, file: Path, tmp_path: Path
) -> None:
    full.backup(file, now=NOW)
    full.save(a_log("april.csv", range(40, 90), air_c=20.0), now=NOW)
    with pytest.raises(StoreError, match=r"holds 90 parts.*backup holds 40 parts.*--replace"):
        restore(file, store_url, now=LATER)
    assert len(full.read_log().parts) == 90
    report = restore(file, store_url, now=LATER, replace=True)
    assert len(full.read_log().parts) == 40
    assert report.aside is not None
    with Store.open(report.aside, now=LATER) as before:
        assert len(before.read_log().parts) == 90


def test_what_was_worked_out_before_is_not_taken_for_the_restored_store(
    full: Store, store_url: str, file: Path
) -> None:
    full.backup(file, now=NOW)
    before = full.fingerprint()
    full.cache_put("model", b"old", before)
    restore(file, store_url, now=LATER, replace=True)
    assert full.fingerprint() != before
    assert full.cache_get("model", before) is None


def test_failure_while_restoring_leaves_the_store_as_it_was(
    full: Store, store_url: str, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    full.backup(file, now=NOW)
    full.save(a_log("april.csv", range(40, 90), air_c=20.0), now=NOW)

    def fail(connection: sa.Connection, table: sa.Table, *rest: Any) -> None:
        add_rows(connection, table, *rest)
        if table.name == "defect":
            raise OSError("the stick was pulled out")

    # the first use of it is the copy set aside from PostgreSQL, so only the store's own counts
    put_back = copying.put_back

    def cut_short(source: sa.Connection, target: sa.Connection) -> dict[str, int]:
        monkeypatch.setattr(copying, "add_rows", fail)
        return put_back(source, target)

    monkeypatch.setattr(copying, "put_back", cut_short)
    with pytest.raises(OSError, match="pulled out"):
        restore(file, store_url, now=LATER, replace=True)
    assert len(full.read_log().parts) == 90
    assert full.check() == ()


@pytest.mark.parametrize("harm", ["damaged", "cut short", "later", "another program's", "text"])
def test_unsound_backup_is_refused_and_nothing_is_changed(
    full: Store, store_url: str, file: Path, harm: str
) -> None:
    full.backup(file, now=NOW)
    _spoil(file, harm)
    spoilt = file.read_bytes()
    with pytest.raises(StoreError) as caught:
        restore(file, store_url, now=LATER, replace=True)
    assert str(file) in str(caught.value)
    assert len(full.read_log().parts) == 40
    assert file.read_bytes() == spoilt


def _spoil(file: Path, harm: str) -> None:
    if harm == "damaged":
        _damage(file)
    elif harm == "cut short":
        file.write_bytes(file.read_bytes()[:20_000])
    elif harm == "text":
        file.write_text("part;date\n" * 500)
    else:
        if harm == "another program's":
            file.unlink()
        with closing(sqlite3.connect(file)) as spoilt:
            if harm == "later":
                step = "INSERT INTO laylog_migration VALUES (99, 'to come', '2030-01-01 00:00:00')"
                spoilt.execute(step)
            else:
                spoilt.execute("CREATE TABLE invoice (number)")
            spoilt.commit()


def test_backup_of_an_earlier_version_is_brought_up_to_date(tmp_path: Path) -> None:
    script = Path(__file__).parents[1] / "data" / "stores" / "version-1.sqlite.sql"
    file = tmp_path / "old.laylog-backup"
    with closing(sqlite3.connect(file)) as made:
        made.executescript(script.read_text(encoding="utf-8"))
    before = file.read_bytes()
    restore(file, tmp_path / "shop.laylog", now=LATER)
    assert file.read_bytes() == before
    with Store.open(tmp_path / "shop.laylog", now=LATER) as store:
        assert store.read_log().parts["part_id"].tolist() == ["A-0412", "0042"]
    assert len(MIGRATIONS) > 1


def test_backup_is_never_written_over_another_kind_of_file(store: Store, tmp_path: Path) -> None:
    log = tmp_path / "march.csv"
    log.write_text("part;date\n")
    with pytest.raises(StoreError, match="not a laylog backup, so it is left alone"):
        store.backup(log, now=NOW)
    assert log.read_text() == "part;date\n"
    with pytest.raises(StoreError, match="is a folder"):
        store.backup(tmp_path, now=NOW)
    with pytest.raises(StoreError, match="there is no folder"):
        store.backup(tmp_path / "gone" / "a.laylog-backup", now=NOW)


def test_store_is_not_backed_up_onto_itself(tmp_path: Path) -> None:
    path = tmp_path / "shop.laylog"
    with (
        Store.open(path, now=NOW) as store,
        pytest.raises(StoreError, match="is the store itself"),
    ):
        store.backup(path, now=NOW)


def test_unsound_store_gives_no_backup_and_keeps_the_last_one(full: Store, file: Path) -> None:
    full.backup(file, now=NOW)
    whole = file.read_bytes()
    with full._writing() as connection:
        connection.execute(sa.text("UPDATE imports SET report = 'x' WHERE id = 1"))
    with pytest.raises(StoreError, match=r"no backup was made.*report of import 1"):
        full.backup(file, now=LATER)
    assert file.read_bytes() == whole
    assert [path.name for path in file.parent.glob(".*part")] == []


def test_file_address_names_the_file_and_makes_no_other_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    address = f"sqlite:///file:{tmp_path}/shop%2050.laylog?uri=true"
    with Store.open(address, now=NOW) as store:
        store.set_setting("name", "x")
        assert store.where == f"{tmp_path}/shop 50.laylog"
    assert [path.name for path in tmp_path.iterdir()] == ["shop 50.laylog"]
    assert connecting.file_of(connecting.store_url("sqlite:///a.db")) == Path("a.db")
