"""A chance as a bar of ten steps, with its words, its number and how far it could be off."""

from __future__ import annotations

from dash import html
from dash.development.base_component import Component

from analytics.diagnosis.answer import chance_words
from dashboard.components.aria import aria
from dashboard.components.words import could_be, in_hundred, percent, sentence


def odds(
    chance: float, low: float | None = None, high: float | None = None, words: str | None = None
) -> Component:
    """A chance [0..1] with its interval, for the eye and for the ear."""
    reach = {"--low": percent(low), "--high": percent(high)} if low is not None and high else {}
    return html.Div(
        [
            html.P(
                [
                    html.Strong(words or sentence(chance_words(chance))),
                    html.Span(in_hundred(chance), className="odds-number"),
                    html.Span(could_be(low, high), className="odds-reach"),
                ],
                className="odds-words",
            ),
            html.Div(
                [
                    html.Span(className="odds-fill"),
                    html.Span(className="odds-span") if reach else None,
                ],
                className="odds-bar",
                style={"--chance": percent(chance), **reach},
                **aria(hidden="true"),
            ),
        ],
        className="odds",
    )
