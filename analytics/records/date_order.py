"""Which of the figures of a date is the day: one answer for a whole column, with its reason."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from analytics.records.dates import ORDERS, DateText, Order, from_figures, make_date


@dataclass(frozen=True)
class OrderChoice:
    """The order dates of a column are read in, why, and whether that is certain."""

    order: Order
    why: str
    certain: bool


def choose_order(
    dates: Sequence[DateText | None],
    months: Sequence[tuple[int, ...]],
    told: Order | None,
    today: dt.date,
) -> OrderChoice | None:
    """The one order for a column, its dates given from top to bottom; None when none is open.

    `months` gives per row the months named by its sheet; `told` is an order the heading states.
    """
    open_dates = [d for d in dates if d and d.figures]
    if not open_dates:
        return None
    if told:
        return OrderChoice(told, "the heading says so", certain=True)
    possible = _possible(open_dates, today)
    if len(possible) == 1:
        example = _telling(open_dates, possible[0])
        why = f"{example} can only be read that way" if example else "nothing else is a date"
        return OrderChoice(possible[0], why, certain=True)
    fitting = _by_sheet_month(dates, months, possible)
    if fitting:
        return OrderChoice(fitting, "it fits the months the sheets are named for", certain=False)
    steady = _by_steadiness(dates, possible)
    if steady:
        return OrderChoice(steady, "the dates then run on from row to row", certain=False)
    return OrderChoice(possible[0], "nothing in the log says otherwise", certain=False)


def _possible(dates: Sequence[DateText], today: dt.date) -> list[Order]:
    """Orders under which the most dates are days that have been; one wrong date outvotes none."""

    def misses(order: Order) -> int:
        made = [from_figures(d.figures or (), order, today.year) for d in dates]
        return sum(
            day is None or (day > today and len(d.figures or ()) == 3)
            for day, d in zip(made, dates, strict=True)
        )

    wrong = {order: misses(order) for order in ORDERS}
    if all(len(d.figures or ()) == 2 for d in dates):
        wrong.pop("ymd")
    least = min(wrong.values())
    kept = [order for order in wrong if wrong[order] == least]
    if "ymd" in kept and len(kept) > 1:
        kept.remove("ymd")
    return kept


def _telling(dates: Sequence[DateText], order: Order) -> str | None:
    for date in dates:
        figures = date.figures or ()
        if len(figures) == 3 and max(figures[:2]) > 12:
            return "/".join(str(figure) for figure in figures)
    return None


def _by_sheet_month(
    dates: Sequence[DateText | None], months: Sequence[tuple[int, ...]], possible: Sequence[Order]
) -> Order | None:
    hits = dict.fromkeys(possible, 0)
    for date, named in zip(dates, months, strict=True):
        if date and date.figures and named:
            for order in possible:
                made = from_figures(date.figures, order, 2000)
                hits[order] += made is not None and made.month in named
    ranked = sorted(hits, key=lambda order: -hits[order])
    return ranked[0] if len(ranked) > 1 and hits[ranked[0]] > 2 * hits[ranked[1]] else None


def _by_steadiness(dates: Sequence[DateText | None], possible: Sequence[Order]) -> Order | None:
    """The order that makes the rows run on without jumps, when it is clearly the better."""
    jumps = {order: _jumps(dates, order) for order in possible}
    ranked = sorted(jumps, key=lambda order: jumps[order])
    if len(ranked) > 1 and jumps[ranked[1]] > 2 * jumps[ranked[0]] + 30:
        return ranked[0]
    return None


def _jumps(dates: Sequence[DateText | None], order: Order) -> int:
    total, last = 0, None
    for date in dates:
        made = _any_date(date, order) if date else None
        if made and last:
            total += abs((made - last).days)
        last = made or last
    return total


def _any_date(date: DateText, order: Order) -> dt.date | None:
    if date.known:
        return make_date(*date.known)
    return from_figures(date.figures, order, None) if date.figures else None
