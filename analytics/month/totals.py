"""What the month made and lost, beside last month, the same month a year ago and a usual month."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from analytics.month.answer_pieces import Totals
from analytics.month.results import Bools, Results
from analytics.month.summary import good_share, rework_hours, scrapped, total

USUAL_MONTHS = 12


def totals(results: Results) -> tuple[Totals, ...]:
    """This month, last month, the same month a year ago, and the mean of the twelve before."""
    return tuple(
        _totals(results, parts, period) for period, parts in periods(results) if parts.any()
    )


def periods(results: Results) -> Iterator[tuple[str, Bools]]:
    """(period in words, its parts) of everything a month is held against; the usual comes last."""
    month, back = results.month, results.months_back
    yield month.title, back == 0
    yield month.back(1).title, back == 1
    yield month.back(12).title, back == 12
    yield f"a usual month (mean of up to {USUAL_MONTHS})", (back > 0) & (back <= USUAL_MONTHS)


def months_of(results: Results, parts: Bools) -> int:
    """How many months these parts were made in."""
    return int(np.unique(results.months_back[parts]).size)


def _totals(results: Results, parts: Bools, period: str) -> Totals:
    months = months_of(results, parts)
    hours, cost = rework_hours(results, parts), total(results, parts, "cost")
    told = bool((parts & results.looked).any())
    return Totals(
        period=period, months=months, parts=int(parts.sum()) / months,
        good=good_share(results, parts),
        scrap=scrapped(results, parts) / months if told else None,
        rework_hours=None if hours is None else hours / months,
        cost=None if cost is None else cost / months,
    )  # fmt: skip
