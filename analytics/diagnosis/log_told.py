"""Bench checks that the log answers by itself: the same place again, and pulls getting harder."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
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

Placed = Callable[[frozenset[str]], Iterable[tuple[str, bool, int]]]
"""Where these faults were on all other parts: place as written, on this mould or not, how often."""


def told_by_log(
    trade: Trade,
    jobs: pd.DataFrame,
    defects: pd.DataFrame,
    row: int,
    faults: Sequence[str],
    seen: Mapping[str, str],
    placed: Placed | None = None,
) -> tuple[Observation, ...]:
    """What the log itself says of the part at `row` of the jobs table, besides its own record.

    `faults` are those asked about; `defects` has part_id, defect and, where the log tells it,
    place. A check somebody has done (`seen`) is not answered again. Where `placed` counts the
    places, the tables need hold no more than the part itself and its mould's last pulls.
    """
    mould = jobs["mould_id"].iloc[row]
    if pd.isna(mould):
        return ()
    pulls = np.flatnonzero((jobs["mould_id"] == mould).to_numpy(dtype=bool))
    found = []
    if SAME_PLACE[0] not in seen:
        counted = placed or _placed_in(jobs, defects, row, pulls)
        found += _same_places(trade, defects, str(jobs["part_id"].iloc[row]), faults, counted)
    if HARDER[0] not in seen:
        found += _harder(trade, jobs, row, pulls)
    return tuple(found)


def _with_place(defects: pd.DataFrame) -> pd.DataFrame:
    return defects.dropna(subset=["place"]) if "place" in defects else defects.iloc[:0]


def _placed_in(
    jobs: pd.DataFrame, defects: pd.DataFrame, row: int, pulls: NDArray[np.intp]
) -> Placed:
    """The places counted in the log's own tables."""
    told = _with_place(defects)
    told = told[told["part_id"] != jobs["part_id"].iloc[row]]
    here = told["part_id"].isin(set(jobs["part_id"].iloc[pulls]))

    def placed(names: frozenset[str]) -> Iterable[tuple[str, bool, int]]:
        alike = told["defect"].isin(names)
        return (
            (str(p), bool(on), 1) for p, on in zip(told["place"][alike], here[alike], strict=True)
        )

    return placed


def _same_places(
    trade: Trade, defects: pd.DataFrame, part: str, faults: Sequence[str], placed: Placed
) -> list[Observation]:
    """A fault in the place where other parts of this mould have it too, against luck."""
    told = _with_place(defects)
    own = told[(told["part_id"] == part) & told["defect"].isin(set(faults))]
    for defect, place in zip(own["defect"], own.get("place", ()), strict=True):
        kin = trade.families[trade.family_index(defect)]
        many: Counter[tuple[bool, bool]] = Counter()
        for other, on_mould, times in placed(frozenset({kin.id, *kin.members})):
            many[on_mould, _plain(other) == _plain(place)] += times
        again, elsewhere = many[True, True], many[False, True]
        if again:
            usual = (elsewhere + 1) / (elsewhere + many[False, False] + PLACES)
            by_luck = _so_often(again, again + many[True, False], usual)
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
