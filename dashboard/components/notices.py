"""Short messages: something could not be done, was done, is doubtful, or is dangerous."""

from __future__ import annotations

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from dashboard.components.fold import fold

MOST_IN_SIGHT = 2
"""More doubts than these fold away, so that they do not bury the answer they travel with."""


def sorry(sentence: str, title: str = "Could not do that") -> Component:
    """What could not be done, where the answer would have been."""
    return html.Div([html.Strong(title), html.P(sentence)], className="notice stop", role="alert")


def done(sentence: str) -> Component:
    """What was just done."""
    return html.Div([html.Strong("Done"), html.P(sentence)], className="notice done")


def doubts(warnings: Sequence[str], title: str = "Take with care") -> Component | None:
    """What makes the answer less sure; None where nothing does."""
    if not warnings:
        return None
    listed = html.Ul([html.Li(warning) for warning in warnings])
    if len(warnings) > MOST_IN_SIGHT:
        told = [fold(f"{title}: {len(warnings)} points", listed, on_paper=True)]
    else:
        told = [html.H2(title), listed]
    return html.Aside(told, className="notice doubt")


def cautions(texts: Sequence[str], title: str = "Keep safe") -> Component | None:
    """Dangers, always open to the eye; None where there is none to name."""
    if not texts:
        return None
    return html.Section(
        [html.H3(title), html.Ul([html.Li(text) for text in texts])], className="cautions"
    )


def working() -> Component:
    """What stands where an answer will be, for as long as it takes."""
    return html.P("Working it out …", className="working", role="status")
