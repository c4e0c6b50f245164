"""The log itself: drop a file and see what was read, take it back, look through the parts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from dash import ALL, Dash, Input, Output, State, ctx, dcc, html, no_update, set_props
from dash.development.base_component import Component

from analytics.errors import QuestionError
from dashboard.binding import do_on_press, follow_address, tell
from dashboard.components.import_report import report
from dashboard.components.imports import imports_list
from dashboard.components.notices import done, working
from dashboard.components.part_record import part_sheet
from dashboard.components.tables import table
from dashboard.components.teach import no_log
from dashboard.components.words import plural
from dashboard.finding import find_parts, headings, part_record
from dashboard.state import Query, address
from dashboard.uploads import on_disk

if TYPE_CHECKING:
    from analytics.shop import ImportAnswer, Shop

PATH, TITLE, SHORT = "/records", "The log", "Log"
LISTED = 30


def layout() -> Component:
    """The place to drop files, then what the address asks of the log."""
    return html.Div(
        [
            html.H1(TITLE),
            dcc.Upload(
                html.Div(
                    [
                        html.Strong("Drop your log here, or press to choose it"),
                        html.Span(
                            "CSV, TSV, XLSX or ODS, as you keep it; several files at once if they "
                            "belong together"
                        ),
                    ]
                ),
                id="drop",
                className="drop",
                className_active="drop over",
                multiple=True,
            ),
            dcc.Loading(html.Div(id="records-read"), delay_show=400),
            html.Div(working(), id="records-log"),
        ],
        className="records-page",
    )


def read_through(
    shop: Shop, contents: Sequence[str] | None, names: Sequence[str] | None
) -> Component | None:
    """What would be read from the dropped files; nothing is kept yet."""
    if not contents or not names:
        return None
    with on_disk(contents, names) as paths:
        answer = shop.check_files(paths)
    return html.Section(
        [
            html.H2("This is what laylog read"),
            report(answer.files),
            _keep(answer),
        ],
        className="read",
    )


def _keep(answer: ImportAnswer) -> Component:
    if answer.could_not:
        return html.P("There is no record in it to keep.", className="notice stop")
    return html.Div(
        [
            html.P(
                "Nothing is kept yet. Things to look at do not stand in the way: what was not "
                "understood stays unknown."
                if answer.has_problems
                else "Nothing is kept yet."
            ),
            html.Button("Keep these records", id={"type": "keep", "what": "drop"}),
        ],
        className="keep",
    )


def keep(shop: Shop, contents: Sequence[str], names: Sequence[str]) -> str:
    """Keep the records of the dropped files."""
    with on_disk(contents, names) as paths:
        saved = shop.import_files(paths).saved
    if saved is None:
        raise QuestionError("nothing was kept: there is no record in these files.")
    total = saved.total
    return (
        f"{plural(total.new, 'new record')}, {total.changed} changed, {total.unchanged} known "
        "already. Press a part below to see what was typed next to what was read; a file that "
        "should not be here can be taken back."
    )


def place(shop: Shop, header: str, target: str | None, unit: str | None) -> str:
    """Remember what a column holds."""
    if not target:
        raise QuestionError(f"say what “{header}” holds first: pick it from the list.")
    shop.place_column(header, target, (unit or "").strip() or None)
    return f"“{header}” is placed, in this file and every later one."


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
            ]
        )
    if "part" in query:
        part, units = part_record(shop, query["part"])
        named = headings(shop, part["origin"])
        return html.Div(
            [
                part_sheet(part, units, named),
                dcc.Link("All parts", href=PATH, className="button plain"),
            ]
        )
    return html.Div([imports_list(shop.imports()), _browse(shop)])


def _browse(shop: Shop) -> Component:
    return html.Section(
        [
            html.H2("Look through the parts"),
            html.Label(
                "Part, mould, fault, result or date", htmlFor="parts-filter", className="big-label"
            ),
            dcc.Input(id="parts-filter", type="search", autoComplete="off", debounce=0.2),
            html.Div(parts_table(shop, ""), id="parts-table"),
        ]
    )


def parts_table(shop: Shop, text: str | None) -> Component:
    """The parts that fit, newest first, each leading to its own record."""
    rows, count = find_parts(shop, text or "", LISTED)
    about = plural(count, "part") + (f", the newest {LISTED} shown" if count > LISTED else "")
    return table(
        about,
        ("Part", "Day", "Mould", "Result", "Faults as written"),
        [(dcc.Link(part, href=address(PATH, part=part)), *rest) for part, *rest in rows],
        css="stacked",
    )


def undo(shop: Shop, which: Mapping[str, Any]) -> str:
    """Take an import back."""
    shop.undo_import(which["import"])
    return "The file is taken back: its records are gone and its changes undone."


def register(app: Dash, shop: Shop) -> None:
    follow_address(app, PATH, "records-log", partial(log_answer, shop))
    app.callback(
        Output("records-read", "children"),
        Input("drop", "contents"),
        Input("columns-placed", "data"),
        State("drop", "filename"),
    )(lambda contents, _placed, names: read_through(shop, contents, names))
    app.callback(Output("parts-table", "children"), Input("parts-filter", "value"))(
        partial(parts_table, shop)
    )
    do_on_press(app, "undo", partial(undo, shop))
    _register_keep(app, shop)
    _register_place(app, shop)


def _register_keep(app: Dash, shop: Shop) -> None:
    @app.callback(
        Output("notice", "children", allow_duplicate=True),
        Input({"type": "keep", "what": ALL}, "n_clicks"),
        State("drop", "contents"),
        State("drop", "filename"),
        prevent_initial_call=True,
    )
    def pressed(clicks: list[int | None], contents: Any, names: Any) -> Any:
        if not any(clicks):
            return no_update
        sentence = keep(shop, contents, names)
        tell("written")
        set_props("drop", {"contents": None})
        return done(sentence)


def _register_place(app: Dash, shop: Shop) -> None:
    @app.callback(
        Output("notice", "children", allow_duplicate=True),
        Input({"type": "place", "header": ALL}, "n_clicks"),
        State({"type": "place-target", "header": ALL}, "value"),
        State({"type": "place-unit", "header": ALL}, "value"),
        State({"type": "place", "header": ALL}, "id"),
        prevent_initial_call=True,
    )
    def pressed(
        clicks: list[int | None], targets: list[Any], units: list[Any], ids: list[dict[str, str]]
    ) -> Any:
        if not any(clicks):
            return no_update
        at = ids.index(ctx.triggered_id)
        sentence = place(shop, ids[at]["header"], targets[at], units[at])
        tell("columns-placed")
        return done(sentence)
