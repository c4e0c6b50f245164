"""A month beside other months, what likely causes took, and the charts that fit small counts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from dash import html
from dash.development.base_component import Component

from analytics.figures.month_charts import control
from dashboard.components.aria import aria
from dashboard.components.charts import chart
from dashboard.components.fold import fold
from dashboard.components.tables import table
from dashboard.components.words import number, percent, plural, sentence

if TYPE_CHECKING:
    from analytics.month.answer import MonthReview
    from analytics.month.answer_pieces import CauseLine

LEAST_EXPECTED = 0.5
MOST_CAUSES, IN_SIGHT = 8, 3
UNKNOWN = "not written"
CHART_WORDS = {
    "u": "Faults counted on every part, month by month.",
    "cusum": "Each month adds what was found beyond the expected; a steady climb is a change.",
    "individuals": "One reading for each half month, with mould and weather allowed for.",
    "moving-range": "How far it jumps from one half month to the next.",
    "g": "Too rare to count by the month: good parts made between two. Low is bad.",
    "t": "The same in days. Low is bad.",
}


def totals(review: MonthReview) -> Component | None:
    """Parts, good share, scrap, hours and cost beside other months."""
    if not review.totals:
        return None
    rows = [
        (
            one.period,
            f"{one.parts:.0f}",
            UNKNOWN if one.good.share is None else f"{100 * one.good.share:.0f} in 100",
            *(UNKNOWN if v is None else number(v, 1) for v in (one.scrap, one.rework_hours)),
            UNKNOWN if one.cost is None else number(one.cost, 0),
        )
        for one in review.totals
    ]
    heads = ("Month", "Parts", "Good", "Scrapped", "Rework, hours", "Cost")
    return html.Section(
        [
            html.H2("Beside other months"),
            table("A usual month is the mean of those before", heads, rows, css="stacked"),
        ]
    )


def causes(review: MonthReview) -> Component | None:
    """What each likely cause brought, as bars with their 90 % bounds."""
    told = [line for line in review.causes if line.expected >= LEAST_EXPECTED][:MOST_CAUSES]
    if not told:
        return None
    faults = max(1, told[0].faults)
    return html.Section(
        [
            html.H2("What brought them, most likely"),
            html.P(
                f"{plural(faults, 'fault')} written down, shared out over what likely "
                "brought each. The thin line is where 9 chances in 10 lie, the mark a usual month.",
                className="soft",
            ),
            _lines(told[:IN_SIGHT], faults),
            fold(
                f"{plural(len(told) - IN_SIGHT, 'more cause')}, each behind fewer faults",
                _lines(told[IN_SIGHT:], faults),
                on_paper=True,
            )
            if told[IN_SIGHT:]
            else None,
        ]
    )


def _lines(lines: Sequence[CauseLine], faults: int) -> Component:
    return html.Ul([html.Li(_cause(line, faults)) for line in lines], className="month-causes")


def _cause(line: CauseLine, faults: int) -> Component:
    took = [
        f"{number(line.expected, 1)} of {faults} faults, could be {line.low:.0f} to {line.high:.0f}"
    ]
    if line.usual is not None:
        took.append(f"usually {number(line.usual, 1)}")
    if line.rework_hours:
        took.append(f"{number(line.rework_hours, 1)} hours of rework")
    if line.scrap >= 0.05:
        took.append(f"{number(line.scrap, 1)} scrapped")
    if line.cost:
        took.append(f"cost {number(line.cost, 0)}")
    marks: list[Any] = [html.Span(className="odds-fill"), html.Span(className="odds-span")]
    if line.usual is not None:
        marks.append(html.Span(className="usual-mark"))
    style = {
        "--chance": percent(line.expected / faults),
        "--low": percent(line.low / faults),
        "--high": percent(line.high / faults),
        "--usual": percent((line.usual or 0.0) / faults),
    }
    return html.Div(
        [
            html.H3(line.title),
            html.Div(marks, className="odds-bar", style=style, **aria(hidden="true")),
            html.P(sentence("; ".join(took)) + ".", className="soft"),
        ]
    )


def control_charts(review: MonthReview) -> Component | None:
    """The other control charts, folded away; which rule fired stands in each title."""
    if not review.charts:
        return None
    fired = sum(one.fired for one in review.charts)
    about = f"More charts ({fired} with a rule that fired)" if fired else "More charts"
    drawn = [
        html.Div(
            [
                chart(f"month-control-{at}", control(one)),
                html.P(f"{CHART_WORDS[one.kind]} {sentence(one.base)}.", className="soft"),
            ],
            className="chart-block",
        )
        for at, one in enumerate(review.charts)
    ]
    return fold(about, html.Div(drawn), css="month-charts")
