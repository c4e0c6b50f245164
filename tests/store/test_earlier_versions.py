"""A store of every earlier version opens, is brought up to date, and has kept everything."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
import sqlalchemy as sa

from analytics.records.fields import Placement
from analytics.records.store import Store, connecting
from analytics.records.store.migrations import MIGRATIONS
from analytics.records.store.tables import migration

STORES = Path(__file__).parents[1] / "data" / "stores"
EARLIER = [step.number for step in MIGRATIONS[:-1]]
NOW = datetime(2025, 6, 1, 9, 30)


@pytest.fixture(params=EARLIER)
def frozen_url(request: pytest.FixtureRequest, store_url: str) -> str:
    """A store as that version of laylog left it."""
    on_server = store_url.startswith("postgresql")
    name = f"version-{request.param}.{'postgresql' if on_server else 'sqlite'}.sql"
    _make(store_url, (STORES / name).read_text(encoding="utf-8"))
    return store_url


def _make(url: str, script: str) -> None:
    if "://" not in url:
        connection = sqlite3.connect(url)
        connection.executescript(script)
        connection.close()
        return
    engine = sa.create_engine(connecting.store_url(url), poolclass=sa.NullPool)
    with engine.begin() as made:
        # straight to the driver: the percent signs and colons of a script are its own
        made.connection.cursor().execute(script)


def test_every_earlier_version_is_kept_frozen() -> None:
    kept = {path.name for path in STORES.glob("version-*.sql")}
    assert kept == {f"version-{n}.{kind}.sql" for n in EARLIER for kind in ("sqlite", "postgresql")}


def test_store_of_an_earlier_version_is_brought_up_to_this_one(frozen_url: str) -> None:
    Store.open(frozen_url, now=NOW).close()
    engine = sa.create_engine(connecting.store_url(frozen_url), poolclass=sa.NullPool)
    with engine.connect() as connection:
        steps = connection.scalars(sa.select(migration.c.number).order_by(migration.c.number)).all()
    assert steps == [step.number for step in MIGRATIONS]


def test_everything_in_an_earlier_store_is_kept(frozen_url: str) -> None:
    with Store.open(frozen_url, now=NOW) as store:
        log = store.read_log()
        assert log.parts["part_id"].tolist() == ["A-0412", "0042"]
        assert log.parts["air_c"].iloc[0] == 18.5
        assert log.parts["looked"].tolist() == [True, False]
        assert log.batches["catalyst_pct"].tolist() == [1.75]
        assert log.batches["lot"].tolist() == ["007"]
        assert log.logger["humidity_pct"].tolist() == [61.0]
        assert log.defects["place"].tolist() == ["corner"]
        assert [entry.file for entry in store.imports()] == ["march.csv", "march-mended.csv"]
        assert [(c.old, c.new) for c in store.history("part")] == [("8.5", "18.5")]
        assert store.placements() == {"Shed temp": Placement("part.air_c", "F")}
        assert store.settings() == {"catalyst_g_ml": 1.1}
        assert [c.cause for c in store.confirmations()] == ["too-cold"]
        assert [o.result for o in store.observations()] == ["slow"]
        assert store.check() == ()


def test_an_earlier_store_can_be_worked_on(
    frozen_url: str, read: Callable[..., object], now: datetime
) -> None:
    with Store.open(frozen_url, now=NOW) as store:
        store.undo_import(2, now=now)
        store.save(read(part=[{"part_id": "A-0413", "air_c": 20.0}]), now=now)
        assert store.read_log().parts["air_c"].tolist()[::2] == [8.5, 20.0]
        assert store.add_entry("action", "heater", {"what": "new heater"}, now=now)
        assert store.check() == ()
