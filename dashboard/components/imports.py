"""The files brought in so far, each with a way to take it back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from dash import html
from dash.development.base_component import Component

from dashboard.components.aria import aria
from dashboard.components.words import day_words, plural

if TYPE_CHECKING:
    from analytics.records.store import Import

SHOWN = 4


def imports_list(imports: Sequence[Import]) -> Component | None:
    """Newest first, the older ones folded away; None while nothing was brought in."""
    if not imports:
        return None
    lines = [html.Li(_line(one)) for one in reversed(imports)]
    older = html.Details(
        [
            html.Summary(f"{plural(len(lines) - SHOWN, 'older file')}"),
            html.Ul(lines[SHOWN:], className="imports"),
        ]
    )
    return html.Section(
        [
            html.H2("Brought in so far"),
            html.Ul(lines[:SHOWN], className="imports"),
            older if len(lines) > SHOWN else None,
        ]
    )


def _line(one: Import) -> list[Component]:
    counts = one.counts
    told = f"{counts.new} new, {counts.changed} changed, {counts.unchanged} known already"
    problems = f"; {plural(len(one.problems), 'thing')} to look at" if one.problems else ""
    about = html.Span(f"{day_words(one.at.date())}: {told}{problems}", className="soft")
    return [html.Span([html.Strong(one.file), about], className="import-words"), _undo(one)]


def _undo(one: Import) -> Component:
    if one.undone_at:
        return html.Span("taken back", className="stamp")
    return html.Button(
        "Take it back",
        id={"type": "undo", "import": one.id},
        className="plain",
        **aria(label=f"Take back {one.file}"),
    )
