"""Charts of a month in review."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING

import plotly.graph_objects as go

from analytics.figures.theme import FAULTY, GOOD, INK, UNKNOWN, figure, plain

if TYPE_CHECKING:
    from analytics.month.answer import Chart, ChartPoint, Day, MonthReview


def days(review: MonthReview) -> go.Figure:
    """Parts made on each day, split into good, faulty and no result written.

    x: day of the month; y: parts. One bar trace for each way a part can end.
    """
    drawn = figure(_days_title(review.days), "day of the month", "parts made", height=300)
    spoken = [_day_words(day) for day in review.days]
    for name, counts, colour, pattern in (
        ("good", [day.good for day in review.days], GOOD, ""),
        ("faulty", [day.faulty for day in review.days], FAULTY, "x"),
        ("no result written", [day.unknown for day in review.days], UNKNOWN, "."),
    ):
        drawn.add_bar(
            x=[day.date.day for day in review.days],
            y=counts,
            name=name,
            customdata=spoken,
            marker={
                "color": colour,
                "line": {"width": 0},
                "pattern": {"shape": pattern, "fgcolor": "#ffffff", "size": 7},
            },
            hovertemplate="%{customdata}<extra></extra>",
        )
    drawn.update_layout(barmode="stack", bargap=0.25)
    drawn.update_xaxes(range=[0.4, 31.6], dtick=5, tick0=0)
    drawn.update_yaxes(rangemode="tozero", tickformat="d", nticks=6)
    return drawn


def _days_title(strip: Iterable[Day]) -> str:
    worked = [day for day in strip if day.parts]
    bad = [day for day in worked if day.faulty]
    if not worked:
        return "No day of this month has a part in the log"
    if not bad:
        return f"No fault written down on any of {len(worked)} working days"
    worst = max(bad, key=lambda day: (day.faulty, day.faulty / day.parts))
    return (
        f"Faults on {len(bad)} of {len(worked)} working days, most on the "
        f"{_ordinal(worst.date)} ({worst.faulty} of {worst.parts} parts)"
    )


def _ordinal(day: date) -> str:
    ending = "th" if 10 < day.day < 14 else {1: "st", 2: "nd", 3: "rd"}.get(day.day % 10, "th")
    return f"{day.day}{ending}"


def _day_words(day: Day) -> str:
    told = [f"{day.parts} made", f"{day.good} good", f"{day.faulty} faulty"]
    if day.unknown:
        told.append(f"{day.unknown} with no result written")
    told.extend(f"{plain(kind)}: {count}" for kind, count in day.defects.items())
    if day.air_c is not None:
        told.append(f"air {day.air_c:.0f} °C")
    if day.humidity_pct is not None:
        told.append(f"humidity {day.humidity_pct:.0f} %")
    return f"{day.date:%Y-%m-%d}<br>" + "<br>".join(told)


def faulty_by_month(review: MonthReview) -> go.Figure:
    """Share of faulty parts month by month, with the limits that luck alone stays within.

    x: month; y: faulty parts [% of parts with a result]. Traces: share, high limit, low limit,
    usual share (only where the log is long enough for limits).
    """
    chart = review.chart
    drawn = figure(_chart_title(review), "month", "faulty parts, %")
    told = [point for point in chart.points if point.faulty.share is not None]
    drawn.add_scatter(
        x=[_first_day(p.month) for p in told],
        y=[100 * (p.faulty.share or 0.0) for p in told],
        name="faulty parts",
        mode="lines+markers",
        line={"color": INK, "width": 1.5},
        marker={
            "opacity": 1,
            "size": [15 if p.beyond else 10 for p in told],
            "color": [FAULTY if p.beyond else GOOD for p in told],
            "symbol": ["diamond" if p.beyond else "circle" for p in told],
        },
        customdata=[_point_words(point) for point in told],
        hovertemplate="%{customdata}<extra></extra>",
    )
    _limits(drawn, chart)
    drawn.update_xaxes(type="date", tickformat="%b\n%Y", dtick=_spacing(len(told)))
    drawn.update_yaxes(rangemode="tozero", ticksuffix=" %")
    return drawn


def _first_day(month: str) -> str:
    return f"{month}-01"


def _spacing(months: int) -> str:
    """Ticks far enough apart to be read on a phone."""
    return "M1" if months <= 6 else "M3" if months <= 24 else "M12"


def _limits(drawn: go.Figure, chart: Chart) -> None:
    held = [point for point in chart.points if point.high is not None]
    if chart.centre is None or not held:
        return
    months = [_first_day(point.month) for point in held]
    for name, heights in (
        ("luck stays below", [100 * (point.high or 0.0) for point in held]),
        ("luck stays above", [100 * (point.low or 0.0) for point in held]),
    ):
        drawn.add_scatter(
            x=months,
            y=heights,
            name=name,
            mode="lines",
            hoverinfo="skip",
            line={"color": INK, "width": 1.5, "dash": "dot", "shape": "hvh"},
            showlegend=name == "luck stays below",
        )
    drawn.add_scatter(
        x=months,
        y=[100 * chart.centre] * len(held),
        name="usual",
        mode="lines",
        hoverinfo="skip",
        line={"color": GOOD, "width": 1.5, "dash": "dash"},
    )


def _chart_title(review: MonthReview) -> str:
    point = next((p for p in review.chart.points if p.month == review.month), None)
    if point is None or point.faulty.share is None:
        return f"No results are written for {review.title}"
    share = f"{100 * point.faulty.share:.0f} % faulty"
    if point.high is None:
        return f"{review.title}: {share}; too few months to say what is usual"
    if point.beyond:
        way = "more" if point.faulty.share > point.high else "fewer"
        return f"{review.title}: {share}, {way} than luck alone explains"
    return f"{review.title}: {share}, within what luck alone does"


def _point_words(point: ChartPoint) -> str:
    faulty = point.faulty
    text = f"{point.month}<br>{faulty.count} of {faulty.out_of} parts faulty"
    if point.high is not None:
        text += f"<br>luck alone: {100 * (point.low or 0):.0f} to {100 * point.high:.0f} %"
    return text
