"""What a shop does to its store, each with what must hold after it was cut short or done."""

from __future__ import annotations

import sqlite3
from abc import ABC, abstractmethod
from contextlib import closing
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import ClassVar

import sqlalchemy as sa

from analytics.records.store import Correct, Store, restore
from analytics.records.store.connecting import make_engine, store_url, writing
from analytics.records.store.migrations import MIGRATIONS, m0001_first_tables
from analytics.records.store.tables import migration
from tests.hard.given import NOW, a_log, together

_FEBRUARY = a_log("february.csv", range(120), air_c=16.0, readings=500)
_MARCH = a_log("march.csv", range(80, 240), air_c=18.0, readings=1000)
_APRIL = a_log("april.csv", range(240, 360), air_c=20.0)
_MANY = 12


@dataclass(frozen=True)
class Act(ABC):
    """One thing done to a store at `url`; `folder` is a place for files beside it."""

    url: str
    folder: Path
    name: ClassVar[str]

    def prepare(self) -> None:
        """The store as it is before."""
        with Store.open(self.url, now=NOW) as store:
            store.save(_FEBRUARY, now=NOW)

    @abstractmethod
    def do(self) -> None:
        """What may be cut short."""

    @abstractmethod
    def look(self, store: Store) -> bool:
        """Whether it was done; AssertionError where it was half done."""

    def whole(self) -> bool:
        """Whether it was done, in a store that is sound."""
        with Store.open(self.url, now=NOW) as store:
            assert store.check() == ()
            return self.look(store)


class Importing(Act):
    """Two files in one import, correcting and adding to what is there."""

    name = "import"

    def do(self) -> None:
        with Store.open(self.url, now=NOW) as store:
            store.save(together(_MARCH, _APRIL), now=NOW, sha256={"march.csv": "m"})

    def look(self, store: Store) -> bool:
        imports = [entry for entry in store.imports() if entry.counts.new or entry.counts.changed]
        log = store.read_log()
        parts = log.parts.set_index("part_id")
        done = len(imports) > 1
        assert [entry.file for entry in imports] == ["february.csv", "march.csv", "april.csv"][
            : 3 if done else 1
        ]
        assert parts.index.is_unique
        assert len(parts) == len(log.batches) == len(log.defects) == (360 if done else 120)
        assert len(log.logger) == (1000 if done else 500)
        assert set(parts["air_c"]) == ({16.0, 18.0, 20.0} if done else {16.0})
        corrected = [change for change in store.history("part") if change.field == "air_c"]
        assert len(corrected) == (40 if done else 0)
        return done


class Correcting(Act):
    """One value after another put right by hand."""

    name = "correction"

    def do(self) -> None:
        with Store.open(self.url, now=NOW) as store:
            for number in range(_MANY):
                key = f"P{number}"
                found = store.current("part", key)
                assert found is not None
                asked = Correct(
                    "part", key, "air_c", "21", found.texts["air_c"], {"air_c": "21.0"}, "by hand"
                )
                store.correct(asked, now=NOW)

    def look(self, store: Store) -> bool:
        parts = store.read_log().parts.set_index("part_id")
        right = set(parts.index[parts["air_c"] == 21.0])
        told = [change.key for change in store.history("part") if change.field == "air_c"]
        assert len(told) == len(set(told))
        assert set(told) == right
        assert len(store.imports()) == 1 + len(right)
        return len(right) == _MANY


class Confirming(Act):
    """Causes confirmed and bench results kept, in place of earlier ones."""

    name = "confirmation"

    def prepare(self) -> None:
        super().prepare()
        with Store.open(self.url, now=NOW) as store:
            for number in range(_MANY):
                store.confirm(f"P{number}", "pinholes", "damp-air", now=NOW)

    def do(self) -> None:
        with Store.open(self.url, now=NOW) as store:
            for number in range(_MANY):
                store.confirm(f"P{number}", "pinholes", "too-cold", now=NOW)

    def look(self, store: Store) -> bool:
        found = {c.part_id: c.cause for c in store.confirmations()}
        assert len(found) == len(store.confirmations()) == _MANY
        assert set(found.values()) <= {"damp-air", "too-cold"}
        return set(found.values()) == {"too-cold"}


class Migrating(Act):
    """A store of the first version opened by this one."""

    name = "migration"

    def prepare(self) -> None:
        engine = make_engine(store_url(self.url))
        with writing(engine, self.url) as connection:
            m0001_first_tables.apply(connection)
            step = {"number": 1, "title": "first tables", "applied_at": NOW}
            connection.execute(sa.insert(migration), step)
            connection.exec_driver_sql(
                "INSERT INTO imports (id, file, at, new, unchanged, changed, builds_on, problems,"
                " report) VALUES (1, 'a.csv', '2025-01-01 00:00:00', 200, 0, 0, '[]', '[]', '{}')"
            )
            for number in range(200):
                connection.exec_driver_sql(
                    "INSERT INTO part (part_id, air_c, import_id, changed_id)"
                    f" VALUES ('P{number}', 18.5, 1, 1)"
                )
        engine.dispose()

    def do(self) -> None:
        Store.open(self.url, now=NOW).close()

    def whole(self) -> bool:
        engine = make_engine(store_url(self.url))
        with engine.connect() as connection:
            steps = set(connection.scalars(sa.select(migration.c.number)))
            tables = set(sa.inspect(connection).get_table_names())
            assert connection.exec_driver_sql("SELECT count(*) FROM part").scalar() == 200
        engine.dispose()
        done = "entry" in tables
        assert steps == ({step.number for step in MIGRATIONS} if done else {1})
        return super().whole() if done else False

    def look(self, store: Store) -> bool:
        log = store.read_log()
        assert log.parts["part_id"].tolist() == [f"P{n}" for n in range(200)]
        assert set(log.parts["air_c"]) == {18.5}
        return True


class BackingUp(Act):
    """A backup written over yesterday's."""

    name = "backup"

    def prepare(self) -> None:
        super().prepare()
        with Store.open(self.url, now=NOW) as store:
            store.backup(self._file, now=NOW)
            store.save(_MARCH, now=NOW)

    @property
    def _file(self) -> Path:
        return self.folder / "shop.laylog-backup"

    def do(self) -> None:
        with Store.open(self.url, now=NOW) as store:
            store.backup(self._file, now=NOW)

    def look(self, store: Store) -> bool:
        assert len(store.read_log().parts) == 240
        with closing(sqlite3.connect(self._file)) as file:
            assert file.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            ((parts,),) = file.execute("SELECT count(*) FROM part").fetchall()
        assert parts in (120, 240)
        return bool(parts == 240)


class Restoring(Act):
    """A backup put in place of what has gone on since."""

    name = "restoring"

    def prepare(self) -> None:
        super().prepare()
        with Store.open(self.url, now=NOW) as store:
            store.backup(self.folder / "shop.laylog-backup", now=NOW)
            store.save(_MARCH, now=NOW)

    def do(self) -> None:
        file = self.folder / "shop.laylog-backup"
        # each try a second later, as it would be: what was set aside is never written over
        beside = self.folder if "://" in self.url else Path(self.url).parent
        tries = len(list(beside.glob("*.before-restore-*")))
        restore(file, self.url, now=NOW + timedelta(seconds=tries), replace=True)

    def look(self, store: Store) -> bool:
        parts = len(store.read_log().parts)
        assert parts in (120, 240)
        return parts == 120


ACTS: tuple[type[Act], ...] = (
    Importing, Correcting, Confirming, Migrating, BackingUp, Restoring,
)  # fmt: skip
