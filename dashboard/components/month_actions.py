"""Did it work? What the shop changed, what came of it, and a small form to write down more."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from dash import dcc, html
from dash.development.base_component import Component

from analytics.days import day_words

if TYPE_CHECKING:
    from analytics.knowledge.model import Knowledge
    from analytics.month.answer import MonthReview
    from analytics.month.answer_pieces import Followed

VERDICTS: Mapping[str, str] = {"yes": "Yes", "no": "No", "not yet": "Cannot say yet"}
BOXES = ("what", "since", "hope", "moulds")


def box(name: str) -> dict[str, str]:
    """The id of one box of the form."""
    return {"type": "action-box", "name": name}


def actions(review: MonthReview, knowledge: Knowledge) -> Component:
    """Each change followed, newest first, and the form."""
    told = sorted(review.actions, key=lambda one: one.since, reverse=True)
    lines = html.Ul([html.Li(_followed(one)) for one in told], className="month-actions")
    none = "Nothing is written down that was changed. Write it here, and every month says whether "
    return html.Section(
        [
            html.H2("Did it work?"),
            lines if told else html.P(none + "it worked.", className="calm"),
            html.Details(
                [html.Summary("Write down what was changed"), _form(knowledge)],
                className="fold screen-only",
            ),
        ]
    )


def _followed(one: Followed) -> Component:
    where = f", on {', '.join(one.moulds)}" if one.moulds else ""
    together = None
    if one.together:
        together = html.P(
            f"Changed at the same time: {', '.join(one.together)}. The log cannot tell them apart.",
            className="soft",
        )
    return html.Article(
        [
            html.H3([one.name, html.Span(VERDICTS[one.verdict], className="verdict")]),
            html.P(f"Since {day_words(one.since)}{where}.", className="soft"),
            html.P(one.text),
            together,
            html.Button(
                "Take it back",
                id={"type": "action-withdraw", "name": one.name},
                className="plain small screen-only",
            ),
        ]
    )


def _form(knowledge: Knowledge) -> Component:
    faults = [
        {"label": defect.title, "value": defect.id}
        for defect in sorted(knowledge.defects.values(), key=lambda one: one.title)
    ]
    typed = (
        ("what", "What was changed", "three thin wax coats"),
        ("since", "Since (today if left empty)", "2026-03-01"),
        ("moulds", "On which moulds (all if left empty)", "M01, M02"),
    )
    boxes = [
        html.Label([html.Span(label), _typed(name, hint)], className="box")
        for name, label, hint in typed
    ]
    hope = html.Label(
        [
            html.Span("Hoping for less of (any fault if left empty)"),
            dcc.Dropdown(faults, id=box("hope"), multi=True, placeholder="Any fault"),
        ],
        className="box",
    )
    press = html.Button("Write it down", id={"type": "action-add", "at": "month"})
    return html.Div([*boxes[:2], hope, boxes[2], press], className="action-form")


def _typed(name: str, hint: str) -> Component:
    return dcc.Input(id=box(name), type="text", placeholder=hint, autoComplete="off")
