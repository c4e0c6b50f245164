"""Parts pointed at their mixes, across sheets and files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.records.cells import id_key
from analytics.records.problems import Problem
from analytics.records.words import plain

_POINTERS = ("gelcoat_batch_id", "resin_batch_id")


def link_mixes(parts: pd.DataFrame, links: Sequence[tuple[str, str | None, str]]) -> pd.DataFrame:
    """The parts with a mix number put in where a mix names its part and the part names no mix."""
    if parts.empty or not links:
        return parts
    linked = parts.copy()
    by_part = {plain(part): position for position, part in enumerate(linked["part_id"])}
    for mix, material, part in links:
        position = by_part.get(plain(part))
        pointer = f"{material}_batch_id"
        if position is not None and pointer in linked and linked[pointer].isna().iloc[position]:
            linked.at[position, pointer] = mix
    return linked


def same_spelling(parts: pd.DataFrame, batches: pd.DataFrame) -> pd.DataFrame:
    """The parts with mix numbers spelt as on the mix sheet ("gb 12" as "GB-12")."""
    if parts.empty or batches.empty:
        return parts
    out = parts.copy()
    known = names_in(batches["batch_id"])
    strange = {p: out[p].notna() & ~is_among(out[p], known) for p in _POINTERS}
    if not any(rows.any() for rows in strange.values()):
        return parts
    spelt = {id_key(mix): mix for mix in known}
    for pointer, rows in strange.items():
        out.loc[rows, pointer] = [spelt.get(id_key(mix), mix) for mix in out.loc[rows, pointer]]
    return out


def names_in(column: pd.Series[Any]) -> Set[str]:
    """The names a column of text holds."""
    return set(column.dropna().tolist())


def is_among(column: pd.Series[Any], names: Set[str]) -> NDArray[np.bool_]:
    """Per row, whether the text is one of the names; many times quicker than `isin` for many."""
    return np.fromiter(map(names.__contains__, column.tolist()), np.bool_, count=len(column))


def material_from_parts(batches: pd.DataFrame, parts: pd.DataFrame) -> pd.DataFrame:
    """The mixes with a material where only the part that used one says what it was."""
    unknown = batches["material"].isna()
    if not unknown.any() or parts.empty:
        return batches
    out = batches.copy()
    for role in ("gelcoat", "resin"):
        used = names_in(parts[f"{role}_batch_id"])
        out.loc[unknown & is_among(out["batch_id"], used), "material"] = role
    return out


def missing_mixes(file: str, tables: Mapping[str, pd.DataFrame]) -> list[Problem]:
    """One problem for all mix numbers of a file with no mix behind them."""
    parts = tables["part"][tables["part"]["file"] == file]
    known = names_in(tables["batch"]["batch_id"])
    pointers = parts[list(_POINTERS)]
    lost = pd.DataFrame({p: parts[p].notna() & ~is_among(parts[p], known) for p in _POINTERS})
    rows = np.flatnonzero(lost.any(axis=1))
    if not len(rows):
        return []
    first = parts.iloc[int(rows[0])]
    names = pd.unique(pointers.where(lost).to_numpy().ravel())
    shown = [str(name) for name in names if not pd.isna(name)]
    more = f" and {len(shown) - 3} more" if len(shown) > 3 else ""
    return [
        Problem(
            "missing mix",
            file,
            str(first["sheet"]),
            int(first["row"]),
            None,
            ", ".join(shown[:3]) + more,
            "a mix with that number in the mixing record",
            "the parts are kept, without what their mix would say. Import the mixing record too,"
            " or correct the number.",
        )
    ]


def filled_from_parts(
    mixes: pd.DataFrame, of_parts: pd.DataFrame
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The mixing record, its gaps filled by what part rows say of the same mixes, and the mixes
    only part rows know."""
    keys = mixes["batch_id"].astype(str).map(id_key)
    own = of_parts["batch_id"].astype(str).map(id_key)
    known = own.isin(set(keys))
    if not known.any():
        return mixes, of_parts
    said = of_parts[known].set_index(own[known])
    said = said[~said.index.duplicated()]
    out = mixes.copy()
    for column in [c for c in said if c not in ("batch_id", "raw", "sheet_no", "row")]:
        there = keys.map(said[column])
        if column in out and out[column].notna().any():
            gaps = out[column].isna() & there.notna()
            out[column] = out[column].where(~gaps, there) if gaps.any() else out[column]
        else:
            out[column] = there
    return out, of_parts[~known]
