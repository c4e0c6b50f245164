"""Parts, good share, rework, scrap, cost and defects of one month, against the months before."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from analytics.knowledge.model import Knowledge
from analytics.month.answer import (
    NOT_ENOUGH,
    Against,
    Comparison,
    DefectLine,
    Share,
    Verdict,
)
from analytics.month.results import Bools, Results
from analytics.month.spells import exact_p, share_of
from analytics.month.words import counts_words, defect_title, percent
from analytics.stats.differences import newcombe
from analytics.stats.multiple import benjamini_hochberg

LEAST_NOW = 10
LEAST_BEFORE = 20
FALSE_DISCOVERY = 0.05
NOTICEABLE = 3
"""A line that could not even show so many times the usual cannot call itself usual."""


def good_share(results: Results, parts: Bools) -> Share:
    """Parts written good out of those with a result; unknown is never good."""
    return share_of(~results.faulty[parts & results.looked])


def total(results: Results, parts: Bools, field: str) -> float | None:
    """Sum of a figure over these parts; None where nobody logged it on any."""
    value = results.jobs[field][parts]
    return float(value.sum()) if value.notna().any() else None


def rework_hours(results: Results, parts: Bools) -> float | None:
    """Hours of rework written on these parts; None where nobody wrote any."""
    minutes = total(results, parts, "rework_min")
    return None if minutes is None else minutes / 60.0


def scrapped(results: Results, parts: Bools) -> int:
    """How many of these parts were written as scrap."""
    return int((results.jobs["outcome"][parts] == "scrap").sum())


def comparisons(results: Results) -> tuple[Comparison, ...]:
    """The good share against last month, the same month a year ago and all earlier months."""
    month, back = results.month, results.months_back
    periods: tuple[tuple[str, Bools], ...] = (
        (month.back(1).title, back == 1),
        (month.back(12).title, back == 12),
        ("all earlier months", back > 0),
    )
    now = good_share(results, results.this_month)
    return tuple(_compared(now, good_share(results, parts), name) for name, parts in periods)


def _compared(now: Share, then: Share, period: str) -> Comparison:
    if now.share is None or then.share is None:
        whose = "this month" if now.share is None else period
        text = f"Against {period}: {NOT_ENOUGH} (no results written {_when(whose)})."
        return Comparison(period, then, None, None, None, NOT_ENOUGH, text)
    low, high = newcombe(now.count, now.out_of, then.count, then.out_of)
    figures = f"good {percent(then.share)} ({counts_words(then)}) then"
    if now.out_of < LEAST_NOW or then.out_of < LEAST_NOW:
        text = f"Against {period}: {figures}; {NOT_ENOUGH}."
        return Comparison(period, then, now.share - then.share, low, high, NOT_ENOUGH, text)
    verdict: Against = "better" if low > 0 else "worse" if high < 0 else "no clear difference"
    text = f"Against {period}: {figures}; {verdict}."
    return Comparison(period, then, now.share - then.share, low, high, verdict, text)


def _when(period: str) -> str:
    return period if period in ("this month", "all earlier months") else f"in {period}"


def defect_lines(results: Results, knowledge: Knowledge) -> tuple[DefectLine, ...]:
    """One line for each defect the log ever named, the commonest of the month first."""
    now = results.looked & results.this_month
    before = results.looked & ~results.this_month
    counts = [
        (defect, share_of(results.column(defect)[now]), share_of(results.column(defect)[before]))
        for defect in results.defects
    ]
    p_values = [_exact_p(this, usual) for _, this, usual in counts]
    q_values = benjamini_hochberg([np.nan if p is None else p for p in p_values])
    lines = [
        _line(results, knowledge, defect, this, usual, p_value, float(q_value))
        for (defect, this, usual), p_value, q_value in zip(counts, p_values, q_values, strict=True)
    ]
    return tuple(sorted(lines, key=lambda line: (-line.this_month.count, line.title)))


def _exact_p(now: Share, usual: Share) -> float | None:
    """Fisher's exact P that the month is like the months before; None with too few jobs."""
    if now.out_of < LEAST_NOW or usual.out_of < LEAST_BEFORE:
        return None
    return exact_p(now, usual)


def _line(
    results: Results, knowledge: Knowledge, defect: str,
    now: Share, usual: Share, p_value: float | None, q_value: float,
) -> DefectLine:  # fmt: skip
    hit = results.this_month & results.column(defect)
    verdict = _verdict(now, usual, p_value, q_value)
    return DefectLine(
        defect=defect, title=defect_title(defect, knowledge), this_month=now, usual=usual,
        verdict=verdict, p_value=p_value, q_value=None if p_value is None else q_value,
        text=_line_text(now, usual, verdict), of_which=_members(results, defect, hit),
        rework_hours=rework_hours(results, hit), scrap=scrapped(results, hit),
        cost=total(results, hit, "cost"),
    )  # fmt: skip


def _verdict(now: Share, usual: Share, p_value: float | None, q_value: float) -> Verdict:
    if p_value is None:
        return NOT_ENOUGH
    if q_value <= FALSE_DISCOVERY:
        return "more" if (now.share or 0.0) > (usual.share or 0.0) else "fewer"
    expected = (usual.share or 0.0) * now.out_of
    worse = min(now.out_of, max(1, round(NOTICEABLE * expected)))
    noticed = exact_p(Share(worse, now.out_of), usual, more=True) <= FALSE_DISCOVERY
    return "usual" if noticed else NOT_ENOUGH


def _line_text(now: Share, usual: Share, verdict: Verdict) -> str:
    if now.share is None:
        return f"no results written this month: {NOT_ENOUGH}"
    this = f"{counts_words(now)} ({percent(now.share)})"
    if usual.share is None:
        return f"{this}; no results from the months before to compare with"
    then = f"usually {percent(usual.share)} ({counts_words(usual)})"
    says = {"more": "more than usual", "fewer": "fewer than usual", "usual": "as usual"}
    return f"{this}, {then}: {says.get(verdict, NOT_ENOUGH)}"


def _members(results: Results, defect: str, hit: Bools) -> Mapping[str, int]:
    """How a group's faults were written this month, member by member; empty for a plain defect."""
    lines = results.written[results.written["line"] == defect]
    counts = lines["defect"][hit[lines["position"].to_numpy(dtype=np.intp)]].value_counts()
    members = {str(name): int(count) for name, count in counts.items()}
    return members if set(members) - {defect} else {}
