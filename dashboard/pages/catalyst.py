"""How much catalyst: what is in the pot, how warm it is, how long you want; the dose for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from dash import ALL, Dash, Input, Output, State, html, no_update
from dash.development.base_component import Component

from analytics.figures import catalyst as figures
from dashboard.binding import follow_address
from dashboard.components.charts import chart
from dashboard.components.dose import MATERIALS, form, materials, rests_on, temperature
from dashboard.components.notices import cautions, doubts, working
from dashboard.components.odds import odds
from dashboard.components.tag import tag
from dashboard.components.teach import SHARPENERS, columns, no_log
from dashboard.components.words import number
from dashboard.state import Query, number_of, read, search_of

if TYPE_CHECKING:
    from analytics.catalyst.answer import CatalystAdvice
    from analytics.shop import Shop

PATH, TITLE, SHORT = "/catalyst", "How much catalyst?", "Catalyst"
BOXES = ("t", "pot", "from", "to", "work", "lot")


def layout() -> Component:
    return html.Div(
        [
            html.H1(TITLE),
            html.Div(
                [
                    html.Div([html.Div(id="catalyst-material"), html.Div(id="catalyst-form")]),
                    html.Div(working(), id="catalyst-answer"),
                ],
                className="catalyst",
            ),
        ]
    )


def ask(shop: Shop, query: Query) -> CatalystAdvice:
    """The advice for what the address says; what it leaves out the shop decides."""
    low, high = number_of(query, "from"), number_of(query, "to")
    return shop.catalyst(
        material=query.get("material", "gelcoat"),
        temperature_c=number_of(query, "t"),
        window_min=(low, high) if low is not None and high is not None else None,
        working_min=number_of(query, "work"),
        pot_kg=number_of(query, "pot", 1.0),
        lot=query.get("lot"),
    )


def answer(shop: Shop, query: Query) -> Component:
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
            html.Div([headline(advice), instead(advice)], className="at-top"),
            cautions(advice.cautions, "Before you pour"),
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
    return (
        no_update
        if _boxes(query) == said
        else search_of(
            **{**{name: word for name, word in query.items() if name not in BOXES}, **said}
        )
    )


def keep_form(search: str | None, values: Sequence[Any], ids: Sequence[Mapping[str, str]]) -> Any:
    """The form for this address; left alone while it says so already, as someone is typing."""
    query = read(search)
    return no_update if ids and _boxes(query) == _said(values, ids) else form(query)


def _boxes(query: Query) -> dict[str, str]:
    return {name: query[name] for name in BOXES if query.get(name)}


def _said(values: Sequence[Any], ids: Sequence[Mapping[str, str]]) -> dict[str, str]:
    pairs = zip(ids, values, strict=True)
    return {id_["name"]: str(value) for id_, value in pairs if value not in (None, "")}


def register(app: Dash, shop: Shop) -> None:
    follow_address(app, PATH, "catalyst-material", partial(materials, PATH))
    follow_address(app, PATH, "catalyst-answer", partial(answer, shop))
    boxes = {"type": "dose", "name": ALL}
    app.callback(
        Output("catalyst-form", "children"),
        Input("address", "search"),
        State(boxes, "value"),
        State(boxes, "id"),
    )(keep_form)
    app.callback(
        Output("address", "search"),
        Input(boxes, "value"),
        State(boxes, "id"),
        State("address", "search"),
        prevent_initial_call=True,
    )(to_address)
