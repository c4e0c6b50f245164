"""What a file says that the store does not know yet, worked out on tables alone."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from itertools import repeat
from typing import Any

import numpy as np
import pandas as pd

from analytics.errors import StoreError
from analytics.records.log import DEFECT_COLUMNS
from analytics.records.store.tables import KEYS
from analytics.records.store.values import FINDINGS, clean, keys, texts, value_columns

ORIGIN_FIELD = "origin"
"""The history's name for where a row came from, kept so that an undo can put it back."""

_DETAILS = tuple(c for c in DEFECT_COLUMNS if c != "part_id")
_Mask = np.ndarray[Any, np.dtype[np.bool_]]


@dataclass(frozen=True)
class Change:
    """One value of one known record that a file fills in or corrects; texts, None for unknown.

    `old_raw` is the cell as typed before, where the field had a cell of its own.
    """

    record_id: int
    key: str
    field: str
    old: str | None
    new: str | None
    old_raw: str | None


@dataclass(frozen=True)
class Difference:
    """One record's table of one file against the store.

    `new` are rows to add; `changed` are known rows (with `id`) as they become; `builds_on` are the
    imports whose rows this file repeats or corrects.
    """

    record: str
    new: pd.DataFrame
    changed: pd.DataFrame
    changes: tuple[Change, ...]
    unchanged: int
    builds_on: frozenset[int]


def all_new(record: str, given: pd.DataFrame) -> Difference | None:
    """What a file adds where no such record is known; None where its rows must be folded first."""
    own = list(KEYS[record])
    table = _tidied(record, given)
    if table[own[-1]].isna().any() or table.duplicated(own).any():
        return None
    return Difference(record, table.reset_index(drop=True), table[:0], (), 0, frozenset())


def _tidied(record: str, given: pd.DataFrame) -> pd.DataFrame:
    table = clean(given)
    if record == "part":
        # "nobody looked" is a blank, not news that could overwrite a result
        table["looked"] = table["looked"].mask(~table["looked"].fillna(False))
    return table


def fold(record: str, given: pd.DataFrame) -> pd.DataFrame:
    """One row per record, with the last filled value of each field, indexed by key.

    A record spread over two sheets, or written twice, is still one record.
    """
    table = _tidied(record, given)
    table.index = pd.Index(keys(record, table), name="key")
    nameless = table.index.isna()
    if nameless.any():
        first = table[nameless].iloc[0]
        raise StoreError(
            f"{first['file']}, sheet {first['sheet']}, row {first['row']}: "
            f"a {record} without a number of its own cannot be kept. Nothing was changed."
        )
    if table.index.is_unique:
        return table
    return table.groupby(level="key", sort=False).last()


def with_findings(parts: pd.DataFrame, defects: pd.DataFrame) -> pd.DataFrame:
    """Parts with their faults as one JSON text in `findings`, missing where none were asked for.

    "none" written in the faults cell is news too: it clears what an earlier file said.
    """
    plain = clean(defects).drop_duplicates().astype("object")
    told = plain.where(plain.notna(), None)
    found: dict[str, list[tuple[Any, ...]]] = {}
    columns = (told[name].tolist() for name in _DETAILS)
    for part, details in zip(told["part_id"].tolist(), zip(*columns, strict=True), strict=True):
        found.setdefault(part, []).append(details)
    # thousands of parts, a few hundred different faults
    as_json = {
        rows: json.dumps(rows, ensure_ascii=False) for rows in set(map(tuple, found.values()))
    }
    by_part = {part: as_json[tuple(rows)] for part, rows in found.items()}
    texts = list(map(by_part.get, parts["part_id"].tolist()))
    made = pd.Series(texts, index=parts.index, dtype="str")
    return parts.assign(**{FINDINGS: made.mask(made.isna() & parts["defects"].notna(), "[]")})


def findings(text: str | None) -> list[dict[str, Any]]:
    """The faults in a `findings` text, as rows without their part."""
    return [dict(zip(_DETAILS, row, strict=True)) for row in json.loads(text or "[]")]


