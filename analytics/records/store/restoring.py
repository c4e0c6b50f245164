"""A store put back from a backup: checked first, what was there set aside, all or nothing."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy.engine import URL

from analytics.errors import StoreError
from analytics.records.fields import RECORDS
from analytics.records.store import copying, memory, notes
from analytics.records.store import tables as t
from analytics.records.store.connecting import file_of, is_damage, shown, store_url
from analytics.records.store.store import Store


@dataclass(frozen=True)
class RestoreReport:
    """What restoring did: rows by table, and the file that holds what was there before."""

    where: str
    rows: Mapping[str, int]
    aside: Path | None


def restore(
    backup: str | Path, url_or_path: str | Path, *, now: datetime, replace: bool = False
) -> RestoreReport:
    """Put a backup into the store at a path or URL, which is made if it is not there.

    Raises StoreError for a damaged or later backup and, unless `replace`, for a store that has
    anything in it. With `replace` that is set aside in a file first.
    """
    url = store_url(url_or_path)
    path = Path(backup).expanduser().absolute()
    with copying.checked_backup(path, now=now) as source:
        told = copying.count_rows(source)
        aside = _aside(url, path, now)
        damaged = _is_damaged(url)
        if damaged:
            _refuse_unless(replace, f"{shown(url)} is damaged, or no store", told, aside)
            _move_aside(file_of(url), aside)
        with Store.open(url_or_path, now=now) as store, store._writing() as target:
            there = copying.count_rows(target)
            if any(there.values()):
                _refuse_unless(replace, _holding(shown(url), there), told, aside)
                # another connection: what this one has locked, only others can copy
                with store._reading() as before:
                    copying.back_up(before, aside, now=now)
            rows = copying.put_back(source, target)
            made = datetime.fromtimestamp(path.stat().st_mtime)
            told_of = {"name": notes.SETTING, "value": json.dumps(notes.note(path, made))}
            memory.put(target, t.setting, told_of)
    return RestoreReport(shown(url), rows, aside if damaged or any(there.values()) else None)


def in_words(rows: Mapping[str, int]) -> str:
    """ "120 parts, 240 mixes, 3 lots, 5 moulds, 9,000 readings", those with none left out."""
    names = ("part", "mix", "lot", "mould", "reading")
    plural = ("parts", "mixes", "lots", "moulds", "readings")
    counts = [rows[record] for record in RECORDS]
    told = [
        f"{count:,} {one if count == 1 else many}"
        for count, one, many in zip(counts, names, plural, strict=True)
        if count
    ]
    return ", ".join(told) or "no records"


def _holding(where: str, rows: Mapping[str, int]) -> str:
    return f"the store {where} holds {in_words(rows)}"


def _refuse_unless(replace: bool, what: str, told: Mapping[str, int], aside: Path) -> None:
    if not replace:
        raise StoreError(
            f"{what}; the backup holds {in_words(told)}. Nothing was changed. To put the backup "
            f"in its place, say --replace: what is there now is kept as {aside}."
        )


def _aside(url: URL, backup: Path, now: datetime) -> Path:
    """A free name for what was there: beside a SQLite store, else beside the backup."""
    on_file = url.get_backend_name() == "sqlite"
    own = file_of(url).absolute() if on_file else backup.with_name(str(url.database))
    aside = own.with_name(f"{own.name}.before-restore-{now:%Y-%m-%d-%H%M%S}")
    if aside.exists():
        raise StoreError(f"{aside} is there already. Try again in a second.")
    return aside


def _is_damaged(url: URL) -> bool:
    path = file_of(url)
    if url.get_backend_name() != "sqlite" or not path.is_file():
        return False
    try:
        uri = f"{path.absolute().as_uri()}?mode=ro"
        with closing(sqlite3.connect(uri, uri=True)) as file:
            return bool(file.execute("PRAGMA integrity_check").fetchone() != ("ok",))
    except sqlite3.DatabaseError as error:
        return is_damage(error)


def _move_aside(path: Path, aside: Path) -> None:
    """Move a damaged store away, its write-ahead log first: a new store must never find that."""
    for ending in ("-wal", "-shm", ""):
        own = Path(f"{path}{ending}")
        if own.exists():
            own.rename(f"{aside}{ending}")
