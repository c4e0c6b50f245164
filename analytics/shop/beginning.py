"""What a form to write in begins with: the last job's mould, the same lots, today, now."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from analytics.shop.base import OpenShop

if TYPE_CHECKING:
    import pandas as pd

MATERIALS = ("gelcoat", "resin", "topcoat")
_MOST_KNOWN = 200
_KEPT_FROM_LAST = {
    "part": ("mould_id", "operator", "product", "colour", "release_system", "gelcoat_method"),
    "batch": ("lot", "product", "catalyst_lot", "operator", "mix_method", "gel_where"),
}
_LISTED = {
    "part": ("mould_id", "operator", "product", "colour", "wax_type", "ply_schedule"),
    "batch": ("lot", "product", "catalyst_lot", "operator"),
}


@dataclass(frozen=True)
class Beginning:
    """A form as it begins: `values` and what is `known` to pick from, by field; `hints` beside."""

    values: Mapping[str, str]
    known: Mapping[str, tuple[str, ...]]
    hints: Mapping[str, str]


class Begins(OpenShop):
    """Sensible beginnings, all from what the log says was done last."""

    def begin(self, kind: str, material: str = "") -> Beginning:
        """What a new part ("part") or mix ("batch", of a material) begins with."""
        now = self._now()
        clock = "start_time" if kind == "part" else "time"
        begun: Beginning = self._worked_out(
            f"begins {kind} {material}", lambda: self._begun(kind, material)
        )
        today = {"date": f"{now:%Y-%m-%d}", clock: f"{now:%H:%M}"}
        return Beginning({**today, **begun.values}, begun.known, begun.hints)

    def _begun(self, kind: str, material: str) -> Beginning:
        """The form but for today and now."""
        log = self.log()
        every = log.parts if kind == "part" else log.batches
        rows = every if kind == "part" else _without_cups(every)
        same = rows[rows["material"] == material] if kind == "batch" and material else rows
        values = {"material": material} if material else {}
        last = _newest(same)
        for field in _KEPT_FROM_LAST[kind]:
            if last is not None and isinstance(last[field], str):
                values[field] = str(last[field])
        key = "part_id" if kind == "part" else "batch_id"
        values[key] = _next_number(same[key], set(every[key]))
        known = {field: _known(same[field]) for field in _LISTED[kind]}
        if kind == "batch":
            known["part_id"] = _known(log.parts["part_id"])
            return Beginning(_filled(values), known, {})
        for role in ("gelcoat", "resin"):
            mixes = log.batches.loc[log.batches["material"] == role, "batch_id"]
            known[f"{role}_batch_id"] = _known(mixes[~mixes.str.contains("/")])
        hints = {f: f"last {names[0]}" for f, names in known.items() if names and f not in values}
        return Beginning(_filled(values), known, hints | self._pulls(values.get("mould_id", "")))

    def _pulls(self, mould: str) -> dict[str, str]:
        """The pulls last written for the mould: worth seeing, too risky to fill in."""
        parts = self.log().parts
        pulls = parts.loc[parts["mould_id"] == mould, "pulls_since_renewal"].dropna()
        if not mould or pulls.empty:
            return {}
        return {"pulls_since_renewal": f"{mould} was at {pulls.iloc[-1]:g}"}


def _without_cups(batches: pd.DataFrame) -> pd.DataFrame:
    """The mixes that went into parts: a cup test says nothing of the next pot's number."""
    return batches[batches["gel_where"].fillna("") != "cup"]


def _newest(rows: pd.DataFrame) -> pd.Series[Any] | None:
    """The row with the latest day; of several, the one written last."""
    if rows.empty:
        return None
    order = rows["date"].fillna(rows["date"].min())
    return rows.loc[order.sort_values(kind="stable").index[-1]]


def _known(column: pd.Series[str]) -> tuple[str, ...]:
    """The names in a column, the latest first."""
    return tuple(dict.fromkeys(column.dropna().iloc[::-1]))[:_MOST_KNOWN]


def _next_number(numbers: pd.Series[str], taken: Iterable[str]) -> str:
    """The number after the one written last ("P-090" gives "P-091"); empty where it has none.

    Numbers laylog made up, and those that hold no figure at their end, have none after them.
    """
    used = set(taken)
    for last in numbers.dropna().iloc[::-1].head(20):
        shape = re.fullmatch(r"(.*?)(\d{1,9})", last)
        if shape is None or "/" in last or "#" in last:
            continue
        following = int(shape[2]) + 1
        while (name := f"{shape[1]}{following:0{len(shape[2])}d}") in used:
            following += 1
        return name
    return ""


def _filled(values: Mapping[str, str]) -> dict[str, str]:
    return {field: text for field, text in values.items() if text}
