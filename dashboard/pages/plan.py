"""Plan the day: one part, what to weigh out for it, and every step by the clock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from functools import partial
from math import isfinite
from typing import TYPE_CHECKING, Any

from dash import ALL, Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from analytics.errors import QuestionError
from analytics.figures import plan as figures
from analytics.planning import WrongTemperatureError
from analytics.planning.words import release_words, temperature_words
from dashboard.binding import follow_address
from dashboard.components import plan_sheet as sheet
from dashboard.components.charts import chart
from dashboard.components.fold import fold
from dashboard.components.notices import cautions, doubts, sorry, working
from dashboard.components.plan_form import BOXES, UNITS, form
from dashboard.components.tag import tag
from dashboard.components.teach import no_log
from dashboard.components.unit_boxes import DRAWN_IN, metric_boxes
from dashboard.components.words import number, sentence
from dashboard.state import Query, address, changed, number_of, read, search_of

if TYPE_CHECKING:
    from analytics.planning import DayPlan
    from analytics.shop import Shop

PATH, TITLE, SHORT = "/plan", "Plan the day", "Plan"
PRINT = "function(clicks) { if (clicks.some(Boolean)) { window.print(); } return ''; }"


def layout() -> Component:
    return html.Div(
        [
            html.H1(TITLE),
            html.Div(
                [
                    html.Div(id="plan-form"),
                    html.Div(working(), id="plan-answer"),
                ],
                className="plan-page",
            ),
            html.Div(id="plan-printed", hidden=True),
        ]
    )


def ask(shop: Shop, query: Query) -> DayPlan:
    """The plan for what the address says; what it leaves out the shop decides."""
    return shop.plan(
        mould=query.get("mould"),
        area_m2=_figure(query, "area"),
        schedule=query.get("plies"),
        temperature_c=_figure(query, "t"),
        start=query.get("start"),
        until=query.get("until"),
        day=_day(query.get("date")),
        humidity_pct=_figure(query, "rh"),
        release=query.get("release"),
        wax_coats=_whole(_figure(query, "coats")),
        pulls=_whole(_figure(query, "pulls")),
        gelcoat_lot=query.get("gl"),
        resin_lot=query.get("rl"),
        gelcoat_pct=_figure(query, "gd"),
        resin_pct=_figure(query, "rd"),
    )


def _figure(query: Query, name: str) -> float | None:
    """A number in the address; QuestionError where something else was typed."""
    found = number_of(query, name)
    if query.get(name) and (found is None or not isfinite(found)):
        raise QuestionError(f'"{query[name]}" is not a figure; type digits only, such as 18')
    return found


def _day(said: str | None) -> date | None:
    if not said:
        return None
    try:
        return date.fromisoformat(said)
    except ValueError:
        raise QuestionError(f'"{said}" is no date; write it like 2026-03-02') from None


def _whole(said: float | None) -> int | None:
    return None if said is None else round(said)


def answer(shop: Shop, query: Query) -> Component:
    """The plan as a sheet, or why there is none and what to do instead."""
    if not shop.planned_moulds() and not query.get("area"):
        return no_part()
    try:
        plan = ask(shop, query)
    except WrongTemperatureError as wrong:
        return not_now(wrong, query)
    return plan_sheet(plan, query)


def plan_sheet(plan: DayPlan, query: Query) -> Component:
    """Everything for the bench; dose and cautions stand together."""
    return html.Div(
        [
            headline(plan),
            moves(plan),
            html.Div([_day_after(plan, query),
                      html.Button("Print this sheet", id={"type": "plan-print", "of": "sheet"},
                                  className="plain")], className="steps screen-only"),
            sheet.checks(plan),
            sheet.risks(plan),
            _listed("Taken for granted, as nobody said", plan.assumed),
            html.Div([sheet.amounts(plan), sheet.mixes(plan)], className="plan-two"),
            cautions(plan.cautions, "Before you pour"),
            sheet.clock_list(plan),
            fold("The day as a picture", chart("plan-clock", figures.clock(plan))),
            doubts(plan.warnings),
        ],
        className="plan-sheet dose",
    )  # fmt: skip


def _day_after(plan: DayPlan, query: Query) -> Component:
    """To the same plan a day later: tomorrow is planned the evening before."""
    after = plan.date + timedelta(days=1)
    return dcc.Link(
        f"Plan {after:%A} →",
        href=address(PATH, **changed(query, date=after.isoformat())),
        className="button plain",
    )


def headline(plan: DayPlan) -> Component:
    """The three times that make the day."""
    laid = [step for step in plan.timeline if step.id.startswith("lay-")]
    gelcoat = next(step for step in plan.timeline if step.id == "gelcoat")
    day = "" if not gelcoat.tomorrow else f"{gelcoat.starts.usual:%A}: "
    times = (
        f"{day}gel coat {gelcoat.starts.usual:%H:%M}, lay-up {laid[0].starts.usual:%H:%M}, last "
        f"ply on {laid[-1].ends.usual:%H:%M}"
    )
    about = (
        f"{number(plan.area_m2)} m2, plies {plan.schedule} g/m2. {temperature_words(plan)}. "
        f"{sentence(release_words(plan))}."
    )
    return tag(plan.title, sentence(times), about)


def moves(plan: DayPlan) -> Component | None:
    """What does not fit today."""
    if not plan.moves:
        return None
    return html.Section(
        [html.H2("It does not all fit today"), html.Ul([html.Li(text) for text in plan.moves])],
        className="instead must",
    )


def _listed(title: str, texts: Sequence[str]) -> Component | None:
    if not texts:
        return None
    listed = html.Ul([html.Li(text) for text in texts], className="plan-assumed")
    return fold(title, listed, on_paper=True)


def not_now(wrong: WrongTemperatureError, query: Query) -> Component:
    """Too cold or too hot: what to do, and the plan for when that is done."""
    ways = [
        dcc.Link(
            f"Plan for {wrong.try_c:g} °C",
            href=address(PATH, **changed(query, t=f"{wrong.try_c:g}")),
            className="button",
        )
    ]
    if wrong.try_start:
        ways.append(
            dcc.Link(
                f"Start at {wrong.try_start}",
                href=address(PATH, **changed(query, start=wrong.try_start)),
                className="button plain",
            )
        )
    told = sorry(sentence(str(wrong)) + ".", "No plan at this temperature")
    return html.Div([told, html.Div(ways, className="ways-on")])


def no_part() -> Component:
    """What the page says while there is no log and nothing was asked."""
    return no_log(
        "plan",
        "Type an area and how warm it is, and laylog plans a part from trade figures alone. "
        "Your own log makes waits, laying speed, resin and gel times yours.",
        "Say how large the part is",
    )


def to_address(values: Sequence[Any], ids: Sequence[Mapping[str, str]], search: str | None) -> Any:
    """What the form says, as the address writes it; no change while it says so already."""
    query, said = read(search), _said(values, ids)
    if _boxes(query) == said:
        return no_update
    return search_of(**{**{k: v for k, v in query.items() if k not in BOXES}, **said})


def keep_form(
    shop: Shop, search: str | None, values: Sequence[Any], ids: Sequence[Mapping[str, str]]
) -> Any:
    """The form for this address; left alone while it says so already, as someone is typing."""
    query, system = read(search), shop.units()
    same_units = DRAWN_IN not in {id_["name"] for id_ in ids} or system in values
    said_already = bool(ids) and same_units and _boxes(query) == _said(values, ids)
    return no_update if said_already else form(shop.planned_moulds(), query, system)


def _boxes(query: Query) -> dict[str, str]:
    return {name: query[name] for name in BOXES if query.get(name)}


def _said(values: Sequence[Any], ids: Sequence[Mapping[str, str]]) -> dict[str, str]:
    return metric_boxes(values, ids, UNITS)


def register(app: Dash, shop: Shop) -> None:
    follow_address(app, PATH, "plan-answer", partial(answer, shop))
    boxes = {"type": "plan", "name": ALL}
    app.callback(
        Output("plan-form", "children"),
        Input("address", "search"),
        State(boxes, "value"),
        State(boxes, "id"),
    )(partial(keep_form, shop))
    app.callback(
        Output("address", "search", allow_duplicate=True),
        Input(boxes, "value"),
        State(boxes, "id"),
        State("address", "search"),
        prevent_initial_call=True,
    )(to_address)
    app.clientside_callback(
        PRINT,
        Output("plan-printed", "children"),
        Input({"type": "plan-print", "of": ALL}, "n_clicks"),
        prevent_initial_call=True,
    )
