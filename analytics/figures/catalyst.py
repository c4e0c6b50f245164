"""Charts of a catalyst dose."""

from __future__ import annotations

from typing import TYPE_CHECKING

import plotly.graph_objects as go

from analytics.figures.theme import GOOD, INK, LINE, SPREAD, WANTED, figure

if TYPE_CHECKING:
    from analytics.catalyst.answer import CatalystAdvice


def chance(advice: CatalystAdvice) -> go.Figure:
    """Chance of gelling in the wanted time against dose.

    x: catalyst [% by mass]; y: chance [%]. Traces: the curve, and the advised dose as a point.
    """
    drawn = figure(_chance_title(advice), "catalyst, % by mass", "chance, %", height=300)
    drawn.add_scatter(
        x=[point.catalyst_pct for point in advice.curve],
        y=[100 * point.chance for point in advice.curve],
        name="chance",
        mode="lines",
        line={"color": GOOD, "width": 4},
        hovertemplate="%{x:.2f} % catalyst<br>about %{y:.0f} in 100<extra></extra>",
    )
    _here(drawn, advice, 100 * advice.chance)
    drawn.update_yaxes(range=[0, 102], ticksuffix=" %")
    drawn.update_xaxes(range=_reach(advice), ticksuffix=" %")
    return drawn


def gel_time(advice: CatalystAdvice) -> go.Figure:
    """Expected gel time against dose, with the wanted time as a band.

    x: catalyst [% by mass]; y: gel time [min]. Traces: shortest (5 %), longest (95 %), middle, and
    the advised dose as a point; the wanted time is a shape.
    """
    title = (
        f"At {advice.catalyst_pct:.2f} % it gels in about {advice.gel_min.median:.0f} min; "
        f"you want {_window(advice)}"
    )
    drawn = figure(title, "catalyst, % by mass", "gel time, min", height=300)
    doses = [point.catalyst_pct for point in advice.curve]
    edge = {"mode": "lines", "line": {"width": 0}, "hoverinfo": "skip", "showlegend": False}
    drawn.add_scatter(x=doses, y=[p.low for p in advice.curve], name="shortest", **edge)
    drawn.add_scatter(
        x=doses,
        y=[p.high for p in advice.curve],
        name="longest",
        fill="tonexty",
        fillcolor=SPREAD,
        **edge,
    )
    drawn.add_scatter(
        x=doses,
        y=[p.median for p in advice.curve],
        name="expected",
        mode="lines",
        line={"color": LINE, "width": 4},
        customdata=[[p.low, p.high] for p in advice.curve],
        hovertemplate="%{x:.2f} % catalyst<br>about %{y:.0f} min, "
        "9 in 10 from %{customdata[0]:.0f} to %{customdata[1]:.0f} min<extra></extra>",
    )
    drawn.add_hrect(
        y0=advice.window.low,
        y1=advice.window.high,
        fillcolor=WANTED,
        line_width=0,
        annotation_text="wanted",
        annotation_position="bottom left",
        annotation_font_color=INK,
    )
    _here(drawn, advice, advice.gel_min.median)
    drawn.update_yaxes(rangemode="tozero")
    drawn.update_xaxes(range=_reach(advice), ticksuffix=" %")
    return drawn


def _window(advice: CatalystAdvice) -> str:
    return f"{advice.window.low:.0f} to {advice.window.high:.0f} min"


def _chance_title(advice: CatalystAdvice) -> str:
    odds = f"{100 * advice.chance:.0f} in 100"
    if advice.feasible:
        return f"{advice.catalyst_pct:.2f} % gives {odds} of gelling in {_window(advice)}"
    return (
        f"No dose in the allowed range does it: the nearest, {advice.catalyst_pct:.2f} %, "
        f"gives {odds}"
    )


def _reach(advice: CatalystAdvice) -> list[float]:
    room = 0.04 * (advice.limits.high - advice.limits.low)
    return [advice.limits.low - room, advice.limits.high + room]


def _here(drawn: go.Figure, advice: CatalystAdvice, height: float) -> None:
    drawn.add_scatter(
        x=[advice.catalyst_pct],
        y=[height],
        name="this dose",
        mode="markers",
        marker={
            "size": 18,
            "symbol": "diamond",
            "color": LINE,
            "line": {"width": 3, "color": "#ffffff"},
        },
        hovertemplate="%{x:.2f} % catalyst<extra></extra>",
    )
    drawn.update_layout(showlegend=False)
