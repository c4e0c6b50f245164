"""Charts of the year's doses and gel times."""

from __future__ import annotations

from calendar import month_abbr
from typing import TYPE_CHECKING

import plotly.graph_objects as go

from analytics.figures.theme import GOOD, INK, LINE, SPREAD, WANTED, figure

if TYPE_CHECKING:
    from analytics.catalyst.season import SeasonMonth, SeasonTable

NAMES = [month_abbr[month] for month in range(1, 13)]


def doses(table: SeasonTable) -> go.Figure:
    """The dose to set in each month, beside what was set the last time.

    x: month; y: catalyst [% by mass]. Traces: "to set" (a gap where nothing was logged) and "last
    time" as points.
    """
    drawn = figure(_doses_title(table), "", "catalyst, % by mass", height=320)
    _year(drawn)
    drawn.add_scatter(
        x=NAMES,
        y=[month.catalyst_pct for month in table.months],
        name="to set",
        mode="lines+markers",
        line={"color": GOOD, "width": 4, "shape": "hvh"},
        marker={
            "size": 13,
            "symbol": ["circle" if m.feasible else "x" for m in table.months],
            "color": GOOD,
        },
        hovertemplate="%{x}: %{y:.2f} %<extra>to set</extra>",
    )
    _last(drawn, [_of_last(m, "catalyst_pct") for m in table.months], "%{y:.2f} %")
    low, high = table.limits.low, table.limits.high
    drawn.update_yaxes(range=[low - 0.1, high + 0.1], ticksuffix=" %")
    return drawn


def gel_times(table: SeasonTable) -> go.Figure:
    """The gel time to expect with it, beside the last time's, with the wanted time as a band.

    x: month; y: gel time [min]. Traces: "expected" with its 90 % interval as bars, "last time".
    """
    title = f"Gel times to expect; {table.window.low:.0f} to {table.window.high:.0f} min is wanted"
    drawn = figure(title, "", "gel time, min", height=320)
    _year(drawn)
    gels = [month.gel_min for month in table.months]
    drawn.add_scatter(
        x=NAMES,
        y=[gel and gel.median for gel in gels],
        name="expected",
        mode="markers",
        marker={"size": 13, "color": GOOD},
        error_y={
            "type": "data",
            "symmetric": False,
            "array": [gel.high - gel.median if gel else None for gel in gels],
            "arrayminus": [gel.median - gel.low if gel else None for gel in gels],
            "color": SPREAD,
            "thickness": 6,
            "width": 0,
        },
        hovertemplate="%{x}: about %{y:.0f} min<extra>expected</extra>",
    )
    _last(drawn, [_of_last(m, "gel_min") for m in table.months], "%{y:.0f} min")
    drawn.add_hrect(
        y0=table.window.low, y1=table.window.high, fillcolor=WANTED, line_width=0,
        annotation_text="wanted", annotation_position="bottom left", annotation_font_color=INK,
    )  # fmt: skip
    drawn.update_yaxes(rangemode="tozero")
    return drawn


def _doses_title(table: SeasonTable) -> str:
    known = [month for month in table.months if month.catalyst_pct is not None]
    if not known:
        return "No temperature is logged in any month"
    hopeless = sum(not month.feasible for month in known)
    lows = min(month.catalyst_pct or 0.0 for month in known)
    highs = max(month.catalyst_pct or 0.0 for month in known)
    told = f"From {lows:.2f} to {highs:.2f} % over the year"
    if not hopeless:
        return told
    return f"{told}; in {hopeless} of {len(known)} months no dose does it (crosses)"


def _of_last(month: SeasonMonth, field: str) -> float | None:
    last = month.last_time
    return getattr(last, field) if last else None


def _last(drawn: go.Figure, values: list[float | None], shown: str) -> None:
    drawn.add_scatter(
        x=NAMES,
        y=values,
        name="last time",
        mode="markers",
        marker={"size": 11, "symbol": "diamond-open", "color": LINE, "line": {"width": 3}},
        hovertemplate=f"%{{x}}: {shown}<extra>last time</extra>",
    )


def _year(drawn: go.Figure) -> None:
    """All twelve months on the axis, whatever was logged."""
    drawn.update_xaxes(type="category", categoryorder="array", categoryarray=NAMES)
    drawn.update_xaxes(range=[-0.5, 11.5])
