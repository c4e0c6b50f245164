"""Bench checks that the log answers by itself: the same place again, and pulls getting harder."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import comb

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.diagnosis.observed import Observation
from analytics.diagnosis.trade import Trade

SAME_PLACE = ("where-map", "same-spot")
HARDER = ("pull-history", "rising")
# Before any log: one place in so many is the same by luck, and that guess is worth as many faults.
PLACES = 4.0
FEWEST_PULLS, LEAST_RISE, LAST_PULLS = 3, 2.0, 5


def told_by_log(
    trade: Trade,
    jobs: pd.DataFrame,
    defects: pd.DataFrame,
    row: int,
    faults: Sequence[str],
    seen: Mapping[str, str],
) -> tuple[Observation, ...]:
    """What the log itself says of the part at `row` of the jobs table, besides its own record.

    `faults` are those asked about; `defects` has part_id, defect and, where the log tells it,
    place. A check somebody has done (`seen`) is not answered again.
    """
    mould = jobs["mould_id"].iloc[row]
    if pd.isna(mould):
        return ()
    pulls = np.flatnonzero((jobs["mould_id"] == mould).to_numpy(dtype=bool))
    found = []
    if SAME_PLACE[0] not in seen:
        found += _same_places(trade, jobs, defects, row, pulls, faults)
    if HARDER[0] not in seen:
        found += _harder(trade, jobs, row, pulls)
    return tuple(found)


def _same_places(
    trade: Trade,
    jobs: pd.DataFrame,
    defects: pd.DataFrame,
    row: int,
    pulls: NDArray[np.intp],
    faults: Sequence[str],
) -> list[Observation]:
    """A fault in the place where other parts of this mould have it too, against luck."""
    part = jobs["part_id"].iloc[row]
    placed = defects.dropna(subset=["place"]) if "place" in defects else defects.iloc[:0]
    own = placed[(placed["part_id"] == part) & placed["defect"].isin(set(faults))]
    for defect, place in zip(own["defect"], own.get("place", ()), strict=True):
        kin = trade.families[trade.family_index(defect)]
        alike = placed[placed["defect"].isin({kin.id, *kin.members}) & (placed["part_id"] != part)]
        here = alike["part_id"].isin(set(jobs["part_id"].iloc[pulls]))
        same = alike["place"].map(_plain) == _plain(place)
        again = int((here & same).sum())
        if again:
            usual = ((~here & same).sum() + 1) / ((~here).sum() + PLACES)
            by_luck = _so_often(again, int(here.sum()), float(usual))
            text = f'"{place}" on {again + 1} parts of this mould'
            return [_finding(trade, SAME_PLACE, text, by_luck)]
    return []


def _so_often(times: int, of: int, chance: float) -> float:
    """Chance of an event at least so many times of so many, by luck alone."""
    return sum(comb(of, k) * chance**k * (1 - chance) ** (of - k) for k in range(times, of + 1))


def _plain(place: str) -> str:
    """A place as written, but for capitals, spaces and stops."""
    return " ".join(str(place).lower().replace(".", " ").split())


def _harder(
    trade: Trade, jobs: pd.DataFrame, row: int, pulls: NDArray[np.intp]
) -> list[Observation]:
    """Demoulding ever harder over the last pulls since the release was renewed."""
    upto = jobs.iloc[pulls[pulls <= row][-LAST_PULLS:]]
    counter = upto["pulls_since_renewal"]
    renewed = np.flatnonzero((counter.diff() < 0).to_numpy())
    told = upto.iloc[renewed[-1] if renewed.size else 0 :]["demould_effort"].dropna()
    rising = (told.diff().dropna() >= 0).all() and len(told) >= FEWEST_PULLS
    if not rising or told.iloc[-1] - told.iloc[0] < LEAST_RISE:
        return []
    text = f"effort went from {told.iloc[0]:g} to {told.iloc[-1]:g} over the last {len(told)} pulls"
    return [_finding(trade, HARDER, text, trade.knowledge.trust.check_false)]


def _finding(trade: Trade, check: tuple[str, str], text: str, leak: float) -> Observation:
    """The log's answer to a check, as a finding beside those of the bench."""
    name, result = check
    shows = np.array([cause.checks.get(name) == result for cause in trade.causes])
    trust = trade.knowledge.trust
    return Observation(text, shows * trust.check_hit, max(leak, trust.check_false), True)
