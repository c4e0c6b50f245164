"""Plain tables. Every cell is text: what a file says is never read as anything else."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.components.aria import aria

AS_WRITTEN = ("as typed", "as written")
"""How the head of a column ends whose cells are somebody's own words."""


def table(
    about: str, heads: Sequence[str], rows: Iterable[Sequence[Any]], css: str = ""
) -> Component:
    """A captioned table whose first column names its rows; it scrolls by itself if too wide."""
    head = html.Tr([html.Th(text, scope="col") if text else html.Td() for text in heads])
    body = [
        html.Tr(
            [
                html.Th(row[0], scope="row"),
                *[_cell(cell, head) for cell, head in zip(row[1:], heads[1:], strict=True)],
            ]
        )
        for row in rows
    ]
    return html.Div(
        html.Table([html.Caption(about), html.Thead(head), html.Tbody(body)], className=css),
        className="table-sheet",
        tabIndex="0",
        role="region",
        **aria(label=about),
    )


def _cell(cell: Any, head: str) -> Component:
    # On a phone the heads are gone and each cell carries its own.
    named: dict[str, Any] = {"data-head": head}
    if head.lower().endswith(AS_WRITTEN):
        named["className"] = "as-typed"
    return html.Td(cell, **named)
