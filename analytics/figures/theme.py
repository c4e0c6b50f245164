"""One look for every chart: no background of its own, neutral ink, colours for any eye.

Colours are from Okabe and Ito's set for colour-blind readers, darkened or lightened to stand out
from both a white and a near-black ground; a pattern or a shape always says the same as a colour.
"""

from __future__ import annotations

from typing import Any

import plotly.graph_objects as go

INK = "#7a8a8e"
GRID = "rgba(122, 138, 142, 0.28)"
GOOD = "#2f8ba0"
FAULTY = "#c8641b"
UNKNOWN = "#8c979a"
WANTED = "rgba(47, 139, 160, 0.20)"
SPREAD = "rgba(200, 100, 27, 0.22)"
LINE = "#c8641b"


def figure(title: str, x_title: str, y_title: str, height: int = 320) -> go.Figure:
    """An empty figure in the house look; the title says what was found, the axes say the units."""
    axis = {
        "gridcolor": GRID,
        "linecolor": INK,
        "zeroline": False,
        "ticks": "outside",
        "tickcolor": INK,
        "automargin": True,
        "fixedrange": True,
    }
    return go.Figure(
        layout={
            "title": {"text": plain(title)},
            "height": height,
            "font": {"family": "system-ui, sans-serif", "size": 15, "color": INK},
            "paper_bgcolor": "rgba(0,0,0,0)",
            "plot_bgcolor": "rgba(0,0,0,0)",
            "margin": {"l": 8, "r": 12, "t": 12, "b": 8},
            "xaxis": {**axis, "title": {"text": x_title}, "showgrid": False},
            "yaxis": {**axis, "title": {"text": y_title}},
            "legend": {
                "orientation": "h",
                "yanchor": "bottom",
                "y": 1.02,
                "x": 0,
                "xanchor": "left",
            },
            "hoverlabel": {
                "bgcolor": "#15252a",
                "bordercolor": "#15252a",
                "font": {"color": "#ffffff", "size": 15},
                "align": "left",
            },
            "hovermode": "closest",
            "dragmode": False,
        }
    )


def plain(text: Any) -> str:
    """Text from a log made safe to show: a chart reads some tags, and a log must not write any."""
    return str(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
