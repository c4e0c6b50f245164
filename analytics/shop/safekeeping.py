"""Keeping the log safe: backups while others work, putting one back, and whether all is sound."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from analytics.records.store import RestoreReport, default_store_url, in_words, restore
from analytics.records.store.notes import SETTING as LAST_BACKUP
from analytics.records.store.notes import offer
from analytics.shop.base import OpenShop


@dataclass(frozen=True)
class Backup:
    """A backup made and checked: where it is, what it holds, how large it is."""

    path: Path
    rows: Mapping[str, int]
    megabytes: float

    @property
    def holds(self) -> str:
        """What is in it, in words: "120 parts, 240 mixes"."""
        return in_words(self.rows)

    def to_json(self) -> dict[str, Any]:
        """The fixed keys of `laylog backup --json`."""
        return {"file": str(self.path), "rows": dict(self.rows), "megabytes": self.megabytes}


@dataclass(frozen=True)
class Health:
    """Whether a store is sound: one sentence for each fault, the last backup, what to do."""

    where: str
    faults: tuple[str, ...]
    last_backup: Mapping[str, str] | None
    advice: str

    def to_json(self) -> dict[str, Any]:
        """The fixed keys of `laylog health --json`."""
        last = dict(self.last_backup) if self.last_backup else None
        return {
            "store": self.where,
            "faults": list(self.faults),
            "last_backup": last,
            "advice": self.advice,
        }


class Safekeeping(OpenShop):
    """Backups of the store, and its health."""

    def back_up(self, file: str | Path) -> Backup:
        """A checked backup in this file; others may go on working meanwhile."""
        path = Path(file).expanduser().absolute()
        rows = self.store.backup(path, now=self._now())
        return Backup(path, rows, round(path.stat().st_size / 1e6, 3))

    def health(self) -> Health:
        """Everything that is wrong with the store, and when it was last backed up."""
        faults = self.store.check()
        advice = offer(self.store.where) if faults else ""
        return Health(self.store.where, faults, self.store.setting(LAST_BACKUP), advice)


def store_for_a_look(store: str | None, environ: Mapping[str, str] | None = None) -> str:
    """The store to open where nothing is to be kept: one in memory where there is no file yet."""
    where = store or default_store_url(os.environ if environ is None else environ)
    missing = "://" not in where and not Path(where).expanduser().exists()
    return "sqlite:///:memory:" if missing else where


def restore_shop(
    backup: str | Path,
    store: str | None,
    *,
    now: datetime,
    replace: bool = False,
    environ: Mapping[str, str] | None = None,
) -> RestoreReport:
    """What putting a backup into a shop's store did; the store may be missing or damaged.

    Raises StoreError where the backup is not sound, or (unless `replace`) the store holds anything.
    """
    where = store or default_store_url(os.environ if environ is None else environ)
    return restore(backup, where, now=now, replace=replace)
