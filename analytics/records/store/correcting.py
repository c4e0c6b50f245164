"""What people write by hand: one record kept whole, one value corrected, nobody overwritten."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np
import pandas as pd
import sqlalchemy as sa
from sqlalchemy.engine import Connection

from analytics.errors import StoreError
from analytics.records.fields import KEYS
from analytics.records.log import columns_of, typed_defects
from analytics.records.problems import FileReport
from analytics.records.store import tables as t
from analytics.records.store.comparing import ORIGIN_FIELD, findings, with_findings
from analytics.records.store.loading import known_defects, known_table
from analytics.records.store.saving import Read, SaveReport, save_all, update_rows, write_findings
from analytics.records.store.values import (
    BOOKKEEPING,
    FINDINGS,
    clean,
    from_text,
    table_of,
    texts,
    value_columns,
)

NAMES = {"part": "part", "batch": "mix", "lot": "lot", "mould": "mould", "logger": "reading"}


def write_down(
    connection: Connection, result: Read, *, new: str | None, now: datetime
) -> SaveReport:
    """Keep what was typed by hand, on a connection holding the write lock.

    `new` names the record that must not be there yet ("part" …). Raises StoreError where it is.
    """
    if new is not None:
        _refuse_known(connection, new, result.tables[new])
    return save_all(connection, result, {}, now)


def save_mended(
    connection: Connection, files: Read, mends: Read, sha256: Mapping[str, str], now: datetime
) -> SaveReport:
    """Keep files as they stand, then what was typed by hand in their place, in one transaction.

    Two imports, so that the history tells what the file said, and reading the file again does not
    bring it back.
    """
    first = save_all(connection, files, sha256, now)
    second = save_all(connection, mends, {}, now)
    return SaveReport((*first.files, *second.files))


def _refuse_known(connection: Connection, record: str, given: pd.DataFrame) -> None:
    if record == "logger":
        return
    key = KEYS[record]
    table = t.record_tables()[record]
    for name in given[key]:
        if connection.scalar(sa.select(table.c.id).where(table.c[key] == name)) is not None:
            raise StoreError(
                f"the log has a {NAMES[record]} {name} already. Nothing was kept: give this one "
                f"another number, or open {name} and correct it there."
            )


@dataclass(frozen=True)
class _Given:
    """What was read, with tables of its own."""

    files: tuple[FileReport, ...]
    tables: Mapping[str, pd.DataFrame]


def with_earlier_faults(connection: Connection, result: Read) -> Read:
    """What was read, its faults put after those the store has for the same parts.

    A fault named again takes the place of the earlier one. A part found faulty stays what it was
    called before (rework, scrap), unless that was good.
    """
    parts, faults = result.tables["part"], result.tables["defect"]
    known = known_table(connection, "part", parts).set_index("part_id")
    earlier = known_defects(connection, parts["part_id"].tolist())
    named = set(zip(faults["part_id"], faults["defect"], strict=True))
    again = [pair in named for pair in zip(earlier["part_id"], earlier["defect"], strict=True)]
    together = typed_defects(
        pd.concat([earlier[~np.array(again, bool)], faults], ignore_index=True)
    )
    words = parts["part_id"].map(known["defects"])
    outcome = parts["part_id"].map(known["outcome"])
    said = (words + "; " + parts["defects"]).fillna(parts["defects"])
    stays = outcome.notna() & (outcome != "good")
    parts = parts.assign(defects=said, outcome=outcome.where(stays, parts["outcome"]))
    return _Given(result.files, {**result.tables, "part": parts, "defect": together})


# ---------------------------------------------------------------- one value


@dataclass(frozen=True)
class Correct:
    """One value to put right: `values` are texts as the history keeps them, None for unknown.

    `field` is the one a person corrected; `values` also holds what follows from it (the faults
    read from a part's words …). `typed` is the cell as typed, `was` what stood there when looked
    at, `file` the name the correction goes by.
    """

    record: str
    key: str
    field: str
    typed: str
    was: str | None
    values: Mapping[str, str | None]
    file: str


def correct(connection: Connection, asked: Correct, *, now: datetime) -> int | None:
    """The import number of a correction, on a connection holding the write lock; None where the
    value stood so already.

    Raises StoreError where the record is gone, or somebody changed the value meanwhile.
    """
    row = current(connection, asked.record, asked.key)
    if row is None:
        raise StoreError(f"the log has no {NAMES[asked.record]} {asked.key} any more. Look again.")
    if row.texts[asked.field] != asked.was:
        raise StoreError(_changed_meanwhile(connection, asked, row.texts[asked.field]))
    values = _with_result(asked, row) if asked.record == "part" else asked.values
    changed = {f: v for f, v in values.items() if row.texts[f] != v}
    if not changed:
        return None
    import_id = _add_import(connection, asked, row, now)
    _write(connection, asked, row, changed, import_id)
    own = {"import_id": import_id, "record": asked.record, "record_id": row.id, "key": asked.key}
    told = [
        {**own, "field": field, "old": row.texts[field], "new": new, "old_raw": row.typed(field)}
        for field, new in changed.items()
    ]
    told.append({**own, "field": ORIGIN_FIELD, "old": row.origin, "new": None, "old_raw": None})
    connection.execute(sa.insert(t.history), [{**line, "changed_at": now} for line in told])
    return import_id


@dataclass(frozen=True)
class Current:
    """A record as it stands: its values as the history writes them, and where it came from."""

    id: int
    import_id: int
    changed_id: int
    texts: Mapping[str, str | None]
    raw: Mapping[str, Any]
    origin: str

    def typed(self, field: str) -> str | None:
        """The cell of a field as typed."""
        cell = self.raw.get("defects" if field == FINDINGS else field)
        return cell if isinstance(cell, str) else None


def current(connection: Connection, record: str, key: str) -> Current | None:
    """One record as it stands; None where there is none of that key."""
    table, columns = t.record_tables()[record], (*columns_of(record), *BOOKKEEPING)
    query = sa.select(*(table.c[name] for name in columns)).where(_is(table, record, key))
    found = table_of(record, columns, connection.execute(query).fetchall())
    if found.empty:
        return None
    if record == "part":
        found = with_findings(found, known_defects(connection, [key]))
    told = {name: texts(record, name, found[name])[0] for name in value_columns(record)}
    row = found.iloc[0]
    raw = row["raw"] if isinstance(row["raw"], str) else None
    origin = {name: None if pd.isna(row[name]) else row[name] for name in ("file", "sheet")}
    origin |= {"raw": raw, "row": None if pd.isna(row["row"]) else int(row["row"])}
    origin |= {"changed_id": int(row["changed_id"])}
    return Current(
        int(row["id"]),
        int(row["import_id"]),
        int(row["changed_id"]),
        told,
        json.loads(raw or "{}"),
        json.dumps(origin, ensure_ascii=False),
    )


def _is(table: sa.Table, record: str, key: str) -> sa.ColumnElement[bool]:
    """The row of this key; a logger's is its name, a space and the moment."""
    if record != "logger":
        return table.c[KEYS[record]] == key
    named, _, moment = key.rpartition(" ")
    if moment.count(":"):
        named, _, day = named.rpartition(" ")
        moment = f"{day} {moment}"
    return (table.c.logger_id == named) & (table.c.timestamp == datetime.fromisoformat(moment))


def _with_result(asked: Correct, row: Current) -> Mapping[str, str | None]:
    """The values with what they say of the result: faults make a part faulty, and looked at."""
    if asked.field not in ("defects", "outcome"):
        return asked.values
    values = dict(asked.values)
    if findings(values.get(FINDINGS)) and row.texts["outcome"] in (None, "good"):
        values["outcome"] = "faulty"
    result = [values.get(name, row.texts[name]) for name in ("outcome", "defects")]
    return {**values, "looked": "yes" if any(result) else None}


def _changed_meanwhile(connection: Connection, asked: Correct, stands: str | None) -> str:
    h = t.history.c
    mine = (h.record == asked.record) & (h.key == asked.key) & (h.field == asked.field)
    query = sa.select(h.changed_at).where(mine).order_by(h.id.desc()).limit(1)
    at = connection.scalar(query)
    when = f" at {at:%H:%M on %Y-%m-%d}" if at else ""
    to = f'to "{stands}"' if stands is not None else "to unknown"
    return f"somebody changed it {to}{when}; look again. What you typed was not kept."


def _add_import(connection: Connection, asked: Correct, row: Current, now: datetime) -> int:
    report = FileReport(asked.file, (), ()).to_json()
    given = {
        "file": asked.file,
        "sha256": None,
        "at": now,
        "new": 0,
        "unchanged": 0,
        "changed": 1,
        "builds_on": json.dumps(sorted({row.import_id, row.changed_id})),
        "problems": "[]",
        "report": json.dumps(report, ensure_ascii=False),
    }
    result = connection.execute(sa.insert(t.imports).returning(t.imports.c.id), given)
    return int(result.scalar_one())


def _write(
    connection: Connection,
    asked: Correct,
    row: Current,
    changed: Mapping[str, str | None],
    import_id: int,
) -> None:
    raw = {name: cell for name, cell in row.raw.items() if name != asked.field}
    if asked.typed:
        raw[asked.field] = asked.typed
    own = {f: from_text(asked.record, f, v) for f, v in changed.items() if f != FINDINGS}
    own["raw"] = json.dumps(raw, ensure_ascii=False)
    update_rows(connection, asked.record, [{"id": row.id, **own, "changed_id": import_id}])
    if FINDINGS in changed:
        write_findings(connection, [(asked.key, changed[FINDINGS])])


def values_read(
    record: str, field: str, read: pd.DataFrame, faults: pd.DataFrame
) -> dict[str, Any]:
    """The texts a correction sets, from the one row read of it: the field and what follows."""
    table = clean(read)
    if record == "part":
        table = with_findings(table, faults)
    follows = {"catalyst_pct": ("catalyst_basis",), "defects": (FINDINGS,)}.get(field, ())
    return {name: texts(record, name, table[name])[0] for name in (field, *follows)}
