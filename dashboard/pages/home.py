"""The first page: the moulder's questions as large buttons, and the latest failures."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from dash import Dash, dcc, html
from dash.development.base_component import Component

from dashboard.binding import follow_address
from dashboard.components.drawings import icon
from dashboard.components.parts import part_list
from dashboard.components.teach import no_log
from dashboard.state import Query

if TYPE_CHECKING:
    from analytics.shop import Shop

PATH, TITLE, SHORT = "/", "What do you want to know?", "Questions"
LATEST = 4
QUESTIONS = (
    ("cause", "/cause", "Why did this part fail?", "Likely causes, and the check that settles it"),
    ("month", "/month", "How did the month go?", "Good parts, faults, and what stands out"),
    ("catalyst", "/catalyst", "How much catalyst today?", "For this pot, this cold or this heat"),
    ("records", "/records", "Bring in or look through the log", "Drop a file; see what was read"),
)


def layout() -> Component:
    """The questions at once; what the log adds follows."""
    return html.Div(
        [
            html.H1(TITLE),
            html.Ul(
                [html.Li(_question(*question)) for question in QUESTIONS], className="questions"
            ),
            html.Div(id="home-log"),
        ],
        className="home",
    )


def _question(sign: str, path: str, words: str, more: str) -> Component:
    return dcc.Link([icon(sign), html.Span([html.Strong(words), html.Span(more)])], href=path)


def latest(shop: Shop, _query: Query) -> Component:
    """The newest failures, or what to do while there is no log."""
    if shop.log().parts.empty:
        return no_log(
            "records",
            "laylog knows the trade already: every fault, its usual causes and "
            "the bench check for each, and a first catalyst figure. With your own log "
            "it can say which cause it was here.",
        )
    failed = shop.failed_parts()[:LATEST]
    if not failed:
        return html.P("No part in the log has a fault written down.", className="soft")
    return html.Section(
        [
            html.H2("Latest failures"),
            part_list(failed, shop.knowledge),
        ]
    )


def register(app: Dash, shop: Shop) -> None:
    follow_address(app, PATH, "home-log", partial(latest, shop))
