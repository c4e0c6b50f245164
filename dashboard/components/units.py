"""The choice of units, made once for every screen and print of the shop."""

from __future__ import annotations

from dash import html
from dash.development.base_component import Component

from analytics.saying import System
from dashboard.components.aria import aria

CHOICES: dict[System, tuple[str, str]] = {
    "metric": ("Metric", "°C, kg, mm"),
    "us": ("US", "°F, lb, mil and inches"),
}
SAID: dict[str, str] = {
    "metric": "Everything is said in metric units now, on every screen of the shop.",
    "us": "Everything is said in US units now, on every screen of the shop. Catalyst stays in g "
    "and ml, as scales and syringes read, with ounces beside.",
}


def units_choice(chosen: System) -> Component:
    """Two big buttons, the one in force marked."""
    return html.Section(
        [
            html.H2("Units"),
            html.Div([_button(system, system == chosen) for system in CHOICES], className="units"),
            html.P(
                "For every screen and print. A figure may always be typed with its own unit; "
                "exports stay metric.",
                className="soft",
            ),
        ],
        className="units-choice",
    )


def _button(system: System, here: bool) -> Component:
    words, more = CHOICES[system]
    return html.Button(
        [html.Strong(words), html.Span(more)],
        id={"type": "units", "system": system},
        className="here" if here else "plain",
        **aria(pressed="true" if here else "false"),
    )
