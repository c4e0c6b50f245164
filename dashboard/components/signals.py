"""What stands out in a month against the months before."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from dash import dcc, html
from dash.development.base_component import Component

from analytics.days import day_words, month_words
from dashboard.components.aria import aria
from dashboard.components.fields import column_words
from dashboard.components.fold import fold
from dashboard.components.words import plural, sentence
from dashboard.state import address

if TYPE_CHECKING:
    from analytics.knowledge.model import Knowledge
    from analytics.month.answer import MonthReview, Signal

KINDS = {
    "defect": "Fault",
    "mould": "Mould",
    "gelcoat_lot": "Gel coat lot",
    "resin_lot": "Resin lot",
    "catalyst_lot": "Catalyst lot",
    "operator": "Person",
    "condition": "Condition",
    "process": "Drift",
    "reporting": "Writing down",
}
NAMED = 6


def signals(review: MonthReview, knowledge: Knowledge) -> Component:
    """What is new, clearest first, then what was shown before; or that there is none."""
    seen = [signal for signal in review.signals if not signal.new]
    if not review.signals:
        none = html.P("Nothing stands out against the months before.", className="calm")
        return html.Section([html.H2("What stands out"), none])
    if not review.news:
        return html.Section([html.H2("What still stands out, as before"), _listed(seen, knowledge)])
    return html.Section(
        [
            html.H2("What stands out"),
            _listed(review.news, knowledge),
            html.Details(
                [
                    html.Summary(f"{plural(len(seen), 'thing')} shown before and still so"),
                    _listed(seen, knowledge),
                ],
                className="fold seen-before",
            )
            if seen
            else None,
        ]
    )


def _listed(signals: Sequence[Signal], knowledge: Knowledge) -> Component:
    return html.Ol([html.Li(_signal(one, knowledge)) for one in signals], className="signals")


def _signal(signal: Signal, knowledge: Knowledge) -> Component:
    since = f"since {day_words(signal.since)}" if signal.since else ""
    about = [
        html.Span(KINDS.get(signal.kind, signal.kind), className="kind"),
        html.Strong(_subject(signal, knowledge)),
        html.Span(since, className="soft"),
    ]
    if signal.last_shown:
        about.append(html.Span(f"shown in {month_words(signal.last_shown)}", className="kind"))
    return html.Article(
        [
            html.P(about, className="signal-about"),
            html.P(signal.text, className="signal-text"),
            html.P([signal.strength, f", on {plural(signal.jobs, 'part')}"], className="soft"),
            _confounded(signal.confounded_with),
            part_chips(signal.part_ids),
        ]
    )


def _subject(signal: Signal, knowledge: Knowledge) -> str:
    """The mould, lot or person as the log names it; a fault or a column by its name."""
    if signal.subject in knowledge.defects:
        return knowledge.defects[signal.subject].title
    named_by_column = signal.kind in ("process", "condition", "reporting")
    return column_words(signal.subject) if named_by_column else signal.subject


def _confounded(others: Sequence[str]) -> Component | None:
    if not others:
        return None
    if len(others) == 1:
        told = f"Changed at the same time: {others[0]}. The log cannot tell them apart."
        return html.P(told, className="soft")
    about = f"{len(others)} other things changed at the same time; the log cannot tell them apart"
    return fold(about, html.P(f"{sentence(', '.join(others))}.", className="soft"), on_paper=True)


def part_chips(parts: Sequence[str]) -> Component | None:
    """The first few parts as small buttons that lead to their causes."""
    if not parts:
        return None
    more = len(parts) - NAMED
    chips = [
        html.Li(dcc.Link(part, href=address("/cause", part=part), className="chip"))
        for part in parts[:NAMED]
    ]
    if more > 0:
        chips.append(html.Li(f"and {more} more"))
    return html.Ul(chips, className="chips", **aria(label="Parts to look at"))
