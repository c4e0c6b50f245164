"""Mixes numbered from 1 again each day, named by their day so that no two share a name."""

from __future__ import annotations

from typing import Any

import pandas as pd

from analytics.records.fields import ROLES
from analytics.records.mix_links import is_among, names_in

_MOST = 0.9
_OFTEN = 0.5
_FEW = 6


def named_by_day(
    ids: pd.Series[Any], days: pd.Series[Any], materials: pd.Series[Any] | None
) -> pd.Series[Any] | None:
    """The mix numbers with their day in front ("2024-03-04 2"), None where they run on.

    Numbers start again each day when most stand on several days but only once in each.
    """
    known = ids.notna() & days.notna()
    if known.sum() < _FEW:
        return None
    table = pd.DataFrame({"id": ids[known].astype(str), "day": days[known]})
    on_days = table.groupby("id")["day"].transform("nunique")
    if (on_days > 1).mean() < _OFTEN:
        return None
    named = days.dt.strftime("%Y-%m-%d") + " " + ids.astype(str)
    if (~named[known].duplicated(keep=False)).mean() < _MOST:
        if materials is None:
            return None
        kind = materials.astype(object).where(materials.notna(), "mix").astype(str)
        named = days.dt.strftime("%Y-%m-%d") + " " + kind + " " + ids.astype(str)
        if (~named[known].duplicated(keep=False)).mean() < _MOST:
            return None
    return named.where(known, ids)


def pointed_by_day(parts: pd.DataFrame, batches: pd.DataFrame) -> pd.DataFrame:
    """The parts with pot numbers of a day ("2") as the mixes are named ("2024-03-04 2")."""
    if parts.empty or batches.empty:
        return parts
    known = names_in(batches["batch_id"])
    pointers = [f"{role}_batch_id" for role in ROLES]
    lost = {p: parts[p].notna() & ~is_among(parts[p], known) for p in pointers}
    if not any(rows.any() for rows in lost.values()):
        return parts
    days = parts["date"].dt.strftime("%Y-%m-%d")
    out = parts.copy()
    for role in ROLES:
        pointer = f"{role}_batch_id"
        for named in (days + " " + parts[pointer], days + f" {role} " + parts[pointer]):
            found = lost[pointer] & is_among(named, known)
            if found.any():
                out.loc[found, pointer] = named[found]
    return out
