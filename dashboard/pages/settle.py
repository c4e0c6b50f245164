"""Settle it: one way or the other, from the shop's own log; and fair trials."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from secrets import randbits
from typing import TYPE_CHECKING, Any

from dash import ALL, Dash, Input, Output, State, dcc, html, no_update, set_props
from dash.development.base_component import Component

from analytics.errors import QuestionError
from dashboard.binding import follow_address, tell
from dashboard.components.aria import aria
from dashboard.components.notices import done, working
from dashboard.components.settle_answer import comparison, questions
from dashboard.components.settle_form import OWN, own_form, plan_form
from dashboard.components.settle_trial import trial_list, trial_sheet
from dashboard.components.teach import no_log
from dashboard.state import Query, address, number_of, read, search_of

if TYPE_CHECKING:
    from analytics.shop import Shop

PATH, TITLE, SHORT = "/settle", "Settle it", "Settle"
TABS = {"old": "Old arguments", "own": "Any two ways", "trials": "Fair trials"}


def layout() -> Component:
    return html.Div(
        [
            html.H1(TITLE),
            html.Div(
                [
                    html.Div(id="settle-tabs"),
                    html.Div(id="settle-form"),
                    html.Div(working(), id="settle-answer"),
                ]
            ),
        ],
        className="settle-page",
    )


def tabs(query: Query) -> Component:
    """The three things this page does, the open one marked."""
    chosen = tab_of(query)
    items = [
        html.Li(
            dcc.Link(words, href=address(PATH, tab=tab)),
            className="here" if tab == chosen else None,
        )
        for tab, words in TABS.items()
    ]
    return html.Nav(html.Ul(items), className="switch settle-tabs", **aria(label="Settle it"))


def tab_of(query: Query) -> str:
    """Which of the three the address asks for."""
    tab = query.get("tab", "")
    return tab if tab in TABS else "old"


def form(shop: Shop, query: Query) -> Component | None:
    """The boxes that go with the address: two ways to pick, or a trial to plan."""
    if tab_of(query) == "own" and not shop.log().parts.empty:
        return own_form(shop, query)
    if tab_of(query) == "trials" and query.get("new"):
        return plan_form(shop, query)
    return None


def answer(shop: Shop, query: Query) -> Component:
    """What the address asks: an old argument, two ways of one's own, or a trial."""
    tab = tab_of(query)
    if tab == "trials":
        return _trials(shop, query)
    if shop.log().parts.empty and not query.get("q"):
        return html.Div(
            [
                no_log(
                    "settle",
                    "With a log of how each part was made and came out, this page sets one way "
                    "beside the other. A fair trial can be planned without one.",
                ),
                questions(shop.questions(), PATH),
            ]
        )
    if tab == "own":
        return _own(shop, query)
    if query.get("q"):
        return comparison(shop.compare_question(query["q"]), shop.knowledge, PATH)
    return questions(shop.questions(), PATH)


def _own(shop: Shop, query: Query) -> Component:
    if not (query.get("f") and query.get("d")):
        return html.P("Pick what was done two ways, and the fault to judge by.", className="calm")
    ways = [query[name] for name in ("a", "b") if query.get(name)]
    if len(ways) == 1:
        return html.P("Name the other way too, or leave both empty.", className="calm")
    matters = number_of(query, "m")
    found = shop.compare(
        query["f"], ways, defects=[query["d"]], matters=matters / 100 if matters else None
    )
    return comparison(found, shop.knowledge, PATH)


def _trials(shop: Shop, query: Query) -> Component:
    if query.get("trial"):
        look = shop.look_at_trial(query["trial"])
        given = shop.way_of(query["trial"], query["part"]) if query.get("part") else None
        return trial_sheet(look, given, PATH)
    looks = [shop.look_at_trial(trial.name) for trial in shop.trials()]
    return trial_list(looks, PATH, planning=bool(query.get("new")))


