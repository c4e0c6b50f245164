"""What the shop did the last time in a month, how long it gelled and what came of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import pandas as pd

from analytics.catalyst.answer import Window
from analytics.catalyst.cup import CUP_NUMBER
from analytics.catalyst.readings import DOSE_SPAN_PCT, GEL_SPAN_MIN
from analytics.knowledge.model import Knowledge
from analytics.records.log import Log

USUAL = 3


@dataclass(frozen=True)
class Tally:
    """So many of so many looked at."""

    count: int
    out_of: int


@dataclass(frozen=True)
class LastTime:
    """One month of the log: "2025-01", its mixes, their median dose [mass %] and gel time [min].

    `in_window` counts gel times inside the wanted window, `faults` parts with a fault that
    follows from a wrong gel time, out of the parts somebody looked at.
    """

    month: str
    mixes: int
    catalyst_pct: float | None
    gel_min: float | None
    in_window: Tally
    faults: Tally


@dataclass(frozen=True)
class Followed:
    """Parts with such a fault, by where their gel time lay: in the window, or outside it."""

    inside: Tally
    outside: Tally


def gel_time_faults(knowledge: Knowledge, material: str) -> tuple[str, ...]:
    """Ids of the defects that usually follow from a wrong dose or gel time of this material."""
    shown = {f"{material}_gel_min", f"{material}_gel_ratio", f"{material}_catalyst_pct"}
    causes = [c for c in knowledge.causes.values() if shown & {e.field for e in c.evidence}]
    found = {fault for c in causes for fault, level in c.levels.items() if level >= USUAL}
    groups = {knowledge.defects[fault].group for fault in found} - {None}
    return tuple(fault for fault in knowledge.defects if fault in found | groups)


def last_time(
    log: Log, material: str, month: int, today: date, window: Window, faults: Sequence[str]
) -> LastTime | None:
    """The newest finished such month with mixes of this material; None where there is none."""
    mixes = _mixes(log, material)
    own = mixes[mixes["date"].dt.month == month]
    own = own[own["date"] < pd.Timestamp(today.replace(day=1))]
    if own.empty:
        return None
    year = int(own["date"].dt.year.max())
    own = own[own["date"].dt.year == year]
    timed = own["gel_min"].dropna()
    inside = timed.between(window.low, window.high)
    return LastTime(
        month=f"{year}-{month:02d}",
        mixes=len(own),
        catalyst_pct=_median(own["catalyst_pct"]),
        gel_min=_median(timed),
        in_window=Tally(int(inside.sum()), len(timed)),
        faults=_with_fault(log, material, own["batch_id"], faults),
    )


def followed(log: Log, material: str, window: Window, faults: Sequence[str]) -> Followed:
    """Faults among all parts whose mix has a gel time, inside and outside the window."""
    timed = _mixes(log, material).dropna(subset=["gel_min"])
    inside = timed["gel_min"].between(window.low, window.high)
    return Followed(
        _with_fault(log, material, timed["batch_id"][inside], faults),
        _with_fault(log, material, timed["batch_id"][~inside], faults),
    )


def _mixes(log: Log, material: str) -> pd.DataFrame:
    """Dated mixes of a material that were no cup tests.

    Figures no workshop makes count as unknown, and so do film times.
    """
    own = log.batches[(log.batches["material"] == material) & log.batches["date"].notna()]
    own = own[~own["batch_id"].fillna("").str.startswith(CUP_NUMBER)]
    gel = own["gel_min"].where(own["gel_min"].between(*GEL_SPAN_MIN) & (own["gel_where"] != "film"))
    dose = own["catalyst_pct"].where(own["catalyst_pct"].between(*DOSE_SPAN_PCT))
    return own.assign(gel_min=gel, catalyst_pct=dose)


def _with_fault(log: Log, material: str, mixes: pd.Series[str], faults: Sequence[str]) -> Tally:
    parts = log.parts[log.parts[f"{material}_batch_id"].isin(mixes.dropna())]
    looked = parts["part_id"][parts["looked"].fillna(False).astype(bool)]
    faulty = log.defects["part_id"][log.defects["defect"].isin(list(faults))]
    return Tally(int(looked.isin(faulty).sum()), len(looked))


def _median(values: pd.Series[float]) -> float | None:
    known = values.dropna()
    return float(known.median()) if len(known) else None
