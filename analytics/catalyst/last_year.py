"""What the shop did the last time in a month, how long it gelled and what came of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd
from numpy.typing import NDArray

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


@dataclass(frozen=True)
class Mixed:
    """The mixes of a material, and the parts they went into.

    `mixes` are dated and no cup tests; figures no workshop makes count as unknown there, and so do
    film times. `mix` and `part_mix` name the mix of each row of `mixes` and of each part by a
    number, -1 for none; `looked` and `faulty` are the parts somebody looked at, and those with a
    fault that follows from a wrong gel time.
    """

    mixes: pd.DataFrame
    year: NDArray[np.int64]
    month: NDArray[np.int64]
    mix: NDArray[np.intp]
    part_mix: NDArray[np.intp]
    looked: NDArray[np.bool_]
    faulty: NDArray[np.bool_]

    @staticmethod
    def of(log: Log, material: str, faults: Sequence[str]) -> Mixed:
        """The mixes of a material in a log; `faults` are ids of defects."""
        mixes, parts = _mixes(log, material), log.parts
        ids = [mixes["batch_id"], parts[f"{material}_batch_id"]]
        numbers = pd.factorize(np.concatenate([one.to_numpy(dtype=object) for one in ids]))[0]
        faulty = log.defects["part_id"][log.defects["defect"].isin(list(faults))]
        return Mixed(
            mixes,
            mixes["date"].dt.year.to_numpy(dtype=np.int64),
            mixes["date"].dt.month.to_numpy(dtype=np.int64),
            numbers[: len(mixes)],
            numbers[len(mixes) :],
            parts["looked"].fillna(False).to_numpy(dtype=bool),
            parts["part_id"].isin(set(faulty)).to_numpy(dtype=bool),
        )

    def with_fault(self, rows: NDArray[np.bool_]) -> Tally:
        """Parts with such a fault, of those looked at that were made with these mixes."""
        # the last place is that of parts without a mix
        used = np.zeros(max(self.mix.max(initial=-1), self.part_mix.max(initial=-1)) + 2, bool)
        used[self.mix[rows]] = True
        used[-1] = False
        own = used[self.part_mix] & self.looked
        return Tally(int((own & self.faulty).sum()), int(own.sum()))


def last_time(mixed: Mixed, month: int, today: date, window: Window) -> LastTime | None:
    """The newest finished such month with mixes of this material; None where there is none."""
    # whole months: what lies before the first of this month is before it in the calendar too
    before = (mixed.year < today.year) | ((mixed.year == today.year) & (mixed.month < today.month))
    fits = (mixed.month == month) & before
    if not fits.any():
        return None
    year = int(mixed.year[fits].max())
    fits &= mixed.year == year
    own = mixed.mixes[fits]
    timed = own["gel_min"].dropna()
    inside = timed.between(window.low, window.high)
    return LastTime(
        month=f"{year}-{month:02d}",
        mixes=len(own),
        catalyst_pct=_median(own["catalyst_pct"]),
        gel_min=_median(timed),
        in_window=Tally(int(inside.sum()), len(timed)),
        faults=mixed.with_fault(fits),
    )


def followed(mixed: Mixed, window: Window) -> Followed:
    """Faults among all parts whose mix has a gel time, inside and outside the window."""
    gel = mixed.mixes["gel_min"]
    timed = gel.notna().to_numpy(dtype=bool)
    inside = gel.between(window.low, window.high).to_numpy(dtype=bool)
    return Followed(mixed.with_fault(timed & inside), mixed.with_fault(timed & ~inside))


def _mixes(log: Log, material: str) -> pd.DataFrame:
    own = log.batches[(log.batches["material"] == material) & log.batches["date"].notna()]
    own = own.loc[
        ~own["batch_id"].fillna("").str.startswith(CUP_NUMBER),
        ["batch_id", "date", "gel_min", "gel_where", "catalyst_pct"],
    ]
    gel = own["gel_min"].where(own["gel_min"].between(*GEL_SPAN_MIN) & (own["gel_where"] != "film"))
    dose = own["catalyst_pct"].where(own["catalyst_pct"].between(*DOSE_SPAN_PCT))
    return own.assign(gel_min=gel, catalyst_pct=dose)


def _median(values: pd.Series[float]) -> float | None:
    known = values.dropna()
    return float(known.median()) if len(known) else None
