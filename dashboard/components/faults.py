"""Picking a fault by its picture, and what the trade knows of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.drawings import fault_picture
from dashboard.components.notices import cautions

if TYPE_CHECKING:
    from analytics.knowledge.model import Defect, Knowledge


def gallery(knowledge: Knowledge, link: Callable[[str], str]) -> Component:
    """Every plain fault as a picture to press; `link` says where a fault leads."""
    plain = [defect for defect in knowledge.defects.values() if not defect.members]
    return html.Ul(
        [html.Li(_choice(defect, link(defect.id))) for defect in plain], className="gallery"
    )


def _choice(defect: Defect, href: str) -> Component:
    return dcc.Link([fault_picture(defect.id), html.Strong(defect.title)], href=href)


def fault_sheet(knowledge: Knowledge, defect: Defect) -> Component:
    """One fault from trade knowledge alone: how it looks, its usual causes, what to do."""
    return html.Article(
        [
            html.H2(defect.title),
            pictured(
                defect.id,
                defect.title,
                ("How it looks", defect.look),
                ("This part", defect.this_part),
                ("Next time", defect.prevent),
            ),
            cautions([knowledge.cautions.get(name, name) for name in defect.cautions]),
            html.H3("Usual causes, commonest first"),
            html.Ol(
                [
                    html.Li(_usual(cause.title, cause.what, cause.check_text))
                    for cause in knowledge.causes_of(defect.id)
                ],
                className="usual",
            ),
        ],
        className="fault-sheet",
    )


def _usual(title: str, what: str, check: str) -> list[Component]:
    return [html.Strong(title), html.P(what), html.P(["Check: ", check], className="soft")]


def pictured(defect: str, title: str, *told: tuple[str, str]) -> Component:
    """A fault's drawing beside what there is to say of it: pairs of heading and text."""
    lines = [part for term, text in told for part in (html.Dt(term), html.Dd(text))]
    return html.Div(
        [fault_picture(defect, f"Drawing of {title}"), html.Dl(lines, className="do")],
        className="fault-head",
    )
