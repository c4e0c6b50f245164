"""What pulled a cause up and what pulled it down, drawn: one bar for each fact, words beside it.

Bars to the right speak for the cause, bars to the left against it; an empty dotted box stands for
what nobody wrote down. Solid bars rest on the shop's own log, striped ones on the trade.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from dash import html
from dash.development.base_component import Component

from dashboard.components.aria import aria
from dashboard.components.words import percent, sentence

if TYPE_CHECKING:
    from analytics.diagnosis.answer import Clue, Diagnosis, RankedCause

STRONG, FAIR = 10.0, 5.0  # decibans: ten to one, and three to one
LEGEND = (
    ("for log", "from your log"),
    ("for trade", "from the trade"),
    ("unknown", "not written down"),
)


def longest_pull(diagnosis: Diagnosis) -> float:
    """The strongest clue of all causes [decibans]: a full bar, so that cards can be compared."""
    clues = (c for cause in diagnosis.causes for c in (*cause.clues_for, *cause.clues_against))
    return max((abs(clue.decibans) for clue in clues), default=STRONG)


def pulls(cause: RankedCause, longest: float, *, legend: bool = True) -> Component | None:
    """The picture of one cause; None where nothing is known for, against or missing."""
    groups = [
        _group("Speaks for it", "for", (_pull(c, "for", longest) for c in cause.clues_for)),
        _group("Speaks against it", "against",
               (_pull(c, "against", longest) for c in cause.clues_against)),
        _group("Not written down", "unknown", (_blank(text) for text in cause.unknown)),
    ]  # fmt: skip
    drawn = [group for group in groups if group is not None]
    if not drawn:
        return None
    return html.Div([*drawn, _legend() if legend else None], className="pulls")


def _group(title: str, kind: str, rows: Iterable[Component]) -> Component | None:
    listed = list(rows)
    if not listed:
        return None
    return html.Div([html.H4(title), html.Ul(listed)], className=f"clue-list {kind}")


def _pull(clue: Clue, way: str, longest: float) -> Component:
    strength = _strength(clue.decibans)
    source = "your log" if clue.origin == "log" else "the trade"
    return html.Li(
        [
            html.Div(
                [
                    sentence(clue.text),
                    html.Span(f"{strength}, from {source}", className="weight"),
                ],
                className="pull-words",
            ),
            _bar(f"{way} {clue.origin}", abs(clue.decibans) / longest),
        ],
        className=f"pull {strength}",
    )


def _blank(text: str) -> Component:
    return html.Li(
        [html.Div(sentence(text), className="pull-words"), _bar("unknown", 0.0)], className="pull"
    )


def _bar(kind: str, share: float) -> Component:
    return html.Div(
        html.Span(className=kind),
        className="pull-bar",
        style={"--pull": percent(min(share, 1.0))},
        **aria(hidden="true"),
    )


def _strength(decibans: float) -> str:
    size = abs(decibans)
    return "strong" if size >= STRONG else "fair" if size >= FAIR else "slight"


def _legend() -> Component:
    keys = [
        html.Span([html.Span(className=f"pull-key {kind}"), words], className="pull-meaning")
        for kind, words in LEGEND
    ]
    return html.P(
        ["Bars to the right pull it up, to the left down. ", *keys],
        className="pull-legend",
        **aria(hidden="true"),
    )
