"""The weather of each working day, drawn to stand under the strip of parts made."""

from __future__ import annotations

from typing import TYPE_CHECKING

import plotly.graph_objects as go

from analytics.figures.theme import FAULTY, GOOD, INK, SPREAD, figure
from analytics.saying import DEGREES_APART

if TYPE_CHECKING:
    from analytics.month.answer import Day, MonthReview

WET_MARGIN_C = 3.0
"""Nearer the dew point than this a mould face may be wet: common practice in painting trades."""


def weather(review: MonthReview) -> go.Figure | None:
    """Range of air temperature and humidity in the working hours; None where nothing was logged.

    x: day of the month, as in `figures.month.days`; y: air [°C], humidity [%] on the right.
    Traces: air range, humidity range, days on which a mould face was near the dew point.
    """
    told = [day for day in review.days if day.air_low_c is not None or day.dew_margin_c is not None]
    if not told:
        return None
    drawn = figure(_title(told), "day of the month", "air, °C", height=230)
    _range(drawn, "air", [(d, d.air_low_c, d.air_high_c) for d in told], SPREAD, FAULTY, "y")
    humid = [(d, d.humidity_low_pct, d.humidity_high_pct) for d in told]
    _range(drawn, "humidity", humid, "rgba(47, 139, 160, 0.18)", GOOD, "y2")
    wet = [d for d in told if _wet(d)]
    if wet:
        drawn.add_scatter(
            x=[d.date.day for d in wet],
            y=[d.air_low_c if d.air_low_c is not None else 0.0 for d in wet],
            name="near the dew point",
            mode="markers",
            marker={"symbol": "triangle-down", "size": 12, "color": INK},
            customdata=[
                f"mould face only {d.dew_margin_c:.1f} {DEGREES_APART} above dew point" for d in wet
            ],
            hovertemplate="%{customdata}<extra></extra>",
        )
    drawn.update_layout(
        barmode="overlay",
        bargap=0.25,
        yaxis2={
            "title": {"text": "humidity, %"},
            "overlaying": "y",
            "side": "right",
            "range": [0, 100],
            "tickmode": "array",
            "tickvals": [0, 25, 50, 75, 100],
            "showgrid": False,
            "fixedrange": True,
            "automargin": True,
        },
    )
    drawn.update_xaxes(range=[0.4, 31.6], dtick=5, tick0=0)
    return drawn


def _range(
    drawn: go.Figure,
    name: str,
    spans: list[tuple[Day, float | None, float | None]],
    fill: str,
    line: str,
    axis: str,
) -> None:
    known = [(d, low, high) for d, low, high in spans if low is not None and high is not None]
    unit = "°C" if name == "air" else "%"
    drawn.add_bar(
        x=[day.date.day for day, *_ in known],
        y=[max(high - low, 0.3) for _, low, high in known],
        base=[low for _, low, _ in known],
        name=name,
        yaxis=axis,
        width=0.35,
        offset=-0.36 if name == "air" else 0.01,
        marker={
            "color": fill,
            "line": {"color": line, "width": 1.5},
            "pattern": {"shape": "" if name == "air" else "/", "fgcolor": line, "size": 5},
        },
        customdata=[f"{name} {low:.0f} to {high:.0f} {unit}" for _, low, high in known],
        hovertemplate="%{customdata}<extra></extra>",
    )


def _wet(day: Day) -> bool:
    return day.dew_margin_c is not None and day.dew_margin_c < WET_MARGIN_C


def _title(told: list[Day]) -> str:
    lows = [d.air_low_c for d in told if d.air_low_c is not None]
    highs = [d.air_high_c for d in told if d.air_high_c is not None]
    air = f"Air {min(lows):.0f} to {max(highs):.0f} °C in the working hours" if lows else "Weather"
    wet = sum(_wet(day) for day in told)
    if not any(day.dew_margin_c is not None for day in told):
        return air
    days = "day" if wet == 1 else "days"
    return (
        f"{air}; a mould face near the dew point on {wet} {days}"
        if wet
        else f"{air}; no face near the dew point"
    )