def compare(
    record: str,
    known: pd.DataFrame,
    given: pd.DataFrame,
    superseded: Collection[tuple[str, str, str | None]] = frozenset(),
) -> Difference:
    """What `given` (folded) adds to and changes in `known` (stored rows with their ids).

    A blank cell changes nothing: unknown is not a correction. `superseded` holds (key, field, old
    text) that a later file corrected; the file that first said so cannot bring them back.
    """
    at = pd.Index(keys(record, known)).get_indexer(given.index)
    said = given[at >= 0]
    old = known.iloc[at[at >= 0]].set_axis(said.index)
    merged, touched, changes = _merge(record, old, said, superseded)
    return Difference(
        record=record,
        new=given[at < 0].reset_index(drop=True),
        changed=merged[touched].reset_index(drop=True),
        changes=tuple(changes),
        unchanged=int(len(said) - touched.sum()),
        builds_on=frozenset(int(i) for c in ("import_id", "changed_id") for i in old[c].unique()),
    )


def _merge(
    record: str,
    old: pd.DataFrame,
    said: pd.DataFrame,
    superseded: Collection[tuple[str, str, str | None]],
) -> tuple[pd.DataFrame, _Mask, list[Change]]:
    merged = old.copy()
    changes: list[Change] = []
    touched = np.zeros(len(said), dtype=bool)
    for field in value_columns(record):
        differs = _differs(said[field], old[field])
        if not differs.any():
            continue
        new = zip(said.index[differs], texts(record, field, said[field][differs]), strict=True)
        differs[differs] = [(key, field, text) not in superseded for key, text in new]
        merged[field] = old[field].mask(differs, said[field])
        changes += _changes(record, field, old[differs], merged[differs])
        touched |= differs
    changes += _origins(old[touched])
    for column in ("file", "sheet", "row"):
        merged[column] = old[column].mask(touched, said[column])
    merged.loc[touched, "raw"] = _joined(old["raw"][touched], said["raw"][touched])
    return merged, touched, changes


def _differs(said: pd.Series[Any], old: pd.Series[Any]) -> _Mask:
    same = (said == old).fillna(False).to_numpy(dtype=bool)
    return said.notna().to_numpy() & ~same


def _changes(record: str, field: str, old: pd.DataFrame, new: pd.DataFrame) -> Iterable[Change]:
    before, after = texts(record, field, old[field]), texts(record, field, new[field])
    cell = "defects" if field == FINDINGS else field
    typed = [_cells(raw).get(cell) for raw in old["raw"]]
    return map(Change, old["id"].tolist(), old.index, repeat(field), before, after, typed)


def _origins(old: pd.DataFrame) -> Iterable[Change]:
    columns = {name: texts("part", name, old[name]) for name in ("file", "sheet", "raw")}
    rows = [None if pd.isna(row) else int(row) for row in old["row"]]
    kept = zip(*columns.values(), rows, old["changed_id"].tolist(), strict=True)
    names = (*columns, "row", "changed_id")
    told = [json.dumps(dict(zip(names, k, strict=True)), ensure_ascii=False) for k in kept]
    nothing = repeat(None)
    return map(Change, old["id"].tolist(), old.index, repeat(ORIGIN_FIELD), told, nothing, nothing)


def _joined(old: pd.Series[Any], said: pd.Series[Any]) -> pd.Series[Any]:
    """The cells as typed on both rows, the later row's where both have that column."""
    texts = [_join(_cells(a), _cells(b)) for a, b in zip(old, said, strict=True)]
    return pd.Series(texts, index=old.index, dtype="str")


def _cells(raw: Any) -> dict[str, Any]:
    """The cells of one row as typed, by field; those of unplaced columns under "other"."""
    return {} if pd.isna(raw) else dict(json.loads(raw))


def _join(old: dict[str, Any], said: dict[str, Any]) -> str | None:
    both = old | said
    if "other" in old and "other" in said:
        both["other"] = old["other"] | said["other"]
    return json.dumps(both, ensure_ascii=False) if both else None
