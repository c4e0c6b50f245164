"""The bench check worth doing next, with one large button for each way it can turn out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.aria import aria
from dashboard.components.notices import cautions
from dashboard.components.words import minutes, sentence
from dashboard.state import Query, address, changed, seen_of, seen_text, words_of

if TYPE_CHECKING:
    from analytics.diagnosis.answer import Diagnosis, NextCheck
    from analytics.knowledge.model import BenchCheck


def next_check(path: str, query: Query, checks: Sequence[NextCheck]) -> Component | None:
    """The first check not passed over, and what else could be checked; None when all are done."""
    passed = words_of(query, "skip")
    waiting = [check for check in checks if check.check not in passed]
    if not waiting:
        return None
    first, *later = waiting
    return html.Section(
        [
            html.H2("Check this next"),
            html.H3(first.title),
            html.P([first.how, html.Span(f" About {minutes(first.minutes)}.", className="soft")]),
            cautions(first.cautions),
            html.P("What did you find?", className="ask", id="what-found"),
            html.Div(
                [
                    *[_result(path, query, first.check, *result) for result in first.results],
                    dcc.Link(
                        "Not sure, or cannot do it now",
                        className="button plain",
                        href=address(path, **changed(query, skip=",".join((*passed, first.check)))),
                    ),
                ],
                className="results",
                role="group",
                **aria(labelledby="what-found"),
            ),
            _later(later),
        ],
        className="next-check",
    )


def _result(path: str, query: Query, check: str, result: str, meaning: str) -> Component:
    seen = {**seen_of(query), check: result}
    return dcc.Link(
        sentence(meaning),
        className="button result",
        href=address(path, **changed(query, seen=seen_text(seen))),
    )


def _later(checks: Sequence[NextCheck]) -> Component | None:
    if not checks:
        return None
    return html.Details(
        [
            html.Summary("Other checks that would help"),
            html.Ul([html.Li([html.Strong(check.title), f" – {check.how}"]) for check in checks]),
        ]
    )


def answered(
    path: str, query: Query, diagnosis: Diagnosis, checks: Mapping[str, BenchCheck]
) -> Component | None:
    """What the bench checks found: those of this address can be taken back, or kept for good."""
    seen = seen_of(query)
    kept = {name: result for name, result in diagnosis.seen if name not in seen}
    if not seen and not kept:
        return None
    return html.Section(
        [
            html.H2("You have found"),
            html.Ul(
                [
                    *[
                        _found(
                            checks, name, kept[name], html.Span("written down", className="stamp")
                        )
                        for name in kept
                    ],
                    *[
                        _found(checks, name, seen[name], _take_back(path, query, seen, name))
                        for name in seen
                    ],
                ],
                className="found",
            ),
            html.Button(
                "Write this down with the part",
                className="plain screen-only",
                id={
                    "type": "observe",
                    "part": diagnosis.part,
                    "seen": seen_text(seen),
                },
            )
            if seen
            else None,
        ]
    )


def _found(checks: Mapping[str, BenchCheck], name: str, result: str, then: Component) -> Component:
    check = checks.get(name)
    meaning = check.results.get(result, result) if check else result
    return html.Li([html.Span([html.Strong(check.title if check else name), f": {meaning}"]), then])


def _take_back(path: str, query: Query, seen: Mapping[str, str], name: str) -> Component:
    rest = {other: result for other, result in seen.items() if other != name}
    return dcc.Link(
        "Take back",
        className="button plain small",
        href=address(path, **changed(query, seen=seen_text(rest))),
    )
