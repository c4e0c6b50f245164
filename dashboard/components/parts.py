"""Lists of parts to pick from."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.drawings import fault_picture
from dashboard.components.words import day_words
from dashboard.state import address

if TYPE_CHECKING:
    from analytics.knowledge.model import Knowledge
    from analytics.shop import FailedPart


def part_list(rows: Iterable[FailedPart], knowledge: Knowledge) -> Component:
    """Parts as large rows that lead to their causes: number, faults, day, mould."""
    return html.Ul([html.Li(_row(row, knowledge)) for row in rows], className="part-list")


def _row(row: FailedPart, knowledge: Knowledge) -> Component:
    titles = [knowledge.defects[d].title for d in row.defects if d in knowledge.defects]
    where = f", mould {row.mould_id}" if row.mould_id else ""
    return dcc.Link(
        [
            fault_picture(row.defects[0]),
            html.Span(
                [
                    html.Strong(row.part_id),
                    html.Span(", ".join(titles)),
                    html.Span(f"{day_words(row.date)}{where}", className="soft"),
                ],
                className="part-words",
            ),
        ],
        href=address("/cause", part=row.part_id),
    )