def to_address(values: Sequence[Any], ids: Sequence[Mapping[str, str]], search: str | None) -> Any:
    """The two ways picked, as the address writes them; no change while it says so already."""
    query, said = read(search), _said(values, ids)
    if tab_of(query) != "own" or {n: query[n] for n in OWN if query.get(n)} == said:
        return no_update
    if said.get("f") != query.get("f"):
        # Ways of another field mean nothing for this one.
        said = {name: word for name, word in said.items() if name not in ("a", "b")}
    return search_of(tab="own", **said)


def keep_form(shop: Shop, search: str | None, values: Sequence[Any], ids: Any) -> Any:
    """The form for this address; left alone while it says so already, as someone is typing."""
    query = read(search)
    shown = bool(ids) and {n: query[n] for n in OWN if query.get(n)} == _said(values, ids)
    return no_update if shown and tab_of(query) == "own" else form(shop, query)


def _said(values: Sequence[Any], ids: Sequence[Mapping[str, str]]) -> dict[str, str]:
    pairs = zip(ids, values, strict=True)
    return {id_["name"]: str(value) for id_, value in pairs if value not in (None, "")}


def give(shop: Shop, trial: str, part: str | None, mould: str | None) -> str:
    """Give a part its way; the address that shows it."""
    given = shop.assign(trial, part or "", mould or None)
    return search_of(tab="trials", trial=given.trial, part=given.part_id)


def plan(shop: Shop, said: Mapping[str, str], seed: int) -> str:
    """Plan a trial from the boxes; the address that shows it. Raises QuestionError."""
    missing = [name for name in ("name", "a", "b", "d") if not said.get(name)]
    if missing:
        raise QuestionError("a trial needs a name, two ways and the fault it hopes to change.")
    usual, matters = number_of(said, "usual"), number_of(said, "m")
    look = shop.new_trial(
        said["name"], said["a"], said["b"], defects=[said["d"]], seed=seed,
        field=said.get("f", ""), usual=usual / 100 if usual else None,
        matters=matters / 100 if matters else None,
    )  # fmt: skip
    return search_of(tab="trials", trial=look.trial.name)


def register(app: Dash, shop: Shop) -> None:
    follow_address(app, PATH, "settle-tabs", tabs)
    follow_address(app, PATH, "settle-answer", partial(answer, shop))
    own = {"type": "settle", "name": ALL}
    app.callback(
        Output("settle-form", "children"),
        Input("address", "search"),
        State(own, "value"),
        State(own, "id"),
    )(partial(keep_form, shop))
    app.callback(
        Output("address", "search", allow_duplicate=True),
        Input(own, "value"),
        State(own, "id"),
        State("address", "search"),
        prevent_initial_call=True,
    )(to_address)
    _register_trials(app, shop)


def _register_trials(app: Dash, shop: Shop) -> None:
    notice = Output("notice", "children", allow_duplicate=True)

    @app.callback(
        notice,
        Input("settle-give", "n_clicks"),
        State("settle-part", "value"),
        State("settle-mould", "value"),
        State("address", "search"),
        prevent_initial_call=True,
    )
    def press_give(clicks: int | None, part: str | None, mould: str | None, search: str) -> Any:
        return _go(clicks, lambda: give(shop, read(search).get("trial", ""), part, mould))

    @app.callback(
        notice,
        Input("settle-plan", "n_clicks"),
        State({"type": "settle-plan", "name": ALL}, "value"),
        State({"type": "settle-plan", "name": ALL}, "id"),
        prevent_initial_call=True,
    )
    def press_plan(clicks: int | None, values: list[Any], ids: list[Any]) -> Any:
        return _go(clicks, lambda: plan(shop, _said(values, ids), randbits(32)))

    @app.callback(
        notice,
        Input("settle-stop", "n_clicks"),
        State("settle-why", "value"),
        State("address", "search"),
        prevent_initial_call=True,
    )
    def press_stop(clicks: int | None, why: str | None, search: str) -> Any:
        if not clicks:
            return no_update
        name = read(search).get("trial", "")
        shop.stop_trial(name, why or "")
        tell("written")
        return done(f"The trial {name} is ended. What was given stays written.")


def _go(clicks: int | None, deed: Any) -> Any:
    """Do what a button asks and turn to the address it gives; the page there says the rest."""
    if not clicks:
        return no_update
    set_props("address", {"search": deed()})
    tell("written")
    return None
