"""Numbered steps: each applied once, all or nothing, ending at the field dictionary."""

from __future__ import annotations

from datetime import datetime

import pandas as pd
import pytest
import sqlalchemy as sa

from analytics.errors import StoreError
from analytics.records.fields import RECORDS, dictionary
from analytics.records.store import Store, connecting, migrations
from analytics.records.store.migrations import MIGRATIONS, Migration
from analytics.records.store.tables import all_tables

NOW = datetime(2024, 3, 1, 9, 30)
LATER = datetime(2025, 3, 1, 9, 30)


def inspect(url: str) -> sa.Inspector:
    return sa.inspect(sa.create_engine(connecting.store_url(url), poolclass=sa.NullPool))


def applied(url: str) -> list[tuple[int, str, datetime]]:
    engine = sa.create_engine(connecting.store_url(url), poolclass=sa.NullPool)
    table = all_tables().tables["laylog_migration"]
    with engine.connect() as connection:
        return [tuple(row) for row in connection.execute(sa.select(table))]


def add_a_column(connection: sa.Connection) -> None:
    connection.execute(sa.text("ALTER TABLE part ADD COLUMN primer TEXT"))


def add_a_column_then_fail(connection: sa.Connection) -> None:
    add_a_column(connection)
    connection.execute(sa.text("UPDATE part SET no_such_column = 1"))


def with_another_step(monkeypatch: pytest.MonkeyPatch, apply) -> None:
    steps = (*MIGRATIONS, Migration(len(MIGRATIONS) + 1, "primer", apply))
    monkeypatch.setattr(migrations, "MIGRATIONS", steps)


def all_at(day: datetime) -> list[tuple[int, str, datetime]]:
    return [(step.number, step.title, day) for step in MIGRATIONS]


def test_steps_are_numbered_from_one_without_gaps():
    assert [step.number for step in MIGRATIONS] == list(range(1, len(MIGRATIONS) + 1))


def test_after_all_steps_every_record_has_the_columns_of_the_dictionary(store, store_url):
    kinds = {"number": "number", "yes_no": "yes_no", "date": "date", "datetime": "datetime"}
    wanted = {
        record: {field.id: kinds.get(field.kind, "text") for field in dictionary().of(record)}
        for record in RECORDS
    }
    own = {"id", "looked", "file", "sheet", "row", "raw", "import_id", "changed_id"}
    names = (
        (sa.Boolean, "yes_no"),
        (sa.DateTime, "datetime"),
        (sa.Date, "date"),
        (sa.Float, "number"),
        (sa.Text, "text"),
    )
    found = {
        record: {
            column["name"]: next(name for kind, name in names if isinstance(column["type"], kind))
            for column in inspect(store_url).get_columns(record)
            if column["name"] not in own
        }
        for record in RECORDS
    }
    assert found == wanted


def described(inspector: sa.Inspector, table: str) -> dict[str, object]:
    return {
        "columns": {
            c["name"]: (str(c["type"]), c["nullable"]) for c in inspector.get_columns(table)
        },
        "primary key": inspector.get_pk_constraint(table)["constrained_columns"],
        "unique": sorted(
            (u["name"], u["column_names"]) for u in inspector.get_unique_constraints(table)
        ),
        "indexes": sorted(
            (i["name"], i["column_names"])
            for i in inspector.get_indexes(table)
            if not i.get("duplicates_constraint")
        ),
        "points to": sorted(
            (f["constrained_columns"], f["referred_table"], f["options"])
            for f in inspector.get_foreign_keys(table)
        ),
    }


def test_after_all_steps_the_schema_is_the_one_the_code_uses(store, store_url, request, tmp_path):
    """The frozen steps against tables made straight from the code's own definitions."""
    on_server = store_url.startswith("postgresql")
    straight = request.getfixturevalue("new_postgresql")() if on_server else tmp_path / "straight"
    engine = sa.create_engine(connecting.store_url(straight), poolclass=sa.NullPool)
    all_tables().create_all(engine)
    migrated, expected = inspect(store_url), sa.inspect(engine)
    assert set(migrated.get_table_names()) == set(all_tables().tables)
    for table in all_tables().tables:
        assert described(migrated, table) == described(expected, table)


def test_each_step_is_recorded_once_with_its_time(store_url):
    Store.open(store_url, now=NOW).close()
    Store.open(store_url, now=LATER).close()
    assert applied(store_url) == all_at(NOW)


def test_store_of_an_earlier_version_is_brought_up_to_date(store_url, read, monkeypatch):
    with Store.open(store_url, now=NOW) as store:
        store.save(read(part=[{"part_id": "0042", "air_c": 18.0}]), now=NOW)
        before = store.read_log().parts
    before_steps = all_at(NOW)
    with_another_step(monkeypatch, add_a_column)
    with Store.open(store_url, now=LATER) as store:
        pd.testing.assert_frame_equal(store.read_log().parts, before)
    Store.open(store_url, now=LATER).close()
    assert applied(store_url) == [*before_steps, (len(before_steps) + 1, "primer", LATER)]


def test_failed_step_leaves_the_store_as_it_was(store_url, read, monkeypatch):
    with Store.open(store_url, now=NOW) as store:
        store.save(read(part=[{"part_id": "P1"}]), now=NOW)
    with monkeypatch.context() as patch:
        with_another_step(patch, add_a_column_then_fail)
        with pytest.raises(StoreError, match="no_such_column"):
            Store.open(store_url, now=LATER)
    columns = [column["name"] for column in inspect(store_url).get_columns("part")]
    assert "primer" not in columns
    assert applied(store_url) == all_at(NOW)
    with Store.open(store_url, now=LATER) as store:
        assert store.read_log().parts["part_id"].tolist() == ["P1"]
