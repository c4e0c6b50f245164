"""Fair trials: how each stands, and the way of the next part."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from dash import dcc, html
from dash.development.base_component import Component

from analytics.figures import settle as figures
from dashboard.components.aria import aria
from dashboard.components.charts import chart
from dashboard.components.notices import doubts
from dashboard.components.tables import table
from dashboard.components.tag import tag
from dashboard.components.words import percent, plural
from dashboard.state import address

if TYPE_CHECKING:
    from analytics.settling.trial_answer import Arm, TrialLook
    from analytics.shop.settling_it import WayGiven

VERDICTS = {
    "stop-harm": "Stop now",
    "settled-a": "Settled: the first way",
    "settled-b": "Settled: the second way",
    "settled-alike": "Settled: no difference that matters",
    "spent": "Not settled in the parts planned",
    "go-on": "Go on",
    "stopped": "Stopped",
}


def trial_list(looks: Sequence[TrialLook], path: str, *, planning: bool) -> Component:
    """Every trial with its progress, newest first."""
    new = dcc.Link("Plan a new trial", href=address(path, tab="trials", new=1), className="button")
    cards = [html.Li(_card(look, path)) for look in looks]
    return html.Section(
        [
            html.Ul(cards, className="settle-trials") if cards else _no_trial(),
            None if planning else html.P(new, className="ways-on"),
        ]
    )


def _no_trial() -> Component:
    return html.P(
        "No trial yet. In a fair trial chance picks the way for each part, so that the easy parts "
        "do not all go one way; you may look at it any day.",
        className="calm",
    )


def _card(look: TrialLook, path: str) -> Component:
    return dcc.Link(
        [
            html.Strong(look.trial.name),
            html.Span(f"{look.trial.way('a')}, or {look.trial.way('b')}?"),
            html.Span(VERDICTS[look.verdict], className="verdict"),
            _progress(look),
        ],
        href=address(path, tab="trials", trial=look.trial.name),
    )


def _progress(look: TrialLook) -> Component:
    """How far along: parts with a result against the number planned for."""
    known = look.a.results + look.b.results
    share = known / look.trial.most if look.trial.most else 0.0
    return html.Span(
        [
            html.Span(
                html.Span(className="odds-fill"),
                className="odds-bar",
                style={"--chance": percent(share)},
                **aria(hidden="true"),
            ),
            html.Span(f"{known} parts with a result; planned: up to {look.trial.most}"),
        ],
        className="settle-progress",
    )


def trial_sheet(look: TrialLook, given: WayGiven | None, path: str) -> Component:
    """One trial: the way of the part just given, the next part, how it stands."""
    running = look.verdict in ("go-on", "spent")
    return html.Div(
        [
            way_tag(given) if given else None,
            _next_part() if running else None,
            tag(
                f"Trial {look.trial.name}: {look.trial.way('a')}, or {look.trial.way('b')}?",
                VERDICTS[look.verdict],
                look.sentence,
            )
            if not given
            else html.P(look.sentence, className="calm"),
            doubts(look.harm, "Why to stop"),
            _arms(look),
            _progress(look),
            chart("settle-growth", figures.growth(look)) if look.growth else None,
            doubts(look.warnings),
            _moulds(look),
            _plan_words(look),
            _stop(look),
            dcc.Link(
                "← All trials",
                href=address(path, tab="trials"),
                className="button plain screen-only",
            ),
        ],
        className="settle-answer",
    )


def way_tag(given: WayGiven) -> Component:
    """The way this part is to be made, large enough to read from the mould."""
    return tag(
        f"Part {given.part_id}, mould {given.mould}",
        given.said,
        "Make it this way, whatever you think of it, and write the result down as always.",
    )


def _next_part() -> Component:
    return html.Section(
        [
            html.H2("Next part: which way?"),
            html.Div(
                [
                    html.Label(
                        [
                            html.Span("Part number"),
                            dcc.Input(id="settle-part", type="text", autoComplete="off"),
                        ],
                        className="box",
                    ),
                    html.Label(
                        [
                            html.Span("Mould"),
                            dcc.Input(id="settle-mould", type="text", autoComplete="off"),
                        ],
                        className="box",
                    ),
                    html.Button("Which way?", id="settle-give"),
                ],
                className="settle-next",
            ),
        ],
        className="next-check screen-only",
    )


def _arms(look: TrialLook) -> Component:
    return html.Dl(
        [html.Div([html.Dt(arm.said), html.Dd(_arm(arm))]) for arm in (look.a, look.b)],
        className="tally",
    )


def _arm(arm: Arm) -> str:
    waiting = arm.given - arm.results
    more = f", {waiting} waiting" if waiting else ""
    return f"{arm.faults} of {arm.results} faulty{more}"


def _moulds(look: TrialLook) -> Component | None:
    if len(look.by_mould) < 2:
        return None
    rows = [
        (m.mould, f"{m.a_faults} of {m.a_results}", f"{m.b_faults} of {m.b_results}")
        for m in look.by_mould
    ]
    return table("Faulty parts by mould", ("Mould", look.a.said, look.b.said), rows)


def _plan_words(look: TrialLook) -> Component:
    trial = look.trial
    return html.Section(
        [
            html.H2("The plan"),
            html.P(
                f"Judged by {look.title}: usually {100 * trial.usual:.0f} in 100 parts "
                f"({trial.usual_from}). To find a difference of {100 * trial.matters:.0f} in 100 "
                f"takes about {trial.parts} parts in all; 8 in 10 such trials are settled within "
                f"{trial.most}. Looking often does no harm: at most 1 trial in 20 is settled "
                "wrongly, however often it is read."
            ),
            html.H3("When to stop at once"),
            html.Ul([html.Li(text) for text in look.stop_rule], className="readings"),
        ]
    )


def _stop(look: TrialLook) -> Component | None:
    if look.verdict == "stopped":
        return None
    return html.Details(
        [
            html.Summary("End this trial"),
            html.Div(
                [
                    html.Label(
                        [
                            html.Span("Why"),
                            dcc.Input(id="settle-why", type="text", autoComplete="off"),
                        ],
                        className="box",
                    ),
                    html.Button("End it", id="settle-stop", className="plain"),
                ],
                className="settle-next",
            ),
            html.P(
                f"{plural(look.a.given + look.b.given, 'part')} stay written as given.",
                className="soft",
            ),
        ],
        className="fold screen-only",
    )
