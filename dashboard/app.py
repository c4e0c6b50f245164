"""The dashboard: one page for each question, in front of one open shop, on this machine only."""

from __future__ import annotations

import logging
from collections.abc import Callable
from datetime import date, datetime
from types import ModuleType
from typing import TYPE_CHECKING

from dash import ClientsideFunction, Dash, Input, Output, dcc, html
from dash.development.base_component import Component

from analytics.days import day_words
from analytics.errors import LaylogError, QuestionError
from dashboard.components.aria import aria
from dashboard.components.notices import sorry
from dashboard.components.words import sentence
from dashboard.guard import BIGGEST_UPLOAD, guard, this_machine
from dashboard.pages import catalyst, cause, home, month, plan, records, settle, write
from dashboard.sharing import SIGN_OUT, ask_for_passphrase, shared_hosts
from dashboard.travelling_light import travel_light
from dashboard.units import speak_units

if TYPE_CHECKING:
    from analytics.shop import Shop

BENCH = (cause, catalyst, plan, write)
"""What is asked with gloves on: always one press away, on a phone too."""
PAGES = (home, *BENCH, month, settle, records)
BY_PATH = {page.PATH: page for page in PAGES}
FRAME = """<!DOCTYPE html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>laylog</title>
<link rel="icon" href="/assets/favicon.svg" type="image/svg+xml">
{%css%}
</head>
<body>
{%app_entry%}
<noscript>laylog needs scripts allowed for this address; they all come from this machine.</noscript>
{%config%}{%scripts%}{%renderer%}
</body>
</html>"""


def nav(pathname: str) -> list[Component]:
    """Links to the questions, the open one marked; the office's also folded up behind More.

    Of the two ways to the office's pages one is ever shown: there is no room for all on a phone.
    """
    rest = [page for page in PAGES if page is not home and page not in BENCH]
    open_rest = next((page for page in rest if pathname == page.PATH), None)
    more = html.Details(
        [
            html.Summary(
                ["More", _unseen(f", {open_rest.SHORT} is open")] if open_rest else "More"
            ),
            html.Ul([html.Li(_rest_link(page, pathname)) for page in rest]),
        ],
        id="rest",
    )
    return [
        *[_entry(page, pathname, "of-bench") for page in BENCH],
        *[_entry(page, pathname, "of-office") for page in rest],
        html.Li(more, className="more-questions here" if open_rest else "more-questions"),
    ]


def _entry(page: ModuleType, pathname: str, css: str) -> Component:
    here = pathname == page.PATH
    words = [page.SHORT, _unseen(", this page")] if here else page.SHORT
    return html.Li(dcc.Link(words, href=page.PATH), className=f"{css} here" if here else css)


def _rest_link(page: ModuleType, pathname: str) -> Component:
    said = f"{page.TITLE} This page." if pathname == page.PATH else page.TITLE
    return dcc.Link([html.Strong(page.SHORT), html.Span(said)], href=page.PATH)


def _unseen(words: str) -> Component:
    return html.Span(words, className="unseen")


def sign_out() -> Component:
    """The button that forgets this browser, on a shared dashboard."""
    return html.Form(
        html.Button("Sign out", type="submit", className="button plain"),
        action=SIGN_OUT,
        method="post",
    )


def shell(today: date, shared: bool = False) -> Component:
    """What stays on the screen from page to page; paper also says which day it was printed."""
    return html.Div(
        [
            dcc.Location(id="address", refresh="callback-nav"),
            dcc.Store(id="written"),
            dcc.Store(id="columns-placed"),
            html.A("Skip to the answer", href="#screen", className="skip"),
            html.Header(
                [
                    dcc.Link([html.Span(className="mark"), "laylog"], href="/", className="brand"),
                    html.Nav(html.Ul(id="questions"), **aria(label="Questions")),
                ],
                className="top",
            ),
            html.Div(id="notice", role="status"),
            html.Main(id="screen", tabIndex="-1"),
            html.Footer(
                [
                    "laylog reads your own job log on this machine. Nothing is sent anywhere. "
                    "Advice, not approval: a competent person decides.",
                    html.Span(f" Printed on {day_words(today)}.", className="paper-only"),
                    sign_out() if shared else None,
                ],
                className="foot",
            ),
            html.Div(id="page-turned", hidden=True),
        ],
        id="shell",
    )


def lost() -> Component:
    """The page for an address that leads nowhere."""
    return html.Section(
        [
            html.H1("There is no page here"),
            dcc.Link("Back to the questions", href="/", className="button"),
        ]
    )


def turn_to(pathname: str | None) -> tuple[Component, list[Component]]:
    """The page at this path, and the links with it marked."""
    page = BY_PATH.get(pathname or "/")
    return (page.layout() if page else lost()), nav(pathname or "/")


def say(error: Exception) -> Component:
    """The sentence shown where an answer would have been."""
    if isinstance(error, QuestionError):
        return sorry(sentence(str(error)), "Could not answer that")
    if isinstance(error, LaylogError):
        return sorry(sentence(str(error)))
    logging.getLogger("laylog").exception("a page failed", exc_info=error)
    return sorry(
        "laylog made a mistake of its own here; your log is untouched. "
        "What went wrong is written in the window laylog was started from."
    )


def create_app(
    shop: Shop, *, clock: Callable[[], datetime], shared: bool = False, names: tuple[str, ...] = ()
) -> Dash:
    """The Dash app for one open shop; every script and style is served from this machine.

    Shared, it answers other machines under this one's address or `names`, and asks every visitor
    for the passphrase. Raises QuestionError where none is set.
    """
    app = Dash(
        "dashboard",
        title="laylog",
        update_title="",
        serve_locally=True,
        index_string=FRAME,
        suppress_callback_exceptions=True,
        on_error=say,
        enable_mcp=False,
    )
    app.layout = lambda: shell(clock().date(), shared)
    app.callback(
        Output("screen", "children"),
        Output("questions", "children"),
        Input("address", "pathname"),
    )(turn_to)
    app.clientside_callback(
        ClientsideFunction("laylog", "turned"),
        Output("page-turned", "children"),
        Input("screen", "children"),
    )
    app.clientside_callback(
        ClientsideFunction("laylog", "hush"),
        Output("notice", "children"),
        Input("address", "href"),
        prevent_initial_call=True,
    )
    for page in PAGES:
        page.register(app, shop)
    # what is registered first has the last word on an answer
    travel_light(app.server)
    speak_units(app.server, shop)
    guard(app.server, app.csp_hashes(), shared_hosts(names) if shared else this_machine)
    if shared:
        ask_for_passphrase(app.server, shop)
    return app


def serve(app: Dash, host: str = "127.0.0.1", port: int = 8050) -> None:
    """Serve the dashboard until stopped, by a server fit for daily use."""
    from waitress import serve as wait

    wait(
        app.server,
        host=host,
        port=port,
        threads=8,
        ident=None,
        max_request_body_size=BIGGEST_UPLOAD,
    )
