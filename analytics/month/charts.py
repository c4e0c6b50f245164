"""Control charts that fit small counts, each where it fits, with limits frozen from a stated base.

Faults per part (u), the sum of what was found beyond the expected (CUSUM) of one defect, single
readings and their steps (individuals, moving range) of one process figure, and for a defect too
rare to count by the month the good parts (g) and the days (t) from one to the next.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from analytics.days import day_words
from analytics.knowledge.model import Knowledge
from analytics.month.answer import Signal
from analytics.month.answer_pieces import ChartKind, ControlChart, ControlPoint
from analytics.month.chart import BASE_MONTHS, LEAST_BASE, SHOWN_MONTHS
from analytics.month.process import FIGURES, process_figure
from analytics.month.results import ANY_FAULT, Results
from analytics.month.spells import EPOCH
from analytics.month.usual import Usual
from analytics.month.words import defect_title, field_words, upper_first
from analytics.saying import apart
from analytics.stats.control import Chart, individuals, moving_ranges, u_chart
from analytics.stats.drift import cusum
from analytics.stats.rare import g_chart, plain_time, t_chart
from analytics.stats.run_rules import beyond, broken_rules, same_side, some_beyond

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

RARE = 0.02
"""Below this share of the parts a defect is charted by what lies between two of it."""
LEAST_GAPS = 6
SHOWN_GAPS, BASE_GAPS = 30, 20
SHOWN_SPELLS = 36
SLACK_SIGMAS, LIMIT_SIGMAS = 0.5, 5.0
"""A CUSUM of these cries wolf once in 465 points (Lucas & Saccucci 1990)."""

Rules = Mapping[str, Callable[[Floats], Bools]]
RULES: Rules = {
    "beyond the limits": beyond,
    "8 points in a row on one side of the usual": partial(same_side, count=8),
    "2 of the last 3 points far out on one side": partial(some_beyond, need=2, of=3, sigmas=2.0),
}
ONE_POINT: Rules = {"beyond the limits": beyond}
QUIET = "no rule fired: the ordinary ups and downs"


def control_charts(
    results: Results, usual: Usual, signals: Sequence[Signal], knowledge: Knowledge
) -> tuple[ControlChart, ...]:
    """The charts that fit this log: what stands out is charted first."""
    return (
        *_faults_per_part(results),
        *_summed(results, usual, signals, knowledge),
        *_readings(results, signals),
        *_between(results, signals, knowledge),
    )


def _by_month(results: Results, weights: Floats) -> Floats:
    back = results.months_back
    shown = min(SHOWN_MONTHS, int(back.max()) + 1)
    near = back < shown
    counted = np.bincount(back[near], weights=weights[near], minlength=shown)
    return counted[::-1].astype(np.float64)


def _months(results: Results, count: int) -> list[str]:
    return [results.month.back(back).key for back in range(count - 1, -1, -1)]


def _base(made: Floats) -> Bools | None:
    """The first twelve months shown that have results, never the last one; None for too few."""
    told = np.flatnonzero(made[:-1] > 0)[:BASE_MONTHS]
    if len(told) < LEAST_BASE:
        return None
    base = np.zeros(len(made), dtype=bool)
    base[told] = True
    return base


def _faults_per_part(results: Results) -> Iterator[ControlChart]:
    made = _by_month(results, results.looked.astype(np.float64))
    found = _by_month(results, results.found.sum(axis=1).astype(np.float64))
    base = _base(made)
    if base is None or found[base].sum() == 0:
        return
    drawn = u_chart(found, made, base)
    labels = _months(results, len(made))
    yield _chart("u", ANY_FAULT, "Faults per part", "faults a part", labels, drawn, base)


def _summed(
    results: Results, usual: Usual, signals: Sequence[Signal], knowledge: Knowledge
) -> Iterator[ControlChart]:
    """Found beyond expected, added up, of the defect that stands out most or is commonest."""
    told = [s.defect for s in signals if s.kind == "defect" and s.defect is not None]
    now = results.this_month & results.looked
    if not results.defects or not now.any():
        return
    commonest = results.defects[int(results.found[now].sum(axis=0).argmax())]
    defect = told[0] if told else commonest
    looked = results.looked.astype(np.float64)
    found = _by_month(results, results.column(defect).astype(np.float64))
    expected = _by_month(results, usual[defect] * looked)
    base = _base(_by_month(results, looked))
    if base is None or found[base].sum() == 0:
        return
    expected *= found[base].sum() / expected[base].sum()
    known = expected > 0
    z = np.full(len(found), np.nan)
    z[known] = (found[known] - expected[known]) / np.sqrt(expected[known])
    sums = cusum(z, 0.0, SLACK_SIGMAS, LIMIT_SIGMAS)
    title = f"{upper_first(defect_title(defect, knowledge))}: found beyond expected, added up"
    labels, fired = _months(results, len(found)), sums.above
    rule = "the sum of what was too many is beyond its limit" if fired[-1] else QUIET
    yield ControlChart(
        kind="cusum", subject=defect, title=title, unit="standard deviations",
        base=_base_words(labels, base), rule=rule, fired=bool(fired[-1]), centre=0.0,
        points=tuple(
            ControlPoint(label, float(value), None, LIMIT_SIGMAS, bool(hit), bool(inside))
            for label, value, hit, inside in zip(labels, sums.high, fired, base, strict=True)
        ),
    )  # fmt: skip


def _readings(results: Results, signals: Sequence[Signal]) -> Iterator[ControlChart]:
    """Half-month middles of the process figure that moved most, or of the first one kept."""
    moved = [signal.subject for signal in signals if signal.kind == "process"]
    for field in (*moved, *FIGURES):
        figure = process_figure(results, field) if field in results.jobs else None
        if figure is None or figure.two_valued or len(figure.medians) <= 2 * LEAST_BASE:
            continue
        values = figure.medians[-SHOWN_SPELLS:]
        base = np.zeros(len(values), dtype=bool)
        base[: min(2 * BASE_MONTHS, len(values) - 1)] = True
        labels = [_half_words(results, back) for back in figure.back[-SHOWN_SPELLS:]]
        name, unit = field_words(field)
        name = upper_first(name)
        if np.ptp(values[base]) == 0.0:
            continue
        one = individuals(values, base)
        yield _chart("individuals", field, f"{name}, middle of each half month", unit, labels, one,
                     base, RULES)  # fmt: skip
        steps = moving_ranges(values, base)
        yield _chart("moving-range", field, f"{name}, step from half month to half month",
                     apart(unit), labels, steps, base)  # fmt: skip
        return


def _half_words(results: Results, back: int) -> str:
    half = "late" if back % 2 == 0 else "early"
    return f"{half} {results.month.back(back // 2).key}"


def _between(
    results: Results, signals: Sequence[Signal], knowledge: Knowledge
) -> Iterator[ControlChart]:
    """Good parts and days between two of a rare defect: one that stands out, or was seen last."""
    looked = np.flatnonzero(results.looked)
    if not len(looked):
        return
    found = results.found[looked]
    rare = [
        (bool(_stands_out(defect, signals)), int(np.flatnonzero(found[:, at]).max()), defect, at)
        for at, defect in enumerate(results.defects)
        if LEAST_GAPS < found[:, at].sum() < RARE * len(looked)
    ]
    if not rare:
        return
    *_, defect, at = max(rare)
    hits = np.flatnonzero(found[:, at])[-SHOWN_GAPS - 1 :]
    days = results.day[looked[hits]]
    name = upper_first(defect_title(defect, knowledge))
    labels = [day_words(EPOCH + np.timedelta64(int(day), "D").item()) for day in days[1:]]
    base = np.zeros(len(labels), dtype=bool)
    base[: min(BASE_GAPS, len(labels) - 1)] = True
    good = np.diff(hits) - 1.0
    since = len(looked) - 1 - int(hits[-1])
    title = f"{name}: good parts from one to the next ({since:,} since the last)"
    yield _chart("g", defect, title, "good parts", labels, g_chart(good, base), base, RULES)
    waited = t_chart(np.diff(days).astype(np.float64), base)
    title = f"{name}: days from one to the next"
    yield _chart("t", defect, title, "days", labels, waited, base, RULES, plain_time)


def _stands_out(defect: str, signals: Sequence[Signal]) -> bool:
    return any(signal.kind == "defect" and signal.defect == defect for signal in signals)


def _chart(
    kind: ChartKind, subject: str, title: str, unit: str, labels: Sequence[str], drawn: Chart,
    base: Bools, rules: Rules = ONE_POINT, back: Callable[[Floats], Floats] = np.asarray,
) -> ControlChart:  # fmt: skip
    """A chart of the stats as an answer; `back` turns its scale into the unit people read."""
    flags = {**broken_rules(drawn.z, rules), "beyond the limits": drawn.beyond}
    hit = np.any(list(flags.values()), axis=0)
    last = [name for name, flag in flags.items() if flag[-1]]
    side = "above" if drawn.values[-1] > drawn.centre[-1] else "below"
    rule = f"{' and '.join(last)}, {side} the usual" if last else QUIET
    value, low, high, centre = (
        back(row) for row in (drawn.values, drawn.low, drawn.high, drawn.centre)
    )
    nought = kind in ("g", "t", "u", "moving-range")
    return ControlChart(
        kind=kind, subject=subject, title=title, unit=unit, base=_base_words(labels, base),
        rule=rule, fired=bool(last), centre=float(centre[-1]), good_is_high=kind in ("g", "t"),
        points=tuple(
            ControlPoint(
                label, _known(value[i]), None if nought and low[i] <= 0 else _known(low[i]),
                _known(high[i]), bool(hit[i]), bool(base[i]),
            )
            for i, label in enumerate(labels)
        ),
    )  # fmt: skip


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def _base_words(labels: Sequence[str], base: Bools) -> str:
    within = [label for label, inside in zip(labels, base, strict=True) if inside]
    return f"limits from {len(within)} points, {within[0]} to {within[-1]}"
