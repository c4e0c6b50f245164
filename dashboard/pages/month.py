"""How did the month go: good share, faults, what stands out, day by day."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING

from dash import Dash, dcc, html
from dash.development.base_component import Component

from analytics.figures import month as figures
from dashboard.binding import follow_address
from dashboard.components.aria import aria
from dashboard.components.charts import chart
from dashboard.components.fault_lines import fault_lines, money
from dashboard.components.notices import doubts, working
from dashboard.components.signals import signals
from dashboard.components.tag import tag
from dashboard.components.teach import no_log
from dashboard.components.words import MONTHS, could_be, in_hundred, month_words, plural, sentence
from dashboard.state import Query, address

if TYPE_CHECKING:
    from analytics.month.answer import MonthReview
    from analytics.shop import Shop

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
            doubts(review.warnings),
            signals(review, shop.knowledge),
            fault_lines(review, shop.knowledge),
            chart("month-days", figures.days(review)),
            chart("month-chart", figures.faulty_by_month(review)),
            money(review),
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


def register(app: Dash, shop: Shop) -> None:
    follow_address(app, PATH, "month-answer", partial(answer, shop))
