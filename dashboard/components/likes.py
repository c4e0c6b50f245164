"""Good parts made much like the failed one, and what differed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from dash import html
from dash.development.base_component import Component

from analytics.days import day_words
from dashboard.components.tables import table

if TYPE_CHECKING:
    from analytics.diagnosis.answer import LikeJob


def likes(part: str, jobs: Sequence[LikeJob]) -> Component | None:
    """One small table for each good part; None where there is none like it."""
    if not jobs:
        return None
    return html.Section(
        [
            html.H2("Good parts most like it, and what differed"),
            html.Div([_like(part, job) for job in jobs], className="likes"),
        ]
    )


def _like(part: str, job: LikeJob) -> Component:
    mould = "same mould" if job.same_mould else "another mould"
    about = f"{job.part}, {day_words(job.date)}, {mould}"
    if not job.differs:
        return html.P(f"{about}: nothing written down differs.")
    return table(about, ("", part, job.part), job.differs)
