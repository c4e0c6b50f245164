"""The sheet of a plan that goes to the bench: checks, amounts, mixes, clock, risks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from dash import html
from dash.development.base_component import Component

from analytics.planning.words import MATERIALS, STATES, lasts_words, span_words, step_words
from dashboard.components.fold import fold
from dashboard.components.odds import odds
from dashboard.components.words import in_hundred, number, plural, sentence

if TYPE_CHECKING:
    from analytics.planning.answer import Check, DayPlan, Mix, Step

RISKS_TOLD, RISKS_SAID = 5, 2


def checks(plan: DayPlan) -> Component:
    """What to look at before starting, what stops the job first; what is in order folds away."""
    to_do = [check for check in plan.checks if check.state != "ok"]
    rest = [check for check in plan.checks if check.state == "ok"]
    return html.Section(
        [
            html.H2("Before you start"),
            html.Ul([_check(one) for one in to_do], className="ticks") if to_do else None,
            fold(
                f"In order: {', '.join(one.title.lower() for one in rest)}",
                html.Ul([_check(one) for one in rest], className="ticks"),
                on_paper=True,
            )
            if rest
            else None,
        ],
        className="plan-checks",
    )


def _check(check: Check) -> Component:
    return html.Li(
        [
            html.Strong(check.title),
            html.Span(STATES[check.state], className=f"plan-state {check.state}"),
            html.Span(check.text, className="plan-words"),
        ]
    )


def amounts(plan: DayPlan) -> Component:
    """Mat to cut, resin and gel coat to weigh."""
    taken = plan.materials
    ratio = taken.resin_to_glass
    rows = [
        (f"Ply {ply.number}", f"{number(ply.cut_m2)} m2", f"{ply.g_m2:.0f} g/m2 {ply.kind}, "
         f"{number(ply.cut_kg)} kg")
        for ply in taken.plies
    ]  # fmt: skip
    rows += [
        ("Resin", f"{number(taken.resin_kg)} kg", f"{number(ratio.usual)} to 1 of glass, "
         f"{ratio.source}"),
        ("Gel coat", f"{number(taken.gelcoat_kg)} kg", f"{number(taken.wet_film_mm)} mm wet"),
    ]  # fmt: skip
    return html.Section(
        [
            html.H2("Cut and weigh"),
            html.Ul([_tick(*row) for row in rows], className="ticks amounts"),
            html.P(
                f"{100 * taken.waste_share:.0f} % waste is in it. Laminate "
                f"{span_words(taken.thickness_mm, 'mm')} without gel coat, "
                f"{taken.glass_pct:.0f} % glass.",
                className="soft",
            ),
        ]
    )


def _tick(name: str, figure: str, more: str) -> Component:
    return html.Li(
        [
            html.Span(name, className="plan-name"),
            html.Strong(figure),
            html.Span(more, className="plan-words soft"),
        ]
    )


def mixes(plan: DayPlan) -> Component:
    """Each material's pots: one card with the dose, and a box to tick for each pot."""
    firsts = [mix for mix in plan.mixes if mix.number == 1]
    return html.Section(
        [
            html.H2("Mixes"),
            html.Div([_card(mix, plan.mixes) for mix in firsts], className="mix-cards"),
        ]
    )


def _card(first: Mix, every: Sequence[Mix]) -> Component:
    alike = [mix for mix in every if mix.material == first.material]
    many = "1 mix of" if first.of == 1 else f"{first.of} mixes, each"
    return html.Article(
        [
            html.H3(f"{MATERIALS[first.material]}: {many} {number(first.kg)} kg"),
            html.P(
                [
                    html.Strong(f"{number(first.grams, 1)} g"),
                    f" or {number(first.ml, 1)} ml of catalyst",
                ],
                className="mix-dose",
            ),
            html.P(f"{first.catalyst_pct:.2f} % by mass. {lasts_words(first)}."),
            html.Ul(
                [html.Li(f"{_nth(mix)}for {mix.covers}") for mix in alike], className="ticks pots"
            ),
        ]
    )


def _nth(mix: Mix) -> str:
    return f"Mix {mix.number}: " if mix.of > 1 else ""


def clock_list(plan: DayPlan) -> Component:
    """The day as a plain list: every step, its range, the test by hand, what it rests on."""
    return html.Section(
        [
            html.H2("By the clock"),
            html.P("The hand test decides, not the clock.", className="soft"),
            html.Ol([_step(step, plan) for step in plan.timeline], className="ticks by-clock"),
            fold(
                "What these times rest on",
                html.Ul(
                    [html.Li(f"{step.title}: {step.rests_on}") for step in plan.timeline],
                    className="plan-assumed soft",
                ),
            ),
            html.P(
                f"Latest start with the last ply on by {plan.until}: {plan.start_by}.",
                className="soft",
            )
            if plan.start_by and plan.fits
            else None,
        ]
    )


def _step(step: Step, plan: DayPlan) -> Component:
    return html.Li(
        [
            html.Strong(step.title),
            html.Span(step_words(step, plan.date), className="step-when"),
            html.Span(step.test, className="plan-words"),
        ]
    )


def risks(plan: DayPlan) -> Component | None:
    """What may go wrong with this plan, and the one change that helps most."""
    if not plan.risks:
        return None
    change: Any = (
        html.P([html.Strong("Helps most: "), plan.change.text], className="calm")
        if plan.change
        else None
    )
    return html.Section(
        [
            html.H2("What may go wrong with this plan"),
            change,
            fold(
                f"{sentence(', '.join(map(_in_short, plan.risks[:RISKS_SAID])))} …",
                html.Ul([_risk(risk) for risk in plan.risks[:RISKS_TOLD]], className="plan-risks"),
                html.P(_learnt_from(plan), className="soft"),
                on_paper=True,
            ),
        ],
        className="plan-risky",
    )


def _in_short(risk: Any) -> str:
    return f"{risk.title.lower()} {in_hundred(risk.probability)}"


def _risk(risk: Any) -> Component:
    return html.Li(
        [
            html.H3(risk.title),
            odds(risk.probability, risk.low, risk.high),
            html.P(f"Usual here: {in_hundred(risk.usual)}.", className="soft"),
        ]
    )


def _learnt_from(plan: DayPlan) -> str:
    if not plan.jobs_used:
        return "From the trade's shares alone: there is no log yet."
    return f"From {plural(plan.jobs_used, 'logged part')} and the trade's causes."
