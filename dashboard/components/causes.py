"""Ranked causes as cards: how likely, what speaks for and against, and what to do about each."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dash import html
from dash.development.base_component import Component

from dashboard.components.aria import aria
from dashboard.components.fold import fold
from dashboard.components.notices import cautions
from dashboard.components.odds import odds
from dashboard.components.pulls import longest_pull, pulls
from dashboard.components.words import number, percent, plural, sentence

if TYPE_CHECKING:
    from analytics.diagnosis.answer import Diagnosis, RankedCause

SHOWN = 5


def causes(diagnosis: Diagnosis) -> Component:
    """All causes, likeliest first: the first one open, the least likely folded away."""
    cards = [cause_card(diagnosis, rank) for rank in range(len(diagnosis.causes))]
    rest = cards[SHOWN:]
    return html.Section(
        [
            html.H2("What most likely did it"),
            html.Ol(cards[:SHOWN], className="causes"),
            fold(
                f"The {plural(len(rest), 'least likely cause')}",
                html.Ol(rest, className="causes", start=str(SHOWN + 1)),
            )
            if rest
            else None,
            html.Div(
                [
                    html.H3("Something not recorded"),
                    odds(diagnosis.unexplained),
                    html.P(
                        "A cause that is not in this list, or one that no record or check can show."
                    ),
                ],
                className="unexplained",
            ),
        ],
        className="ranking",
    )


def cause_card(diagnosis: Diagnosis, rank: int) -> Component:
    """One cause. The likeliest is fully open; the others open on a touch."""
    cause = diagnosis.causes[rank]
    about = [html.P(cause.what), html.P(f"{sentence(cause.start)}.", className="start")]
    head = html.Div(
        [
            html.Span(str(rank + 1), className="rank", **aria(hidden="true")),
            html.Div(
                [
                    html.H3(
                        [
                            cause.title,
                            html.Span("confirmed", className="stamp") if cause.confirmed else None,
                        ]
                    ),
                    *(about if not rank else []),
                    odds(cause.probability, cause.low, cause.high),
                ]
            ),
        ],
        className="cause-head",
    )
    body = _body(diagnosis, cause)
    if rank:
        # what is folded away stays folded on paper: there the picture stands by itself
        on_paper = html.Div(
            [html.P(cause.what), pulls(cause, longest_pull(diagnosis), legend=False)],
            className="paper-only",
        )
        body = [
            fold("Why, and what to do", *about, *body),
            on_paper,
        ]
    return html.Li([head, *body], className="cause first" if rank == 0 else "cause")


def _body(diagnosis: Diagnosis, cause: RankedCause) -> list[Any]:
    return [
        pulls(cause, longest_pull(diagnosis)),
        _rests_on(cause),
        html.Dl(
            [
                part
                for term, text in (
                    ("Check", cause.check),
                    ("Put right", cause.mend),
                    ("Next time", cause.prevent),
                )
                if text
                for part in (html.Dt(term), html.Dd(text))
            ],
            className="do",
        ),
        cautions(cause.cautions),
        _confirm(diagnosis, cause),
        html.P(f"Source: {cause.source}", className="source"),
    ]


def _rests_on(cause: RankedCause) -> Component:
    whole = cause.trade_jobs + cause.log_jobs
    share = cause.log_jobs / whole if whole else 0.0
    return html.Div(
        [
            html.P(
                [
                    "Rests on ",
                    html.Strong(f"{number(cause.log_jobs, 0)} jobs of your log"),
                    f" and on trade knowledge worth {number(cause.trade_jobs, 0)} jobs.",
                ]
            ),
            html.Div(
                html.Span(),
                className="split",
                style={"--log": percent(share)},
                **aria(hidden="true"),
            ),
        ],
        className="rests-on",
    )


def _confirm(diagnosis: Diagnosis, cause: RankedCause) -> Component:
    kind, words = (
        ("withdraw", "Take back: this was not proved")
        if cause.confirmed
        else ("confirm", "This was it: write it down")
    )
    return html.Button(
        words,
        className="button plain screen-only",
        id={"type": kind, "part": diagnosis.part, "defect": diagnosis.defect, "cause": cause.cause},
    )
