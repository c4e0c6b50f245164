"""Control charts of a month in review, one figure for each kind."""

from __future__ import annotations

from typing import TYPE_CHECKING

import plotly.graph_objects as go

from analytics.figures.theme import FAULTY, GOOD, INK, figure, plain

if TYPE_CHECKING:
    from analytics.month.answer_pieces import ControlChart, ControlPoint


MOST_TICKS = 3
"""As many labels as a phone has room for."""


def control(chart: ControlChart) -> go.Figure:
    """Points in order with their frozen limits; points that fired a rule are diamonds.

    x: place in the row (labels on hover and sparse ticks); y: the chart's own unit. Traces:
    points, upper limit and lower limit where there are any, the usual.
    """
    drawn = figure(title(chart), "", chart.unit, height=300)
    told = [(at, point) for at, point in enumerate(chart.points) if point.value is not None]
    drawn.add_scatter(
        x=[at for at, _ in told],
        y=[point.value for _, point in told],
        name=plain(chart.title),
        mode="lines+markers",
        showlegend=False,
        line={"color": INK, "width": 1.5},
        marker={
            "opacity": 1,
            "size": [14 if point.fired else 9 for _, point in told],
            "color": [FAULTY if point.fired else GOOD for _, point in told],
            "symbol": ["diamond" if point.fired else "circle" for _, point in told],
        },
        customdata=[_words(point, chart.unit) for _, point in told],
        hovertemplate="%{customdata}<extra></extra>",
    )
    for name, heights in (
        ("upper limit", [point.high for point in chart.points]),
        ("lower limit", [point.low for point in chart.points]),
    ):
        _limit(drawn, name, heights)
    if chart.kind != "cusum":
        drawn.add_scatter(
            x=[0, len(chart.points) - 1], y=[chart.centre] * 2, name="usual", mode="lines",
            hoverinfo="skip", line={"color": GOOD, "width": 1.5, "dash": "dash"},
        )  # fmt: skip
    _ticks(drawn, chart)
    return drawn


def title(chart: ControlChart) -> str:
    """What the chart is of and which rule fired on its last points."""
    return f"{chart.title}: {chart.rule}"


def _limit(drawn: go.Figure, name: str, heights: list[float | None]) -> None:
    known = [(at, height) for at, height in enumerate(heights) if height is not None]
    if known:
        drawn.add_scatter(
            x=[at for at, _ in known], y=[height for _, height in known], name=name, mode="lines",
            hoverinfo="skip",
            line={"color": INK, "width": 1.5, "dash": "dot", "shape": "hvh"},
        )  # fmt: skip


def _ticks(drawn: go.Figure, chart: ControlChart) -> None:
    step = max(1, -(-len(chart.points) // MOST_TICKS))
    places = list(range(0, len(chart.points), step))
    drawn.update_xaxes(
        tickmode="array",
        tickvals=places,
        ticktext=[plain(chart.points[at].label).replace(" ", "<br>", 1) for at in places],
        tickangle=0,
    )


def _words(point: ControlPoint, unit: str) -> str:
    text = f"{plain(point.label)}<br>{point.value:.3g} {plain(unit)}"
    if point.high is not None:
        low = f"{point.low:.3g}" if point.low is not None else "none"
        text += f"<br>limits {low} to {point.high:.3g} {plain(unit)}"
    return text + ("<br>a rule fired here" if point.fired else "")
