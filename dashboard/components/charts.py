"""A figure on the page: its finding as a heading, the drawing below."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dash import dcc, html
from dash.development.base_component import Component

if TYPE_CHECKING:
    from plotly.graph_objects import Figure

QUIET: Any = {
    "displayModeBar": False,
    "responsive": True,
    "scrollZoom": False,
    "doubleClick": False,
}


def chart(place: str, figure: Figure) -> Component:
    """The figure under its own title, which wraps on a phone as a title inside it would not."""
    title = figure.layout.title.text
    # as plain data: a second Figure would check every value of the first one again
    drawn = figure.to_dict()
    drawn["layout"].pop("title")
    return html.Figure(
        [
            html.Figcaption(title),
            dcc.Graph(
                id=place,
                figure=drawn,
                config=QUIET,
                className="chart",
                style={"height": f"{figure.layout.height}px"},
            ),
        ],
        className="chart-sheet",
    )
