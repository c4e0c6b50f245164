"""How did the month go: good share, faults, what stands out, day by day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from dash import ALL, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component
from flask import Response, request

from analytics.days import MONTHS, day_words, month_words
from analytics.errors import QuestionError
from analytics.figures import month as figures
from analytics.figures.month_weather import weather
from dashboard.binding import follow_address, tell
from dashboard.components.aria import aria
from dashboard.components.charts import chart
from dashboard.components.fault_lines import fault_lines, money
from dashboard.components.month_actions import actions
from dashboard.components.month_more import causes, control_charts, totals
from dashboard.components.notices import done, doubts, working
from dashboard.components.signals import signals
from dashboard.components.tag import tag
from dashboard.components.teach import no_log
from dashboard.components.words import could_be, in_hundred, plural, sentence
from dashboard.state import Query, address

if TYPE_CHECKING:
    from analytics.month.answer import MonthReview
    from analytics.shop import Shop

REPORT_PATH = "/month-report"
PATH, TITLE, SHORT = "/month", "How did the month go?", "Month"


def layout() -> Component:
    return html.Div(
        [html.H1(TITLE), html.Div(working(), id="month-answer")], className="month-page"
    )


def answer(shop: Shop, query: Query) -> Component:
    """The review of the month in the address, or of the newest in the log."""
    months = shop.months()
    if not months:
        return no_log(
            "month",
            "With a log that has dates and results, this page counts the good "
            "parts, says which faults are more than usual, and what they share.",
        )
    review = shop.month(query.get("m"))
    return html.Div(
        [
            picker(months, review.month),
            headline(review),
            against(review),
            _report_link(review.month),
            doubts(review.warnings),
            signals(review, shop.knowledge),
            actions(review, shop.knowledge),
            fault_lines(review, shop.knowledge),
            causes(review),
            totals(review),
            money(review),
            html.Div(
                [
                    chart("month-days", figures.days(review)),
                    _weather(review),
                    chart("month-chart", figures.faulty_by_month(review)),
                ],
                className="month-pictures",
            ),
            control_charts(review),
            doubts(review.not_enough, "Not enough jobs to tell"),
        ]
    )


def headline(review: MonthReview) -> Component:
    """Good parts out of those with a result, how sure that is, and how it compares."""
    good = review.good
    if good.share is None:
        return tag(
            review.title,
            f"{plural(review.parts, 'part')} made, no result written down.",
            "A blank is not counted as good: nobody knows.",
        )
    blank = f" {plural(review.unknown, 'part')} with no result written." if review.unknown else ""
    return tag(
        review.title,
        f"{good.count} of {good.out_of} parts good",
        f"{in_hundred(good.share)}, {could_be(good.low, good.high)}.{blank}",
    )


def _weather(review: MonthReview) -> Component | None:
    drawn = weather(review)
    return None if drawn is None else chart("month-weather", drawn)


def _report_link(month: str) -> Component:
    link = html.A(
        "One page to print", href=address(REPORT_PATH, m=month), target="_blank",
        className="button plain screen-only",
    )  # fmt: skip
    return html.P(link, className="ways-on")


def against(review: MonthReview) -> Component | None:
    """The month against others, a sentence each."""
    told = [html.Li(sentence(one.text)) for one in review.comparisons]
    return html.Ul(told, className="compared") if told else None


def picker(months: Sequence[str], shown: str) -> Component:
    """The months before and after, and every month of the log (newest first) to jump to."""
    before, after = [m for m in months if m < shown][:1], [m for m in months if m > shown][-1:]
    steps = [
        *[_step(m, f"← {month_words(m)}") for m in before],
        html.Strong(month_words(shown)),
        *[_step(m, f"{month_words(m)} →") for m in after],
    ]
    years = [_year(year, months, shown) for year in sorted({m[:4] for m in months}, reverse=True)]
    every = html.Details([html.Summary("All months"), html.Div(years)], className="fold")
    return html.Nav(
        [html.Div(steps, className="steps"), every],
        className="month-picker",
        **aria(label="Month"),
    )


def _step(month: str, words: str) -> Component:
    return dcc.Link(words, href=address(PATH, m=month), className="button plain")


def _year(year: str, months: Sequence[str], shown: str) -> Component:
    cells = [
        html.Li(
            dcc.Link(MONTHS[int(m[5:]) - 1][:3], href=address(PATH, m=m)),
            className="here" if m == shown else None,
        )
        for m in reversed(months)
        if m.startswith(year)
    ]
    return html.Div([html.Strong(year), html.Ul(cells)], className="year")


def write_down(shop: Shop, typed: Mapping[str, Any]) -> str:
    """Keep what was typed as an action, and say so."""
    moulds = str(typed.get("moulds") or "").replace(";", ",").split(",")
    kept = shop.add_action(
        str(typed.get("what") or ""), typed.get("since"), typed.get("hope") or (), moulds
    )
    return f"Written down: {kept.name}, since {day_words(kept.since)}."


def take_back(shop: Shop, which: Mapping[str, Any]) -> str:
    """Take an action back, and say so."""
    shop.withdraw_action(which["name"])
    return f"Taken back: {which['name']}."


def report_page(shop: Shop) -> Response:
    """The printable page of the month in the address; 404 with a sentence where there is none."""
    try:
        page = shop.month_report(request.args.get("m") or None)
    except QuestionError as error:
        return Response(sentence(str(error)), status=404, mimetype="text/plain")
    return Response(page, mimetype="text/html")


def register(app: Dash, shop: Shop) -> None:
    follow_address(app, PATH, "month-answer", partial(answer, shop))
    app.server.add_url_rule(REPORT_PATH, "month-report", partial(report_page, shop))

    @app.callback(
        Output("notice", "children", allow_duplicate=True),
        Input({"type": "action-add", "at": ALL}, "n_clicks"),
        State({"type": "action-box", "name": ALL}, "value"),
        State({"type": "action-box", "name": ALL}, "id"),
        prevent_initial_call=True,
    )
    def added(clicks: list[int | None], values: list[Any], ids: list[dict[str, str]]) -> Any:
        if not any(clicks):
            return no_update
        typed = {one["name"]: value for one, value in zip(ids, values, strict=True)}
        return _told(write_down(shop, typed))

    @app.callback(
        Output("notice", "children", allow_duplicate=True),
        Input({"type": "action-withdraw", "name": ALL}, "n_clicks"),
        prevent_initial_call=True,
    )
    def withdrawn(clicks: list[int | None]) -> Any:
        return _told(take_back(shop, ctx.triggered_id)) if any(clicks) else no_update


def _told(said: str) -> Component:
    tell("written")
    return done(said)
