"""The files brought in so far, each with a way to take it back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from dash import html
from dash.development.base_component import Component

from analytics.days import day_words
from dashboard.components.aria import aria
from dashboard.components.words import plural

if TYPE_CHECKING:
    from analytics.records.store import Import

SHOWN = 4
MOST = 100
BY_HAND = "by hand, "


def imports_list(imports: Sequence[Import]) -> Component | None:
    """Files brought in, then what was written by hand, newest first; None while there is nothing.

    The older ones are folded away.
    """
    newest = list(reversed(imports))
    lists = (
        ("Brought in so far", "file", [one for one in newest if not by_hand(one.file)]),
        ("Written by hand", "entry", [one for one in newest if by_hand(one.file)]),
    )
    shown = [_section(title, word, found) for title, word, found in lists if found]
    return html.Div(shown, className="imports-lists") if shown else None


def by_hand(file: str) -> bool:
    """Whether an origin is somebody's own hand, not a file."""
    return file.startswith(BY_HAND)


def _section(title: str, word: str, imports: Sequence[Import]) -> Component:
    lines = [html.Li(_line(one)) for one in imports[:MOST]]
    older = plural(
        len(lines) - SHOWN, f"older {word}", "older entries" if word == "entry" else None
    )
    return html.Section(
        [
            html.H2(title),
            html.Ul(lines[:SHOWN], className="imports"),
            html.Details([html.Summary(older), html.Ul(lines[SHOWN:], className="imports")])
            if len(lines) > SHOWN
            else None,
        ]
    )


def _line(one: Import) -> list[Component]:
    counts = one.counts
    told = f"{counts.new} new, {counts.changed} changed, {counts.unchanged} known already"
    problems = f"; {plural(len(one.problems), 'thing')} to look at" if one.problems else ""
    about = html.Span(f"{day_words(one.at.date())}: {told}{problems}", className="soft")
    return [
        html.Span([html.Strong(name_of(one.file)), about], className="import-words"),
        _undo(one),
    ]


def name_of(file: str) -> str:
    """What an import is called: its file, or the moment it was written by hand."""
    return file.rpartition(" ")[0].capitalize() if by_hand(file) else file


def _undo(one: Import) -> Component:
    if one.undone_at:
        return html.Span("taken back", className="stamp")
    return html.Button(
        "Take it back",
        id={"type": "undo", "import": one.id},
        className="plain",
        **aria(label=f"Take back {name_of(one.file)}"),
    )
