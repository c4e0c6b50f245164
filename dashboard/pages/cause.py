"""Why did it fail: pick the part, see the likely causes, do the next check, see them move."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from dash import Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from analytics.diagnosis.answer import CLEAR, chance_words
from dashboard.binding import do_on_press, follow_address
from dashboard.components.aria import aria
from dashboard.components.causes import causes
from dashboard.components.drawings import fault_picture
from dashboard.components.faults import fault_sheet, gallery, pictured
from dashboard.components.likes import likes
from dashboard.components.next_check import answered, next_check
from dashboard.components.notices import cautions, doubts, working
from dashboard.components.parts import part_list
from dashboard.components.tag import tag
from dashboard.components.teach import no_log
from dashboard.components.where import where
from dashboard.components.words import could_be, in_hundred, plural, sentence
from dashboard.finding import find_failed, has_no_fault
from dashboard.state import Query, address, changed, search_of, seen_of, words_of

if TYPE_CHECKING:
    from analytics.diagnosis.answer import Diagnosis
    from analytics.shop import Shop

PATH, TITLE, SHORT = "/cause", "Why did it fail?", "Cause"
LISTED = 12


def layout() -> Component:
    return html.Div(
        [html.H1(TITLE), html.Div(working(), id="cause-answer")], className="cause-page"
    )


def answer(shop: Shop, query: Query) -> Component:
    """The page for what the address asks: a part, a fault by itself, or which part."""
    if "part" in query:
        return part_answer(shop, query)
    if query.get("fault") in shop.knowledge.defects:
        return html.Div(
            [
                fault_sheet(shop.knowledge, shop.knowledge.defects[query["fault"]]),
                dcc.Link("Another fault or part", href=PATH, className="button plain"),
            ]
        )
    return which_part(shop)


def which_part(shop: Shop) -> Component:
    """Search box, latest failures, and the faults by picture."""
    faults = html.Section(
        [
            html.H2("Or look at a fault by itself"),
            gallery(shop.knowledge, lambda defect: address(PATH, fault=defect)),
        ]
    )
    if shop.log().parts.empty:
        return html.Div(
            [
                no_log(
                    "cause",
                    "Press a fault below: laylog shows its usual causes, how "
                    "to check for each, and what to do with the part.",
                ),
                faults,
            ]
        )
    return html.Div(
        [
            html.Section(
                [
                    html.Label("Which part?", htmlFor="part-search", className="big-label"),
                    dcc.Input(
                        id="part-search",
                        type="search",
                        autoComplete="off",
                        placeholder="part number, mould or fault",
                    ),
                    html.Div(found(shop, ""), id="part-found"),
                ],
                className="search",
            ),
            faults,
        ]
    )


def found(shop: Shop, text: str | None) -> Component:
    """The failed parts that fit the text, latest first."""
    rows = find_failed(shop, text or "", LISTED)
    if not rows:
        return html.P(
            [
                f"No part with a fault written down has “{text}” in its number, mould or faults. "
                if text
                else "No part in the log has a fault written down. ",
                dcc.Link("Look through all parts", href="/records"),
            ],
            role="status",
        )
    return html.Div(
        [
            html.H2(f"{plural(len(rows), 'part')} found" if text else "Latest failures"),
            part_list(rows, shop.knowledge),
        ],
        role="status",
    )


def part_answer(shop: Shop, query: Query) -> Component:
    """Everything there is to say on one part; `fault` says which of its faults is open."""
    said = words_of(query, "say")
    if "pick" in query or (not said and has_no_fault(shop, query["part"])):
        return what_is_seen(shop, query)
    answers = shop.why(query["part"], seen=seen_of(query), asked=said)
    open_one = next((a for a in answers if a.defect == query.get("fault")), answers[0])
    return html.Div(
        [
            _switch(query, answers, open_one),
            html.Div(
                [
                    html.Div(
                        [_headline(open_one), doubts(open_one.warnings), _readings(open_one)],
                        className="at-top",
                    ),
                    html.Div(
                        [
                            next_check(PATH, query, open_one.next_checks),
                            where(PATH, query, open_one),
                            answered(PATH, query, open_one, shop.knowledge.checks),
                        ],
                        className="at-bench",
                    ),
                    causes(open_one),
                    _to_do(open_one),
                    likes(open_one.part, open_one.like_jobs),
                ],
                className="why",
            ),
            html.Div(
                [
                    dcc.Link(
                        "Something else is wrong with it",
                        className="button plain",
                        href=address(PATH, part=query["part"], pick="1"),
                    ),
                    dcc.Link("Another part", href=PATH, className="button plain"),
                ],
                className="ways-on",
            ),
        ]
    )


def _headline(diagnosis: Diagnosis) -> Component:
    """The likeliest cause in large type, or that none stands out yet."""
    about = f"{diagnosis.part}: {diagnosis.defect_title.lower()}"
    if not diagnosis.causes:
        return tag(about, "No cause in the trade knowledge brings this fault.")
    first = diagnosis.causes[0]
    told = f"{in_hundred(first.probability)}, {could_be(first.low, first.high)}."
    if first.confirmed:
        return tag(about, first.title, "Confirmed.")
    if first.probability < CLEAR:
        return tag(about, "Not clear yet", f"First to look at: {first.title}, {told}")
    return tag(about, first.title, f"{sentence(chance_words(first.probability))}: {told}")


def _readings(diagnosis: Diagnosis) -> Component | None:
    """What the trade reads from things seen together."""
    if not diagnosis.readings:
        return None
    return html.Ul([html.Li(f"{text}.") for text in diagnosis.readings], className="readings")


def _switch(query: Query, answers: Sequence[Diagnosis], open_one: Diagnosis) -> Component | None:
    if len(answers) < 2:
        return None
    return html.Nav(
        html.Ul(
            [
                html.Li(
                    dcc.Link(
                        [fault_picture(a.defect), html.Span(a.defect_title)],
                        href=address(PATH, **changed(query, fault=a.defect)),
                    ),
                    className="here" if a is open_one else None,
                )
                for a in answers
            ]
        ),
        className="switch",
        **aria(label="Faults of this part"),
    )


def _to_do(diagnosis: Diagnosis) -> Component:
    return html.Section(
        [
            html.H2("What to do"),
            pictured(
                diagnosis.defect,
                diagnosis.defect_title,
                ("With this part", diagnosis.this_part),
                ("So it does not come back", diagnosis.prevent),
                ("How it looks", diagnosis.look),
            ),
            cautions(diagnosis.cautions),
            html.P(
                f"Learnt from {plural(diagnosis.jobs_used, 'part')} of this log, on top of what "
                "the trade knows.",
                className="soft",
            ),
        ],
        className="to-do",
    )


def what_is_seen(shop: Shop, query: Query) -> Component:
    """The faults as pictures, for a part whose record does not say, or says too little."""
    part = query["part"]
    return html.Section(
        [
            html.H2(f"What do you see on {part}?"),
            html.P("Press the picture that looks most like it."),
            gallery(shop.knowledge, lambda defect: address(PATH, part=part, say=defect)),
        ]
    )


def open_first(shop: Shop, _presses: int | None, text: str | None) -> Any:
    """The address of the part that fits best what was typed; no change where none does."""
    rows = find_failed(shop, text, 1) if text else []
    return search_of(part=rows[0].part_id) if rows else no_update


def confirm(shop: Shop, which: Mapping[str, Any]) -> str:
    """Write down that this was the cause."""
    shop.confirm(which["part"], which["defect"], which["cause"])
    title = shop.knowledge.causes[which["cause"]].title
    return f"{which['part']}: “{title}” is written down as the cause, and counts from now on."


def withdraw(shop: Shop, which: Mapping[str, Any]) -> str:
    """Take back that this was the cause."""
    shop.withdraw(which["part"], which["defect"])
    return f"{which['part']}: the confirmed cause is taken back."


def observe(shop: Shop, which: Mapping[str, Any]) -> str:
    """Keep what the bench checks found with the part."""
    found_ = seen_of({"seen": which["seen"]})
    for check, result in found_.items():
        shop.observe(which["part"], check, result)
    return f"{which['part']}: {plural(len(found_), 'finding')} written down with the part."


def register(app: Dash, shop: Shop) -> None:
    follow_address(app, PATH, "cause-answer", partial(answer, shop))
    app.callback(Output("part-found", "children"), Input("part-search", "value"))(
        partial(found, shop)
    )
    app.callback(
        Output("address", "search", allow_duplicate=True),
        Input("part-search", "n_submit"),
        State("part-search", "value"),
        prevent_initial_call=True,
    )(partial(open_first, shop))
    do_on_press(app, "confirm", partial(confirm, shop))
    do_on_press(app, "withdraw", partial(withdraw, shop))
    do_on_press(app, "observe", partial(observe, shop))
