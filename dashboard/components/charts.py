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
    drawn = type(figure)(figure)
    drawn.update_layout(title=None)
    return html.Figure(
        [
            html.Figcaption(title),
            dcc.Graph(
                id=place,
                figure=drawn,
                config=QUIET,
                className="chart",
                style={"height": f"{drawn.layout.height}px"},
            ),
        ],
        className="chart-sheet",
    )
