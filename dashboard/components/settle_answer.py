"""The old arguments, and the answer to one: a sentence, a picture, what to do."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from dash import dcc, html
from dash.development.base_component import Component

from analytics.figures import settle as figures
from analytics.settling.answer import VERDICT_WORDS
from dashboard.components.charts import chart
from dashboard.components.notices import cautions, doubts
from dashboard.components.tag import tag
from dashboard.components.words import plural
from dashboard.state import address

if TYPE_CHECKING:
    from analytics.knowledge.model import Knowledge, Question
    from analytics.settling.answer import Comparison, Finding


def questions(asked: Sequence[Question], path: str) -> Component:
    """The old arguments as large buttons, with both claims."""
    return html.Section(
        [
            html.H2("Which argument?"),
            html.Ul([html.Li(_question(q, path)) for q in asked], className="settle-questions"),
        ]
    )


def _question(question: Question, path: str) -> Component:
    state = (
        "not to be tried" if question.refused else "not from the log" if question.otherwise else ""
    )
    return dcc.Link(
        [
            html.Strong(question.title),
            html.Span(f"‘{question.claim_a}’ or ‘{question.claim_b}’"),
            html.Span(
                state or f"needs {question.least}", className="verdict odd" if state else "soft"
            ),
        ],
        href=address(path, q=question.id),
    )


def comparison(answer: Comparison, knowledge: Knowledge, path: str) -> Component:
    """Everything the log says of two ways, the answer first."""
    verdict = VERDICT_WORDS[answer.verdict]
    if answer.tangled and answer.verdict in ("a-better", "b-better"):
        verdict = "The log alone cannot tell"
    return html.Div(
        [
            tag(answer.title, verdict, answer.sentence),
            cautions(answer.cautions),
            _to_do(answer, path),
            doubts([t.text for t in answer.tangled], "Differed as well"),
            _picture(answer.findings[0], answer) if answer.findings else None,
            _others(answer.findings[1:]),
            doubts(answer.warnings),
            _counted(answer),
            dcc.Link(
                "← All the old arguments", href=address(path), className="button plain screen-only"
            ),
        ],
        className="settle-answer",
    )


def _to_do(answer: Comparison, path: str) -> Component | None:
    if not answer.to_do and answer.verdict != "elsewhere":
        return None
    lines = [html.Li(_without_command(text)) for text in answer.to_do]
    plan = dcc.Link(
        "Plan a fair trial", href=_plan_address(answer, path), className="button screen-only"
    )
    settled = answer.verdict in ("a-better", "b-better", "alike") and not answer.tangled
    return html.Section(
        [html.H2("What to do"), html.Ul(lines), None if settled else plan], className="instead"
    )


def _without_command(text: str) -> str:
    """A sentence for the screen: there is a button where the terminal has a command."""
    return text.replace(" (laylog trial new)", "")


def _plan_address(answer: Comparison, path: str) -> str:
    defect = answer.findings[0].defect if answer.findings else None
    ready = answer.question != "own-question"
    return address(
        path, tab="trials", new=1, name=answer.question if ready else None,
        f=answer.field or None, a=answer.a.typed, b=answer.b.typed, d=defect,
    )  # fmt: skip


def _picture(finding: Finding, answer: Comparison) -> Component | None:
    """Both shares as bars, then mould by mould where more than one mould had both ways."""
    if finding.adjusted is None:
        return None
    pairs = [p for p in finding.by_mould if p.a_parts and p.b_parts]
    return html.Div(
        [
            chart("settle-bars", figures.two_ways(answer, finding)),
            chart("settle-moulds", figures.by_mould(answer, finding)) if len(pairs) > 1 else None,
        ],
        className="settle-pictures",
    )


def _others(findings: Sequence[Finding]) -> Component | None:
    if not findings:
        return None
    return html.Section(
        [html.H2("Other faults"), *[html.P(f.sentence, className="settle-other") for f in findings]]
    )


def _counted(answer: Comparison) -> Component | None:
    """What the answer rests on, and what it cannot know."""
    if not answer.findings:
        return None
    held = f", with the same {', '.join(answer.held)}" if answer.held else ""
    lines = [f"{one.parts}: {one.why}" for one in answer.out]
    return html.Section(
        [
            html.H2("What this rests on"),
            html.P(f"{plural(answer.compared, 'part')} set side by side{held}."),
            html.P(f"Only parts with {answer.where}.") if answer.where else None,
            _fold("Parts left out, and why", lines),
            _fold("What the log cannot know", answer.cannot_know),
        ]
    )


def _fold(title: str, lines: Sequence[str]) -> Component | None:
    if not lines:
        return None
    told = html.Ul([html.Li(line) for line in lines], className="readings")
    return html.Details([html.Summary(title), told], className="fold")
