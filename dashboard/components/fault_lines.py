"""The faults of a month against the usual, and what they took."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from dash import html
from dash.development.base_component import Component

from dashboard.components.aria import aria
from dashboard.components.drawings import fault_picture
from dashboard.components.fold import fold
from dashboard.components.words import could_be, number, percent, plural

if TYPE_CHECKING:
    from analytics.knowledge.model import Knowledge
    from analytics.month.answer import DefectLine, MonthReview

VERDICTS = {"more": "more than usual", "fewer": "fewer than usual", "usual": "as usual"}


def fault_lines(review: MonthReview, knowledge: Knowledge) -> Component:
    """Faults that came up, or came up unusually seldom; the others are only named."""
    told = [line for line in review.defects if line.this_month.count or line.verdict == "fewer"]
    told.sort(key=lambda line: -line.this_month.count)
    quiet = [line.title.lower() for line in review.defects if line not in told]
    # what cannot be judged on so few parts does not stand between the reader and what can
    judged = [line for line in told if line.verdict in VERDICTS]
    few = [line for line in told if line not in judged]
    return html.Section(
        [
            html.H2("Faults, commonest first"),
            _lines(judged, knowledge) if judged else None,
            fold(
                f"{plural(len(few), 'fault')} on too few parts to judge: "
                f"{', '.join(line.title.lower() for line in few)}",
                _lines(few, knowledge),
                on_paper=True,
            )
            if few
            else None,
            None if told else html.P("No fault is written down this month.", className="calm"),
            html.P(f"None of: {', '.join(quiet)}.", className="soft quiet") if quiet else None,
        ]
    )


def _lines(lines: Sequence[DefectLine], knowledge: Knowledge) -> Component:
    return html.Ul([html.Li(_line(line, knowledge)) for line in lines], className="fault-lines")


def _line(line: DefectLine, knowledge: Knowledge) -> Component:
    odd = " odd" if line.verdict in ("more", "fewer") else ""
    verdict = html.Span(VERDICTS.get(line.verdict, line.verdict), className=f"verdict{odd}")
    return html.Article(
        [
            fault_picture(line.defect),
            html.Div(
                [
                    html.H3([line.title, verdict]),
                    html.P(line.text),
                    _members(line, knowledge),
                    _bar(line),
                ]
            ),
        ]
    )


def _members(line: DefectLine, knowledge: Knowledge) -> Component | None:
    names = [
        f"{count} {knowledge.defects[member].title.lower()}"
        for member, count in line.of_which.items()
        if member in knowledge.defects
    ]
    return html.P(f"Of these: {', '.join(names)}", className="soft") if names else None


def _bar(line: DefectLine) -> Component | None:
    now, usual = line.this_month, line.usual
    if now.share is None:
        return None
    marks: list[Any] = [html.Span(className="odds-fill")]
    reach = f"{could_be(now.low, now.high)} in 100".capitalize()
    if usual.share is not None:
        marks.append(html.Span(className="usual-mark"))
        reach += "; the mark is the usual"
    return html.Div(
        [
            html.Div(
                marks,
                className="odds-bar",
                style={"--chance": percent(now.share), "--usual": percent(usual.share or 0.0)},
                **aria(hidden="true"),
            ),
            html.P(f"{reach}.", className="soft"),
        ]
    )


def money(review: MonthReview) -> Component:
    """What the faults took: scrap, hours, cost; what nobody wrote down is said to be so."""
    unknown = "not written down"
    hours, cost = review.rework_hours, review.cost
    rows = (
        ("Scrapped", plural(review.scrap, "part")),
        ("Rework", unknown if hours is None else f"{number(hours, 1)} hours"),
        ("Cost", unknown if cost is None else number(cost)),
    )
    tally = [html.Div([html.Dt(term), html.Dd(told)]) for term, told in rows]
    return html.Section([html.H2("What it took"), html.Dl(tally, className="tally")])
