"""The p chart of faulty parts by month, its limits frozen from a stated base period.

Where the base months differ more than luck makes them (Pearson's test), the limits are Laney's
p', which also hold the ordinary drift between months.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analytics.month.answer import Chart, ChartPoint, Share
from analytics.month.results import Results
from analytics.month.spells import share
from analytics.stats.control import Chart as Limits
from analytics.stats.control import laney_p_chart, overdispersion, p_chart
from analytics.stats.run_rules import same_side

SHOWN_MONTHS = 24
BASE_MONTHS = 12
LEAST_BASE = 6
RUN_MONTHS = 8
WIDER_P = 0.05
NO_BASE = f"no limits: they need {LEAST_BASE} earlier months with results"


def faulty_chart(results: Results) -> Chart:
    """Faulty share of each of the last 24 months, limits from the earliest 12 (at least 6).

    The month asked about is never part of its own base, and the base does not move while a month
    is looked at again: a bad run cannot widen the limits it is judged by.
    """
    shown = min(SHOWN_MONTHS, int(results.months_back.max()) + 1)
    back = np.arange(shown)[::-1]
    faulty, looked, parts = (_per_month(results, mask, shown) for mask in _masks(results))
    base = _base(looked)
    widened = _wider_than_luck(faulty[base], looked[base])
    limits = None
    if base.any() and looked[base].sum():
        limits = (laney_p_chart if widened else p_chart)(faulty, looked, base)
    points = tuple(
        _point(results, int(months), int(parts[at]), share(int(faulty[at]), int(looked[at])),
               limits, at, bool(base[at]))
        for at, months in enumerate(back)
    )  # fmt: skip
    if limits is None:
        return Chart(None, None, None, NO_BASE, points)
    within = [point.month for point in points if point.in_base]
    ran = bool(same_side(limits.z, RUN_MONTHS)[-1])
    rule = _rule(points[-1], ran, float(limits.z[-1]))
    return Chart(float(limits.centre[0]), within[0], within[-1], rule, points, widened)


def _masks(results: Results) -> tuple[NDArray[np.bool_], ...]:
    return results.faulty, results.looked, np.ones(len(results.jobs), dtype=bool)


def _per_month(results: Results, mask: NDArray[np.bool_], shown: int) -> NDArray[np.int64]:
    back = results.months_back[mask]
    return np.bincount(back[back < shown], minlength=shown)[::-1]


def _base(looked: NDArray[np.int64]) -> NDArray[np.bool_]:
    """The first 12 months shown that have results, the last one shown excepted; or none."""
    told = np.flatnonzero(looked[:-1] > 0)[:BASE_MONTHS]
    base = np.zeros(len(looked), dtype=bool)
    if len(told) >= LEAST_BASE:
        base[told] = True
    return base


def _point(
    results: Results, months: int, parts: int, faulty: Share,
    limits: Limits | None, at: int, in_base: bool,
) -> ChartPoint:  # fmt: skip
    key = results.month.back(months).key
    if limits is None or faulty.share is None:
        return ChartPoint(key, parts, faulty, None, None, False, in_base)
    low, high = float(limits.low[at]), float(limits.high[at])
    return ChartPoint(key, parts, faulty, low, high, bool(limits.beyond[at]), in_base)


def _wider_than_luck(faulty: NDArray[np.int64], looked: NDArray[np.int64]) -> bool:
    told = looked > 0
    if told.sum() < LEAST_BASE or not 0 < faulty[told].sum() < looked[told].sum():
        return False
    return overdispersion(faulty[told], looked[told]).p_value < WIDER_P


def _rule(last: ChartPoint, ran: bool, z: float) -> str:
    if last.beyond and last.faulty.share is not None and last.high is not None:
        side = "above the upper" if last.faulty.share > last.high else "below the lower"
        return f"one month strictly beyond 3-sigma limits: {side} limit"
    if ran:
        return f"{RUN_MONTHS} months in a row {'above' if z > 0 else 'below'} the usual"
    return "inside the limits: nothing beyond the shop's ordinary ups and downs"
