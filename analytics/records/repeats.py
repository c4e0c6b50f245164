"""Rows that repeat a record: merged where they agree, kept apart and told where they do not."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from analytics.records.fields import KEYS, ROLES
from analytics.records.words import is_blank, plain

_RAW_OF_MIXES = tuple(f"raw of {role}" for role in ROLES)
_ORIGIN = ("sheet_no", "row", "raw", *_RAW_OF_MIXES)


@dataclass(frozen=True)
class Clash:
    """Two rows of one id that contradict each other in a field; positions in the table given."""

    id: str
    first: int
    second: int
    field: str
    first_text: str
    second_text: str


@dataclass(frozen=True)
class Repeats:
    """A table without repeats: `frame` (index kept), dropped positions, clashes kept apart."""

    frame: pd.DataFrame
    dropped: tuple[int, ...]
    clashes: tuple[Clash, ...]


def merge_repeats(record: str, frame: pd.DataFrame) -> Repeats:
    """The table with one row per record.

    A row agrees with an earlier one of the same id when no filled cell of one differs from a
    filled cell of the other; then it only fills that one's gaps. Otherwise it is kept as
    "<id> #2". Logger readings are repeats only when time and every value are the same.
    """
    if record == "logger":
        same = frame.duplicated([c for c in frame if c not in _ORIGIN], keep="first")
        same &= frame[KEYS[record]].notna()
        return Repeats(frame[~same], tuple(np.flatnonzero(same).tolist()), ())
    key = KEYS[record]
    again = frame[key].duplicated(keep=False) & frame[key].notna()
    if not again.any():
        return Repeats(frame, (), ())
    frame = frame.reset_index(drop=True)
    merger = _Merger(key, frame)
    again_rows = np.flatnonzero(again.to_numpy())
    names = frame[key].to_numpy()[again_rows]
    codes, _ = pd.factorize(names)
    in_order = np.argsort(codes, kind="stable")
    starts = np.flatnonzero(np.diff(codes[in_order], prepend=-1))
    for positions in np.split(again_rows[in_order], starts[1:]):
        merger.settle(positions.tolist())
    return merger.done()


class _Merger:
    def __init__(self, key: str, frame: pd.DataFrame) -> None:
        self.key, self.frame = key, frame
        self.dropped: list[int] = []
        self.clashes: list[Clash] = []
        self.changes: dict[int, dict[str, Any]] = {}

    def settle(self, positions: list[int]) -> None:
        """Merge or part the rows of one id, top to bottom."""
        rows = self.frame.loc[positions].to_dict("index")
        raws = {position: _flat(json.loads(rows[position]["raw"])) for position in positions}
        kept: list[int] = []
        for position in positions:
            clash = None
            for earlier in kept:
                clash = self._clash(earlier, position, rows, raws)
                if clash is None:
                    self._fill(earlier, position, rows, raws)
                    break
            if kept and clash is None:
                self.dropped.append(position)
                continue
            kept.append(position)
            if clash is not None:
                self.clashes.append(clash)
                name = f"{rows[position][self.key]} #{len(kept)}"
                self.changes.setdefault(position, {})[self.key] = name

    def _clash(
        self, first: int, second: int, rows: dict[Any, Any], raws: dict[int, dict[str, str]]
    ) -> Clash | None:
        for name, one in raws[first].items():
            other = raws[second].get(name, "")
            if name == self.key or is_blank(one) or is_blank(other) or plain(one) == plain(other):
                continue
            values = rows[first].get(name), rows[second].get(name)
            if not _same_value(*values):
                return Clash(str(rows[first][self.key]), first, second, name, one, other)
        return None

    def _fill(
        self, first: int, second: int, rows: dict[Any, Any], raws: dict[int, dict[str, str]]
    ) -> None:
        """Fill the gaps of the first row from the second."""
        changes = self.changes.setdefault(first, {})
        for name, value in rows[second].items():
            if name in _ORIGIN or _is_missing(value):
                continue
            if _is_missing(rows[first].get(name)) or (name == "looked" and value):
                changes[name] = rows[first][name] = value
        gaps = {
            name: text
            for name, text in raws[second].items()
            if not is_blank(text) and is_blank(raws[first].get(name, ""))
        }
        if gaps:
            raws[first] |= gaps
            changes["raw"] = rows[first]["raw"] = _nested(raws[first])
            changes |= {column: None for column in _RAW_OF_MIXES if column in self.frame}

    def done(self) -> Repeats:
        """The table with what was settled put in."""
        frame = self.frame.copy()
        for position, changes in self.changes.items():
            for name, value in changes.items():
                frame.at[position, name] = value
        frame = frame.drop(index=self.dropped)
        return Repeats(frame, tuple(sorted(self.dropped)), tuple(self.clashes))


def _flat(raw: dict[str, Any]) -> dict[str, str]:
    """The raw cells with unplaced columns beside the fields, under "other:heading"."""
    other = raw.pop("other", {})
    return {**raw, **{f"other:{name}": text for name, text in other.items()}}


def _nested(flat: dict[str, str]) -> str:
    own = {name: text for name, text in flat.items() if not name.startswith("other:")}
    other = {name[6:]: text for name, text in flat.items() if name.startswith("other:")}
    return json.dumps({**own, "other": other} if other else own, ensure_ascii=False)


def _is_missing(value: Any) -> bool:
    return value is None or (not isinstance(value, tuple) and bool(pd.isna(value)))


def _same_value(one: Any, other: Any) -> bool:
    if _is_missing(one) or _is_missing(other):
        return False
    if isinstance(one, float) and isinstance(other, float):
        return bool(np.isclose(one, other, rtol=1e-9))
    return bool(one == other)
