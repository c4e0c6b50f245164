"""How much catalyst: what is in the pot, how warm it is, how long you want; the dose for it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from dash import ALL, Dash, Input, Output, State, html, no_update
from dash.development.base_component import Component

from analytics.catalyst.cup import begun
from analytics.catalyst.sheet_gel import SheetGel
from analytics.figures import catalyst as figures
from analytics.saying import System
from dashboard.binding import follow_address, tell
from dashboard.components.charts import chart
from dashboard.components.cup import cup_form, cup_said, typed
from dashboard.components.dose import (
    MATERIALS,
    SHEET,
    UNITS,
    form,
    materials,
    rests_on,
    shows,
    temperature,
)
from dashboard.components.dose_set import set_before, set_button
from dashboard.components.notices import cautions, done, doubts, working
from dashboard.components.odds import odds
from dashboard.components.season import sheet
from dashboard.components.tag import tag
from dashboard.components.teach import SHARPENERS, columns, no_log
from dashboard.components.unit_boxes import DRAWN_IN, metric_boxes
from dashboard.components.words import number
from dashboard.state import Query, number_of, read, search_of

if TYPE_CHECKING:
    from analytics.catalyst.answer import CatalystAdvice
    from analytics.shop import Shop

PATH, TITLE, SHORT = "/catalyst", "How much catalyst?", "Catalyst"
BOXES = ("t", "pot", "from", "to", "work", "lot", "dose", *SHEET)


def layout() -> Component:
    return html.Div(
        [
            html.H1(TITLE),
            html.Div(
                [
                    html.Div(
                        [
                            html.Div(id="catalyst-show"),
                            html.Div(id="catalyst-material"),
                            html.Div(id="catalyst-form"),
                        ]
                    ),
                    html.Div(
                        [
                            html.Div(working(), id="catalyst-answer"),
                            html.Div(id="cup-said"),
                            html.Div(id="catalyst-set"),
                        ]
                    ),
                ],
                className="catalyst",
            ),
        ]
    )


def ask(shop: Shop, query: Query) -> CatalystAdvice:
    """The advice for what the address says; what it leaves out the shop decides."""
    dose = number_of(query, "dose")
    looked_at: dict[str, Any] = {} if dose is None else {"dose_pct": dose}
    return shop.catalyst(
        **_wanted(query),
        temperature_c=number_of(query, "t"),
        pot_kg=number_of(query, "pot", 1.0),
        lot=query.get("lot"),
        **looked_at,
    )


def _wanted(query: Query) -> dict[str, Any]:
    """What is asked of one pot and of the year alike."""
    low, high = number_of(query, "from"), number_of(query, "to")
    wanted = {
        "material": query.get("material", "gelcoat"),
        "window_min": (low, high) if low is not None and high is not None else None,
        "working_min": number_of(query, "work"),
    }
    gel, at_c, pct = (number_of(query, name) for name in SHEET)
    if gel is None or at_c is None or pct is None:
        return wanted
    return {**wanted, "sheet_gel": SheetGel(gel, at_c, pct)}


def answer(shop: Shop, query: Query) -> Component:
    """What was asked for: this pot, the year, or the boxes of a cup test."""
    show = query.get("show", "today")
    if show == "year":
        return sheet(shop.season(**_wanted(query)), shop.units())
    if show == "cup":
        return cup_form(query, shop.last_mix(query.get("material", "gelcoat")), shop.units())
    return this_pot(shop, query)


def this_pot(shop: Shop, query: Query) -> Component:
    """Dose, gel time, chance, what to do where no dose will do, and the ten cautions."""
    if "t" not in query and shop.log().parts.empty:
        return no_log(
            "catalyst",
            "Say how warm resin and mould are, and laylog gives a first "
            "figure from trade knowledge. Your own gel times make it yours.",
        )
    advice = ask(shop, query)
    return html.Div(
        [
            doubts(_half_asked(query), "Not asked yet"),
            doubts((advice.ask_first,), "First of all") if advice.ask_first else None,
            html.Div([headline(advice), instead(advice)], className="at-top"),
            cautions(advice.cautions, "Before you pour"),
            set_button(),
            html.Div(
                [
                    doubts(advice.cure_risks, "It may gel and still not cure"),
                    doubts(advice.warnings),
                    chart("catalyst-chance", figures.chance(advice)),
                    chart("catalyst-gel", figures.gel_time(advice)),
                    rests_on(advice),
                    None
                    if advice.jobs_used
                    else html.Section(
                        [
                            html.H2("Columns that sharpen it most"),
                            columns(SHARPENERS["catalyst"]),
                        ],
                        className="teach",
                    ),
                ],
                className="more",
            ),
        ],
        className="dose",
    )


def _half_asked(query: Query) -> tuple[str, ...]:
    """What to say where only one end of the wanted gel time was typed."""
    if ("from" in query) == ("to" in query):
        return ()
    return ("A wanted gel time needs both ends: type gel not before, and gel not after.",)


def headline(advice: CatalystAdvice) -> Component:
    """The dose three ways and the gel time to expect, or first that no dose does it."""
    about = f"{MATERIALS[advice.material]}, {temperature(advice)}"
    return html.Div(
        [
            tag(about, _dose(advice), _expected(advice))
            if advice.feasible
            else tag(about, "Not by catalyst alone", _nearest(advice)),
            html.Div(
                [
                    html.H2(
                        f"Chance it gels in {advice.window.low:.0f} to {advice.window.high:.0f} min"
                    ),
                    odds(advice.chance),
                ],
                className="chance",
            ),
        ]
    )


def _dose(advice: CatalystAdvice) -> list[Component]:
    return [
        html.Span(f"{number(advice.grams, 1)} g", className="dose-grams"),
        html.Span(f"or {number(advice.ml, 1)} ml", className="dose-ml"),
        html.Span(f"in {number(advice.pot_kg)} kg", className="dose-pot"),
    ]


def _expected(advice: CatalystAdvice) -> str:
    gel = advice.gel_min
    return (
        f"{advice.catalyst_pct:.2f} % by mass. Gels in about {gel.median:.0f} min in the "
        f"{advice.gel_at}; 9 times in 10 from {gel.low:.0f} to {gel.high:.0f} min."
    )


def _nearest(advice: CatalystAdvice) -> str:
    """The nearest allowed dose, said small: what to do instead comes first."""
    return (
        f"{advice.instead[0] if advice.instead else ''} The nearest dose allowed, "
        f"{advice.catalyst_pct:.2f} % ({number(advice.grams, 1)} g or {number(advice.ml, 1)} ml in "
        f"{number(advice.pot_kg)} kg), gels in about {advice.gel_min.median:.0f} min."
    )


def instead(advice: CatalystAdvice) -> Component | None:
    """What to do where dose alone will not do it."""
    if not advice.instead:
        return None
    title = "Better than more or less catalyst" if advice.feasible else "Do this instead"
    return html.Section(
        [
            html.H2(title),
            html.Ul([html.Li(text) for text in advice.instead]),
        ],
        className="instead" if advice.feasible else "instead must",
    )


def to_address(values: Sequence[Any], ids: Sequence[Mapping[str, str]], search: str | None) -> Any:
    """What the form says, as the address writes it; no change while it says so already.

    Writing the same again would put the page between the reader and the way back.
    """
    query, said = read(search), _said(values, ids)
    drawn = {id_["name"] for id_ in ids}
    if _boxes(query, drawn) == said:
        return no_update
    return search_of(**{name: word for name, word in query.items() if name not in drawn} | said)


def keep_form(
    search: str | None,
    values: Sequence[Any],
    ids: Sequence[Mapping[str, str]],
    system: System = "metric",
    unlearnt: bool = False,
) -> Any:
    """The form for this address; left alone while it says so already, as someone is typing."""
    query = read(search)
    drawn = {id_["name"] for id_ in ids}
    fits = query.get("show", "today") == ("today" if "t" in drawn else "year")
    same_units = DRAWN_IN not in drawn or system in values
    if drawn and fits and same_units and _boxes(query, drawn) == _said(values, ids):
        return no_update
    return form(query, system, unlearnt)


def _unlearnt(shop: Shop, search: str | None) -> bool:
    """True where the log has no mix of the material asked about."""
    material = read(search).get("material", "gelcoat")
    return material in MATERIALS and shop.last_mix(material) is None


def _boxes(query: Query, drawn: Collection[str]) -> dict[str, str]:
    return {name: query[name] for name in BOXES if name in drawn and query.get(name)}


def set_lately(shop: Shop, query: Query) -> Component:
    """Below a pot: what was set lately and what came of it."""
    if query.get("show", "today") != "today":
        return html.Div()
    return set_before(shop.doses_set(query.get("material", "gelcoat")))


def write_set(shop: Shop, query: Query) -> str:
    """Write the dose shown down as set; the sentence that says so."""
    advice = ask(shop, query)
    if not shop.set_dose(advice):
        return "That dose is written down as set already."
    return (
        f"Written down: {advice.catalyst_pct:.2f} % set. Log its gel time, and it will stand "
        "beside the one expected."
    )


def log_cup(shop: Shop, query: Query, values: Sequence[Any], ids: Any) -> Component:
    """Keep the cup in the boxes; what it says of its lot."""
    material = query.get("material", "gelcoat")
    cup, _ = begun(material, **typed(values, ids), last=shop.last_mix(material))
    return cup_said(shop.cup_test(cup))


def _said(values: Sequence[Any], ids: Sequence[Mapping[str, str]]) -> dict[str, str]:
    return metric_boxes(values, ids, UNITS)


def register(app: Dash, shop: Shop) -> None:
    follow_address(app, PATH, "catalyst-show", partial(shows, PATH))
    follow_address(app, PATH, "catalyst-set", partial(set_lately, shop))
    follow_address(app, PATH, "catalyst-material", partial(materials, PATH))
    follow_address(app, PATH, "catalyst-answer", partial(answer, shop))
    boxes = {"type": "dose", "name": ALL}
    app.callback(
        Output("catalyst-form", "children"),
        Input("address", "search"),
        State(boxes, "value"),
        State(boxes, "id"),
    )(
        lambda search, values, ids: keep_form(
            search, values, ids, shop.units(), _unlearnt(shop, search)
        )
    )
    app.callback(
        Output("address", "search"),
        Input(boxes, "value"),
        State(boxes, "id"),
        State("address", "search"),
        prevent_initial_call=True,
    )(to_address)
    _register_writing(app, shop)


def _register_writing(app: Dash, shop: Shop) -> None:
    """The two buttons that write: a dose set, and a cup test."""

    @app.callback(
        Output("notice", "children", allow_duplicate=True),
        Input("dose-set", "n_clicks"),
        State("address", "search"),
        prevent_initial_call=True,
    )
    def set_pressed(clicks: int | None, search: str | None) -> Any:
        if not clicks:
            return no_update
        said = write_set(shop, read(search))
        tell("written")
        return done(said)

    cup = {"type": "cup", "name": ALL}

    @app.callback(
        Output("cup-said", "children"),
        Input("cup-log", "n_clicks"),
        State("address", "search"),
        State(cup, "value"),
        State(cup, "id"),
        prevent_initial_call=True,
    )
    def cup_pressed(clicks: int | None, search: str | None, values: Any, ids: Any) -> Any:
        if not clicks:
            return no_update
        said = log_cup(shop, read(search), values, ids)
        tell("written")
        return said

    # Once the address changes, what the last cup said is about something else.
    app.callback(
        Output("cup-said", "children", allow_duplicate=True),
        Input("address", "search"),
        prevent_initial_call=True,
    )(lambda _search: None)
