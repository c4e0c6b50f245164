"""Boxes to pick two ways of any recorded field, and to plan a trial."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dash import dcc, html
from dash.development.base_component import Component

from analytics.errors import QuestionError
from dashboard.components.fields import column_words
from dashboard.state import Query

if TYPE_CHECKING:
    from analytics.knowledge.model import Knowledge
    from analytics.shop import Shop

OWN = ("f", "a", "b", "d", "m")
"""What the boxes of one's own question are called in the address."""


def own_form(shop: Shop, query: Query) -> Component:
    """Field, two ways, fault; empty ways mean the two commonest in the log."""
    usual = _usual_ways(shop, query)
    return html.Div(
        [
            _pick("settle", "f", "What was done two ways?", _fields(shop), query),
            _pick("settle", "d", "Judged by which fault?", _faults(shop.knowledge), query),
            _type("settle", "a", "The first way", query, usual[0]),
            _type("settle", "b", "The second way", query, usual[1]),
            html.P(
                "A way is a value or a range: 1, 3+, under 12, 12 or more, 5 to 8, drill or "
                "paddle. Left empty: as shown in grey.",
                className="soft settle-hint",
            ),
        ],
        className="form settle-form",
    )


def plan_form(shop: Shop, query: Query) -> Component:
    """What a trial needs to be planned, filled from the address where that says something."""
    kind = "settle-plan"
    return html.Div(
        [
            html.H2("Plan a fair trial"),
            _type(kind, "name", "Name it", query, "wax-coats"),
            _pick(kind, "d", "Fault it hopes to change", _faults(shop.knowledge), query),
            _type(kind, "a", "The first way", query, "one heavy coat"),
            _type(kind, "b", "The second way", query, "three thin coats"),
            _pick(kind, "f", "Recorded field, if there is one", _fields(shop), query),
            _type(kind, "m", "Difference worth finding, parts in 100", query, "half the usual"),
            _type(kind, "usual", "Usual share, parts in 100", query, "from your log"),
            html.Button("Plan it", id="settle-plan"),
            html.P(
                "Chance then picks the way for each part, mould by mould, so that nobody does. "
                "With a field the ways are values (1, 3+), and the log can check them.",
                className="soft settle-hint",
            ),
        ],
        className="form settle-form",
    )


def _usual_ways(shop: Shop, query: Query) -> tuple[str, str]:
    """The ways taken where none are named; blank where the field has no two."""
    if not query.get("f"):
        return "", ""
    try:
        return shop.usual_ways(query["f"])
    except QuestionError:
        return "", ""


def _fields(shop: Shop) -> list[dict[str, str]]:
    named = [{"label": column_words(name), "value": name} for name in shop.fields_to_compare()]
    return sorted(named, key=lambda option: option["label"].lower())


def _faults(knowledge: Knowledge) -> list[dict[str, str]]:
    return [{"label": d.title, "value": d.id} for d in knowledge.defects.values()]


def _pick(
    kind: str, name: str, words: str, options: list[dict[str, str]], query: Query
) -> Component:
    box = dcc.Dropdown(
        id={"type": kind, "name": name},
        options=options,
        value=query.get(name),
        placeholder="choose",
    )
    return _box(words, box)


def _type(kind: str, name: str, words: str, query: Query, blank: str) -> Component:
    more: dict[str, Any] = {"debounce": True, "autoComplete": "off", "type": "text"}
    box = dcc.Input(
        id={"type": kind, "name": name}, value=query.get(name), placeholder=blank, **more
    )
    return _box(words, box)


def _box(words: str, inner: Component) -> Component:
    return html.Label([html.Span(words), inner], className="box")
