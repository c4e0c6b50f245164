"""The log itself: drop a file and see what was read, take it back, look through and put right."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any

from dash import ALL, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component
from flask import Response, abort

from analytics.errors import LaylogError
from dashboard import dropping
from dashboard.binding import do_on_press, follow_address, tell
from dashboard.components.exports import ALL_TABLES, KINDS, TABLES, exports
from dashboard.components.imports import imports_list
from dashboard.components.notices import done, working
from dashboard.components.part_record import as_corrected, part_sheet, value_words
from dashboard.components.parts import filters, found_parts
from dashboard.components.teach import no_log
from dashboard.components.unit_boxes import system_of
from dashboard.components.units import SAID, units_choice
from dashboard.state import Query, read, search_of

if TYPE_CHECKING:
    from analytics.shop import Shop
    from analytics.shop.browsing import OneRecord, Shown

PATH, TITLE, SHORT = "/records", "The log", "Log"
LISTED = 30
FILTERS = ("mould", "month", "fault")
CORRECT = {"record": ALL, "key": ALL, "field": ALL}


def layout() -> Component:
    """The place to drop files, then what the address asks of the log."""
    return html.Div(
        [
            html.H1(TITLE),
            *dropping.place_to_drop(),
            html.Div(working(), id="records-log"),
        ],
        className="records-page",
    )


# ---------------------------------------------------------------- the log


def log_answer(shop: Shop, query: Query) -> Component:
    """One part as typed and as read, or the imports and the list of parts."""
    if shop.log().parts.empty:
        return html.Div(
            [
                imports_list(shop.imports()),
                no_log(
                    "records",
                    "Drop the log as you keep it: no need to tidy it first. laylog shows "
                    "what it read next to what you typed, and asks about what it did not "
                    "understand. Nothing is kept until you say so.",
                ),
                units_choice(shop.units()),
            ]
        )
    if "part" in query:
        return _one_part(shop, query)
    return html.Div(
        [
            _browse(shop, query),
            exports(),
            imports_list(shop.imports()),
            units_choice(shop.units()),
        ]
    )


def _one_part(shop: Shop, query: Query) -> Component:
    records = shop.part_records(query["part"])
    key, bar, field = query.get("fix", "").rpartition("|")
    return html.Div(
        [
            part_sheet(records, (key, field) if bar else None, _titles(records), shop.units()),
            dcc.Link("All parts", href=PATH, className="button plain"),
        ]
    )


def _titles(records: Sequence[OneRecord]) -> dict[str, str]:
    """What a part's mixes are called."""
    values = {shown.field: shown.value for shown in records[0].fields}
    roles = {"gelcoat_batch_id": "Gel-coat mix", "resin_batch_id": "Resin mix"}
    return {
        str(values[pointer]): f"{words} {values[pointer]}"
        for pointer, words in roles.items()
        if values.get(pointer)
    }


def _browse(shop: Shop, query: Query) -> Component:
    return html.Section(
        [
            html.H2("Look through the parts"),
            filters(shop.browse_choices(), query),
            html.Div(parts_table(shop, "", query), id="parts-table"),
        ]
    )


def parts_table(shop: Shop, text: str | None, query: Query) -> Component:
    """The parts that fit, newest first, each leading to its own record."""
    chosen = {name: query.get(name, "") for name in FILTERS}
    rows, count = shop.browse(text or "", limit=LISTED, **chosen)
    return found_parts(rows, count)


def filtered(values: Sequence[str | None], search: str | None) -> Any:
    """The address with these filters; no change while it says so already."""
    query = read(search)
    chosen = {n: v or None for n, v in zip(FILTERS, values, strict=True)}
    if all(query.get(name) == value for name, value in chosen.items()):
        return no_update
    return search_of(**{**query, **chosen})


def correct(shop: Shop, where: Mapping[str, str], typed: str | None, was: str | None) -> str:
    """Put one field right; `was` says what stood in its box, and in which units it asked."""
    record, key, field = where["record"], where["key"], where["field"]
    drawn = json.loads(was or "{}")
    system, before = system_of(drawn), drawn.get("was")
    stood = replace(_field(shop, record, key, field), value=before)
    put = shop.correct(record, key, field, as_corrected(stood, typed or "", system), before)
    if put.import_id is None:
        return "It stood so already; nothing was changed."
    shown = _field(shop, record, key, field)
    return (
        f"{shown.name} of {key} is now: {value_words(shown)}. What it was stays in its history, "
        "and can be taken back."
    )


def _field(shop: Shop, record: str, key: str, field: str) -> Shown:
    return next(s for s in shop.one_record(record, key).fields if s.field == field)


def undo(shop: Shop, which: Mapping[str, Any]) -> str:
    """Take an import back."""
    shop.undo_import(which["import"])
    return "That is taken back: its records are gone and its changes undone."


def choose_units(shop: Shop, which: Mapping[str, Any]) -> str:
    """Say everything in these units from now on."""
    shop.set_units(which["system"])
    return SAID[which["system"]]


def export(shop: Shop, name: str, kind: str) -> Response:
    """A table of the log as a file to save."""
    if (name, kind) != (ALL_TABLES, "xlsx") and (name not in TABLES or kind not in KINDS):
        abort(404)
    try:
        content = shop.export(name, kind)
    except LaylogError as error:
        return Response(str(error), status=409, mimetype="text/plain")
    shown = f'attachment; filename="laylog-{name}.{kind}"'
    return Response(content, mimetype=KINDS[kind], headers={"Content-Disposition": shown})


# ---------------------------------------------------------------- tied to the page


def register(app: Dash, shop: Shop) -> None:
    follow_address(app, PATH, "records-log", partial(log_answer, shop))
    app.server.add_url_rule(
        "/export/<name>.<kind>", "export", lambda name, kind: export(shop, name, kind)
    )
    do_on_press(app, "undo", partial(undo, shop))
    do_on_press(app, "units", partial(choose_units, shop))
    dropping.register(app, shop)
    _register_filters(app, shop)
    _register_correct(app, shop)


def _register_filters(app: Dash, shop: Shop) -> None:
    app.callback(
        Output("parts-table", "children"),
        Input("parts-filter", "value"),
        State("address", "search"),
    )(lambda text, search: parts_table(shop, text, read(search)))
    app.callback(
        Output("address", "search", allow_duplicate=True),
        [Input({"type": "filter", "name": name}, "value") for name in FILTERS],
        State("address", "search"),
        prevent_initial_call=True,
    )(lambda *said: filtered(said[:-1], said[-1]))


def _register_correct(app: Dash, shop: Shop) -> None:
    @app.callback(
        Output("notice", "children", allow_duplicate=True),
        Input({"type": "correct", **CORRECT}, "n_clicks"),
        State({"type": "correct-value", **CORRECT}, "value"),
        State({"type": "correct-was", **CORRECT}, "data"),
        prevent_initial_call=True,
    )
    def pressed(clicks: list[int | None], typed: list[Any], was: list[Any]) -> Any:
        if not any(clicks):
            return no_update
        sentence = correct(shop, ctx.triggered_id, typed[0], was[0])
        tell("written")
        return done(sentence)
