"""The first page: the moulder's questions as large buttons, and what the log has waiting."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from dash import Dash, dcc, html
from dash.development.base_component import Component

from analytics.days import day_words
from dashboard.binding import follow_address
from dashboard.components.aria import aria
from dashboard.components.drawings import icon
from dashboard.components.parts import part_list
from dashboard.components.teach import no_log
from dashboard.components.words import plural
from dashboard.finding import find_unwritten
from dashboard.state import Query, address

if TYPE_CHECKING:
    from analytics.shop import Shop

PATH, TITLE, SHORT = "/", "What do you want to know?", "Questions"
LATEST, UNWRITTEN = 4, 6
AT_BENCH = (
    ("cause", "/cause", "Why did this part fail?", "Likely causes, and the check that settles it"),
    ("catalyst", "/catalyst", "How much catalyst today?", "For this pot, this cold or this heat"),
    ("plan", "/plan", "Plan the day", "What to weigh out, and every step by the clock"),
    ("write", "/write", "Write it down", "A job, a mix, a cup test or a fault, in a few presses"),
)
IN_OFFICE = (
    ("month", "/month", "How did the month go?", "Good parts, faults, and what stands out"),
    ("settle", "/settle", "Settle it", "One way or the other, by your own log"),
    ("records", "/records", "Bring in or look through the log", "Drop a file; see what was read"),
)


def layout() -> Component:
    """The questions at once; what the log adds follows."""
    return html.Div(
        [
            html.H1(TITLE),
            _questions(AT_BENCH, "questions", "At the bench"),
            _questions(IN_OFFICE, "questions in-office", "In the office"),
            html.Div(id="home-log"),
        ],
        className="home",
    )


def _questions(asked: tuple[tuple[str, ...], ...], css: str, where: str) -> Component:
    return html.Ul(
        [html.Li(_question(*question)) for question in asked], className=css, **aria(label=where)
    )


def _question(sign: str, path: str, words: str, more: str) -> Component:
    return dcc.Link([icon(sign), html.Span([html.Strong(words), html.Span(more)])], href=path)


def latest(shop: Shop, _query: Query) -> Component:
    """What waits in the log, or what to do while there is none."""
    jobs = shop.jobs()
    if jobs.empty:
        return no_log(
            "home",
            "laylog knows the trade already: every fault with its usual causes and the bench check "
            "for each, a first catalyst figure, a plan for a part of any size. With your own log "
            "it can say which cause it was here.",
        )
    return html.Div([_failures(shop), _unwritten(shop), _extent(shop)], className="home-log")


def _failures(shop: Shop) -> Component:
    failed = shop.failed_parts()[:LATEST]
    if not failed:
        return html.P("No part in the log has a fault written down.", className="soft")
    return html.Section([html.H2("Latest failures"), part_list(failed, shop.knowledge)])


def _unwritten(shop: Shop) -> Component | None:
    """The newest parts without a result, each leading to the box for it."""
    parts, count = find_unwritten(shop, UNWRITTEN)
    if not parts:
        return None
    fix = [
        dcc.Link(part, href=address("/records", part=part, fix=f"{part}|outcome"), className="chip")
        for part in parts
    ]
    return html.Section(
        [
            html.H2("How did these come out?"),
            html.P(
                f"{plural(count, 'part has', 'parts have')} no result written down, and a blank is "
                f"not counted as good. {'The newest:' if count > len(parts) else ''}"
            ),
            html.Div(fix, className="chips"),
        ],
        className="home-unwritten",
    )


def _extent(shop: Shop) -> Component:
    jobs = shop.jobs()
    days = jobs["date"].dropna()
    told = f"In the log: {plural(len(jobs), 'part')}"
    if not days.empty:
        told += f", {day_words(days.min().date())} to {day_words(days.max().date())}"
    return html.P(f"{told}.", className="soft")


def register(app: Dash, shop: Shop) -> None:
    follow_address(app, PATH, "home-log", partial(latest, shop))
