"""The day of a plan by the clock."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import plotly.graph_objects as go

from analytics.figures.theme import GOOD, INK, UNKNOWN, figure

if TYPE_CHECKING:
    from analytics.planning.answer import DayPlan, Step

ROW, FRAME = 40, 110
NAMES = {"film": "PVA", "gelcoat": "Gel coat", "gelled": "Gels", "ready": "Ready", "trim": "Trim"}


def clock(plan: DayPlan) -> go.Figure:
    """Every step of the laying-up day as a bar, its likely end as a whisker.

    x: clock time; y: steps, first on top. Traces: work, waits, and one whisker a step from the
    earliest to the latest end. Demoulding, mostly a day later, is in the title only.
    """
    steps = _shown(plan)
    drawn = figure(_title(plan), "", "", height=FRAME + ROW * len(steps))
    for name, hands_on, colour, pattern in (
        ("work", True, GOOD, ""),
        ("wait", False, UNKNOWN, "/"),
    ):
        _bars(drawn, name, [step for step in steps if step.hands_on is hands_on], colour, pattern)
    for step in steps:
        _whisker(drawn, step)
    names = [_name(step) for step in steps]
    drawn.update_yaxes(
        categoryorder="array", categoryarray=names[::-1], showgrid=False, ticks="", automargin=True
    )
    drawn.update_xaxes(type="date", tickformat="%H:%M", showgrid=True, nticks=8)
    drawn.update_layout(barmode="overlay", bargap=0.35)
    return drawn


def _shown(plan: DayPlan) -> list[Step]:
    """The steps of the day the part is laid up; wax of the day before would stretch the clock."""
    day = next(step for step in plan.timeline if step.id == "gelcoat").starts.usual.date()
    return [
        step for step in plan.timeline if step.id != "demould" and step.starts.usual.date() == day
    ]


def _title(plan: DayPlan) -> str:
    laid = [step for step in plan.timeline if step.id.startswith("lay-")]
    out = next(step for step in plan.timeline if step.id == "demould")
    return (
        f"Gel coat on from {_at(plan, 'gelcoat')}, lay-up from {laid[0].starts.usual:%H:%M}, "
        f"last ply on about {laid[-1].ends.usual:%H:%M}; out of the mould "
        f"{out.ends.early:%a %H:%M} at the earliest"
    )


def _at(plan: DayPlan, name: str) -> str:
    step = next(step for step in plan.timeline if step.id == name)
    return f"{step.starts.usual:%H:%M}"


def _name(step: Step) -> str:
    kind, _, number = step.id.partition("-")
    return NAMES.get(step.id, f"{'Wax' if kind == 'wax' else 'Mix'} {number}")


def _bars(drawn: go.Figure, name: str, steps: list[Step], colour: str, pattern: str) -> None:
    drawn.add_bar(
        y=[_name(step) for step in steps],
        x=[_millis(step.starts.usual, step.ends.usual) for step in steps],
        base=[step.starts.usual for step in steps],
        orientation="h",
        name=name,
        customdata=[
            [step.title, f"{step.ends.early:%H:%M}", f"{step.ends.late:%H:%M}",
             f"{step.ends.usual:%H:%M}"]
            for step in steps
        ],
        marker={
            "color": colour,
            "line": {"width": 0},
            "pattern": {"shape": pattern, "fgcolor": "#ffffff", "size": 7},
        },
        hovertemplate="%{customdata[0]}<br>done %{customdata[1]} to %{customdata[2]}, "
        "count on %{customdata[3]}<extra></extra>",
    )  # fmt: skip


def _whisker(drawn: go.Figure, step: Step) -> None:
    drawn.add_scatter(
        x=[step.ends.early, step.ends.late],
        y=[_name(step)] * 2,
        mode="lines+markers",
        line={"color": INK, "width": 3},
        marker={"symbol": "line-ns", "size": 12, "line": {"color": INK, "width": 3}},
        name="may end",
        showlegend=step.id == "gelcoat",
        hoverinfo="skip",
    )


def _millis(start: datetime, end: datetime) -> float:
    return (end - start).total_seconds() * 1000
