"""Doses somebody set, written down, and what came of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dash import html
from dash.development.base_component import Component

from analytics.days import day_words
from dashboard.components.tables import table

if TYPE_CHECKING:
    from analytics.catalyst.decisions import Decision, DosesSet

LATELY = 8


def set_button() -> Component:
    """The button that writes the dose shown down as set."""
    return html.Div(
        html.Button("We set this dose: write it down", id="dose-set", n_clicks=0),
        className="screen-only dose-set",
    )


def set_before(doses: DosesSet) -> Component:
    """The doses set lately, each with the gel time expected and the one that came."""
    if not doses.decisions:
        return html.Div()
    heads = ("Set on", "Dose", "Expected", "Came out as")
    return html.Section(
        [
            html.H2("What was set, and what came of it"),
            table(
                "Doses written down as set",
                heads,
                [_row(one) for one in doses.decisions[:LATELY]],
                "doses-set",
            ),
        ],
        className="screen-only",
    )


def _row(one: Decision) -> tuple[str, ...]:
    gel, lot = one.expected, f", lot {one.lot}" if one.lot else ""
    came = "no gel time logged for it yet"
    if one.outcome is not None:
        came = f"{one.outcome.gel_min:g} min, {one.outcome.verdict} (mix {one.outcome.batch_id})"
    return (
        f"{day_words(one.at.date())}, {one.at:%H:%M}",
        f"{one.catalyst_pct:.2f} % at {one.temperature_c:.1f} °C{lot}",
        f"{gel.median:.0f} min ({gel.low:.0f} to {gel.high:.0f})",
        came,
    )
