"""The form of a plan for the day: a few big boxes, the rest folded away."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from analytics.saying import System, box_unit, in_box
from dashboard.components.unit_boxes import DRAWN_IN, drawn_in
from dashboard.state import Query

FIRST = ("mould", "area", "plies", "t", "start", "date")
MORE = ("rh", "until", "release", "coats", "pulls", "gl", "rl", "gd", "rd")
BOXES = (*FIRST, *MORE)
# Plies go to the address as typed: the reader of schedules tells ounces from grams itself.
UNITS = {"area": "m2", "t": "°C"}
RELEASES = {
    "wax": "Wax",
    "wax-and-film": "Wax and PVA film",
    "semi-permanent": "Semi-permanent",
    "internal": "Internal",
    "film": "Film or tape",
}
PLACEHOLDERS = {
    "area": "mould's",
    "plies": "usual",
    "t": "usual",
    "start": "08:00",
    "until": "17:00",
    "date": "today",
    "rh": "usual",
    "coats": "as due",
    "pulls": "from the log",
    "gl": "last used",
    "rl": "last used",
    "gd": "advised",
    "rd": "advised",
}


def form(moulds: Sequence[str], query: Query, system: System = "metric") -> Component:
    """What the address says, in boxes to change; an empty box leaves it to the log."""
    return html.Div(
        [
            drawn_in({"type": "plan", "name": DRAWN_IN}, system),
            _choice("mould", "Mould", {name: name for name in moulds}, query, "last used")
            if moulds
            else None,
            _box("area", "Or area", "m2", query, True, system)
            if moulds
            else _box("area", "Area", "m2", query, True, system, ""),
            _box("plies", "Plies", "g/m2", query, system=system),
            _box("t", "How warm?", "°C", query, True, system),
            _box("start", "Start", "", query),
            _box("date", "Day", "", query),
            html.Details(
                [
                    html.Summary("More"),
                    html.Div(
                        [
                            _box("rh", "Humidity", "%", query, figure=True),
                            _box("until", "Work ends", "", query),
                            _choice("release", "Release", RELEASES, query, "as last time"),
                            _box("coats", "Wax coats today", "", query, figure=True),
                            _box("pulls", "Pulls since wax", "", query, figure=True),
                            _box("gl", "Gel coat lot", "", query),
                            _box("rl", "Resin lot", "", query),
                            _box("gd", "Gel coat catalyst", "%", query, figure=True),
                            _box("rd", "Resin catalyst", "%", query, figure=True),
                        ],
                        className="plan-more",
                    ),
                ],
                className="fold",
                open=any(query.get(name) for name in MORE),
            ),
        ],
        className="form plan-form",
    )


def _labelled(words: str, unit: str, inner: Component) -> Component:
    named = html.Span([words, html.Span(f" ({unit})", className="soft") if unit else None])
    return html.Label([named, inner], className="box")


def _box(
    name: str,
    words: str,
    unit: str,
    query: Query,
    figure: bool = False,
    system: System = "metric",
    blank: str | None = None,
) -> Component:
    # Not Dash's number box: on a phone its two buttons leave no room for the figure.
    kind: dict[str, Any] = {"inputMode": "decimal"} if figure else {}
    inner = dcc.Input(
        id={"type": "plan", "name": name},
        value=in_box(query.get(name), unit, system) if name in UNITS else query.get(name),
        placeholder=PLACEHOLDERS[name] if blank is None else blank,
        type="text",
        debounce=True,
        autoComplete="off",
        **kind,
    )
    return _labelled(words, box_unit(unit, system), inner)


def _choice(name: str, words: str, options: dict[str, str], query: Query, blank: str) -> Component:
    inner = dcc.Dropdown(
        id={"type": "plan", "name": name},
        options=[{"label": label, "value": value} for value, label in options.items()],
        value=query.get(name),
        placeholder=blank,
        searchable=False,
    )
    return _labelled(words, "", inner)
