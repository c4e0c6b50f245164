"""Where on the part is it? One button for each place the trade reads something from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.aria import aria
from dashboard.components.words import sentence
from dashboard.state import Query, address, changed, seen_of, seen_text

if TYPE_CHECKING:
    from analytics.diagnosis.answer import Diagnosis

SHOWN = 4


def where(path: str, query: Query, diagnosis: Diagnosis) -> Component | None:
    """The places to press; None where it is said, or asked already as the next check."""
    first = diagnosis.next_checks[0].check if diagnosis.next_checks else ""
    if not diagnosis.places or first == diagnosis.place_check:
        return None
    buttons = [_place(path, query, diagnosis, *place) for place in diagnosis.places]
    return html.Section(
        [
            html.H2("Where on the part is it?", id="where-is-it"),
            html.P(f"The log says: {diagnosis.place_written}.", className="soft")
            if diagnosis.place_written
            else None,
            html.Div(
                buttons[:SHOWN], className="where", role="group", **aria(labelledby="where-is-it")
            ),
            html.Details(
                [html.Summary("Another place"), html.Div(buttons[SHOWN:], className="where")]
            )
            if buttons[SHOWN:]
            else None,
        ],
        className="where-on-it screen-only",
    )


def _place(path: str, query: Query, diagnosis: Diagnosis, result: str, meaning: str) -> Component:
    seen = {**seen_of(query), diagnosis.place_check: result}
    return dcc.Link(
        sentence(meaning),
        className="button plain",
        href=address(path, **changed(query, seen=seen_text(seen))),
    )
