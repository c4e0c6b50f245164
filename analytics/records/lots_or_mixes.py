""" "Gel batch" on a part row: the number of one mix, or of the drum it was dipped from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence, Set
from dataclasses import replace

import numpy as np

from analytics.records.cells import id_key, id_keys
from analytics.records.coded import Coded
from analytics.records.columns import Match
from analytics.records.fields import ROLES
from analytics.records.gathering import Group
from analytics.records.headings import read_headings

Matched = tuple[Group, list[Match]]
_EXPLAINED = 0.5
_SPREAD = 0.3
_IS_LOT = "the same number on several days, so a lot of material, not one mix"
_IS_MIX = "its numbers are those of the mixing record"


def mix_numbers(matched: Iterable[Matched]) -> Set[str]:
    """The numbers mixes have in the mixing records, spelt one way."""
    return {
        key
        for group, matches in matched
        for match in matches
        if group.record == "batch" and match.target == "batch_id"
        for key in id_keys([match.column.cells.texts[n] for n in match.column.cells.filled_codes])
    }


def lots_told_from_mixes(group: Group, matches: list[Match], mixes: Set[str]) -> list[Match]:
    """The matches of a sheet of parts, its "batch" columns settled as mixes or lots.

    A column is one of mixes when the mixing record holds its numbers, and one of lots when it does
    not and the same number stands on several days.
    """
    if group.record != "part":
        return matches
    settled = list(matches)
    for role in ROLES:
        pointer, lot = f"{role}_batch_id", f"{role}.lot"
        held = {match.target for match in settled}
        for number, match in enumerate(settled):
            if match.target not in (pointer, lot) or not _says_batch(match):
                continue
            if _explained(match.column.cells, mixes):
                if match.target == lot and pointer not in held:
                    settled[number] = replace(
                        match, target=pointer, strength="pattern", how=_IS_MIX
                    )
            elif match.target == lot or (lot not in held and _runs_on(match, settled)):
                settled[number] = replace(match, target=lot, strength="pattern", how=_IS_LOT)
    return settled


def _says_batch(match: Match) -> bool:
    """Whether the heading says "batch", a word for both; the shop's own placing stands."""
    said = any("batch" in heading.words for heading in read_headings(match.column.header))
    return said and match.strength != "placed" and "." not in match.column.header


def _explained(cells: Coded, mixes: Set[str]) -> bool:
    codes = cells.filled_codes
    known = sum(id_key(cells.texts[code]) in mixes for code in codes)
    return bool(codes) and known >= _EXPLAINED * len(codes)


def _runs_on(match: Match, matches: Sequence[Match]) -> bool:
    """Whether many of a column's numbers stand beside more than one date."""
    dates = next((m.column.cells for m in matches if m.target == "date"), None)
    cells = match.column.cells
    if dates is None:
        return False
    rows = np.flatnonzero(cells.said & dates.said)
    pairs = np.unique(np.stack([cells.codes[rows], dates.codes[rows]]), axis=1)
    numbers, days = np.unique(pairs[0], return_counts=True)
    return len(numbers) > 0 and (days > 1).mean() >= _SPREAD
