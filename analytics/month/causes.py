"""What each likely cause took: the month's faults, hours, scrap and money shared out by cause.

The shares come from whoever judged the faults; nothing is judged here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.month.answer_pieces import CauseLine
from analytics.month.results import Bools, Results
from analytics.month.totals import months_of, periods

Floats = NDArray[np.float64]

NOTHING_SHOWS = "Something no record shows"


class OwedTotal(Protocol):
    """Faults expected to be owed to one cause, with a 90 % interval; cause "" is something else."""

    @property
    def cause(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def expected(self) -> float: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...
    @property
    def confirmed(self) -> int: ...
    @property
    def faults(self) -> int: ...


def cause_lines(
    results: Results, owed: pd.DataFrame, totals: Sequence[OwedTotal]
) -> tuple[CauseLine, ...]:
    """One line for each cause of this month's faults, the one that brought most first.

    Parameters
    ----------
    owed : part_id, defect, cause, share of the faults of this and the twelve months before; the
        shares of one fault add up to 1.
    totals : this month's faults by cause.
    """
    by_part = owed.groupby(["part_id", "cause"], observed=True)["share"].sum().reset_index()
    where = pd.Series(np.arange(len(results.jobs)), index=results.jobs["part_id"].astype("str"))
    where = where[~where.index.duplicated()]
    at = where.reindex(by_part["part_id"].astype("str")).to_numpy(dtype=np.float64)
    by_part = by_part[np.isfinite(at)].assign(at=at[np.isfinite(at)].astype(np.intp))
    # What a part took is split evenly over its faults.
    faults = np.bincount(
        by_part["at"], weights=by_part["share"], minlength=len(results.jobs)
    ).astype(np.float64)
    spans = [_Span.of(results, parts) for _, parts in list(periods(results))[1:]]
    own = dict(list(by_part.groupby("cause", observed=True)))
    none = by_part.iloc[:0]
    lines = [_line(results, own.get(one.cause, none), faults, one, spans) for one in totals]
    return tuple(sorted(lines, key=lambda line: -line.expected))


@dataclass(frozen=True)
class _Span:
    """The parts of a period, and in how many months those looked at were made (0: none were)."""

    parts: Bools
    months: int

    @staticmethod
    def of(results: Results, parts: Bools) -> _Span:
        looked = parts & results.looked
        return _Span(parts, months_of(results, looked) if looked.any() else 0)

    def per_month(self, at: NDArray[np.intp], share: Floats) -> float | None:
        return float(share[self.parts[at]].sum()) / self.months if self.months else None


def _line(
    results: Results, own: pd.DataFrame, faults: Floats, one: OwedTotal, spans: Sequence[_Span]
) -> CauseLine:
    at, share = own["at"].to_numpy(), own["share"].to_numpy()
    last, year_ago, usual = (span.per_month(at, share) for span in spans)
    now = results.this_month[at]
    part_share = share[now] / faults[at[now]]
    jobs = results.jobs[["rework_min", "cost", "outcome"]].iloc[at[now]]
    hours, cost = (_shared(jobs[field], part_share) for field in ("rework_min", "cost"))
    return CauseLine(
        cause=one.cause, title=one.title or NOTHING_SHOWS, expected=one.expected, low=one.low,
        high=one.high, confirmed=one.confirmed, faults=one.faults, last_month=last,
        year_ago=year_ago, usual=usual, rework_hours=None if hours is None else hours / 60.0,
        scrap=float(part_share[(jobs["outcome"] == "scrap").to_numpy(dtype=bool)].sum()),
        cost=cost,
    )  # fmt: skip


def _shared(value: pd.Series, share: Floats) -> float | None:
    number = value.to_numpy(dtype=np.float64, na_value=np.nan)
    known = np.isfinite(number)
    return float((number[known] * share[known]).sum()) if known.any() else None
