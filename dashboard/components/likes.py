"""Good parts made much like the failed one, and what differed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from dash import html
from dash.development.base_component import Component

from analytics.days import day_words
from dashboard.components.fold import fold
from dashboard.components.tables import table
from dashboard.components.words import plural

if TYPE_CHECKING:
    from analytics.diagnosis.answer import LikeJob


def likes(part: str, jobs: Sequence[LikeJob]) -> Component | None:
    """One small table for each good part; None where there is none like it."""
    if not jobs:
        return None
    first, *rest = [_like(part, job) for job in jobs]
    return html.Section(
        [
            html.H2("Good parts most like it, and what differed"),
            html.Div(first, className="likes"),
            fold(
                f"{plural(len(rest), 'more good part')} like it",
                html.Div(rest, className="likes"),
                on_paper=True,
            )
            if rest
            else None,
        ],
        className="likes-sheet",
    )


def _like(part: str, job: LikeJob) -> Component:
    mould = "same mould" if job.same_mould else "another mould"
    about = f"{job.part}, {day_words(job.date)}, {mould}"
    if not job.differs:
        return html.P(f"{about}: nothing written down differs.")
    return table(about, ("", part, job.part), job.differs)
