"""Files dropped on the log's page: looked at, mended cell by cell, kept or left."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from dash import ALL, Dash, Input, Output, State, ctx, dcc, html, no_update, set_props
from dash.development.base_component import Component

from analytics.errors import FileError, QuestionError
from analytics.records.mends import Mend
from analytics.stopping import StoppedError, Watch, watched
from dashboard.binding import tell
from dashboard.components.import_report import Cells, report
from dashboard.components.notices import done, sorry
from dashboard.components.preview import cell_id, preview_sheets
from dashboard.components.words import plural, sentence
from dashboard.uploads import Waiting

if TYPE_CHECKING:
    from analytics.shop import ImportAnswer, Shop
    from analytics.shop.previewing import Preview

LOOK_MS = 500
"""How often the page asks how far a reading has got."""
MEND = {"type": "mend", "file": ALL, "sheet": ALL, "row": ALL, "column": ALL}


def place_to_drop() -> list[Component]:
    """The box to drop files in, and the place for what was read of them."""
    return [
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
        dcc.Store(id="waiting"),
        _busy("arriving", "The file is on its way …"),
        _busy(
            "reading",
            "Reading it … A year of jobs takes a few seconds, a very long log a minute or more. "
            "Nothing is kept yet.",
            "reading-step",
            html.Button("Stop, and forget the file", id="stop-reading", className="plain"),
        ),
        _busy(
            "keeping",
            "Keeping the records … all of them or none.",
            "keeping-step",
            html.Button("Stop, and keep nothing", id="stop-keeping", className="plain"),
        ),
        dcc.Interval(id="how-far", interval=LOOK_MS, disabled=True),
        html.Div(id="records-read"),
    ]


def _busy(place: str, words: str, step: str = "", stop: Component | None = None) -> Component:
    """What is said for as long as something takes, with the step reached; hidden otherwise."""
    said: Component = html.P(words)
    if step:
        said = html.Div([said, html.P(id=step, className="soft")])
    return html.Div([said, stop], id=place, className="busy", hidden=True, role="status")


def _while(place: str) -> list[tuple[Output, bool, bool]]:
    """Shows this line while a callback runs."""
    return [(Output(place, "hidden"), False, True)]


def _while_working(place: str) -> list[tuple[Output, bool, bool]]:
    """Shows this line, with the step reached, while a callback runs."""
    return [*_while(place), (Output("how-far", "disabled"), False, True)]


def look(shop: Shop, waiting: Waiting, name: str) -> Component:
    """What would be read from the files that wait; nothing is kept yet."""
    with waiting.held(name) as upload, watched(upload.watch):
        preview = shop.preview(upload.paths, upload.mends)
        upload.typed = {
            (sheet.file, sheet.sheet, row.row, cell.column): cell.typed
            for sheet in preview.sheets
            for row in sheet.to_mend
            for cell in row.cells
        }
    return html.Section(
        [
            html.H2("This is what laylog read"),
            _keep(preview.answer, "head"),
            preview_sheets(preview.sheets),
            report(preview.answer.files, _cells(preview)),
            _keep(preview.answer, "foot") if not preview.answer.could_not else None,
        ],
        className="read",
    )


def _cells(preview: Preview) -> Cells:
    """Where each problem's cell is on the page."""
    return {
        (problem.file, problem.sheet, problem.row or 0, problem.column or ""): cell_id(
            sheet.file, sheet.sheet, row.row, cell.column
        )
        for sheet in preview.sheets
        for row in sheet.to_mend
        for cell in row.cells
        for problem in cell.problems
    }


def _keep(answer: ImportAnswer, at: str) -> Component:
    if answer.could_not:
        leave = html.Button("Leave it", id={"type": "leave", "what": at}, className="plain")
        sorry = html.P("There is no record in it to keep.", className="notice stop")
        return html.Div([sorry, leave])
    return html.Div(
        [
            html.P(
                "Nothing is kept yet. Things to look at do not stand in the way: what was not "
                "understood stays unknown."
                if answer.has_problems
                else "Nothing is kept yet."
            ),
            html.Button("Keep it", id={"type": "keep", "what": at}),
            html.Button("Leave it", id={"type": "leave", "what": at}, className="plain"),
        ],
        className="keep",
    )


def mend(
    waiting: Waiting, name: str, cells: Sequence[Mapping[str, Any]], texts: Sequence[str | None]
) -> None:
    """Note what was typed in the boxes, where it differs from what stands in the file."""
    with waiting.held(name) as upload:
        mends: dict[str, dict[tuple[str, int, int], Mend]] = {
            file: {(m.sheet, m.row, m.column): m for m in listed}
            for file, listed in upload.mends.items()
        }
        for cell, text in zip(cells, texts, strict=True):
            own = mends.setdefault(cell["file"], {})
            at = (cell["sheet"], cell["row"], cell["column"])
            if (text or "") == upload.typed.get((cell["file"], *at), ""):
                own.pop(at, None)
            else:
                own[at] = Mend(*at, text or "")
        upload.mends = {file: tuple(own.values()) for file, own in mends.items() if own}


def keep(shop: Shop, waiting: Waiting, name: str) -> str:
    """Keep the records of the files that wait, with what was typed anew.

    Raises StoppedError where somebody stops it before the end: nothing is kept then.
    """
    with waiting.held(name) as upload, watched(upload.watch):
        saved = shop.keep_files(upload.paths, upload.mends).saved
    waiting.drop(name)
    if saved is None:
        raise QuestionError("nothing was kept: there is no record in these files.")
    total = saved.total
    return (
        f"{plural(total.new, 'new record')}, {total.changed} changed, {total.unchanged} known "
        "already. Press a part below to see what was typed next to what was read; a file that "
        "should not be here can be taken back."
    )


def keep_or_stop(shop: Shop, waiting: Waiting, name: str) -> Component:
    """Keep the files that wait and say so, or say that it was stopped; the page follows."""
    try:
        told = keep(shop, waiting, name)
    except StoppedError:
        with waiting.held(name) as upload:
            upload.watch = Watch()
        return done("Stopped: nothing was kept. The file still waits below.")
    tell("written")
    _clear()
    return done(told)


def place(shop: Shop, header: str, target: str | None, unit: str | None) -> str:
    """Remember what a column holds."""
    if not target:
        raise QuestionError(f"say what “{header}” holds first: pick it from the list.")
    shop.place_column(header, target, (unit or "").strip() or None)
    return f"“{header}” is placed, in this file and every later one."


def register(app: Dash, shop: Shop) -> None:
    """Tie the box and its buttons to the shop; the files wait here in between."""
    waiting = Waiting()
    _register_look(app, shop, waiting)
    _register_keep(app, shop, waiting)
    _register_place(app, shop)


def _register_look(app: Dash, shop: Shop, waiting: Waiting) -> None:
    @app.callback(
        Output("waiting", "data"),
        Input("drop", "contents"),
        State("drop", "filename"),
        State("waiting", "data"),
        running=_while("arriving"),
        prevent_initial_call=True,
    )
    def arrived(contents: Any, names: Any, before: Any) -> Any:
        if not contents:
            return no_update
        waiting.drop(before)
        # the browser need not hold the file any longer
        set_props("drop", {"contents": None})
        try:
            return waiting.put(contents, names)
        except FileError as error:
            set_props("records-read", {"children": sorry(sentence(str(error)))})
            return None

    @app.callback(
        Output("records-read", "children"),
        Input("waiting", "data"),
        Input("columns-placed", "data"),
        Input({"type": "reread", "what": ALL}, "n_clicks"),
        State(MEND, "id"),
        State(MEND, "value"),
        running=_while_working("reading"),
        prevent_initial_call=True,
    )
    def show(
        name: Any, _placed: Any, again: list[int | None],
        cells: list[dict[str, Any]], texts: list[str | None],
    ) -> Any:  # fmt: skip
        pressed = isinstance(ctx.triggered_id, dict)
        if not name or (pressed and not any(again)):
            return no_update
        if pressed:
            mend(waiting, name, cells, texts)
        try:
            return look(shop, waiting, name)
        except StoppedError:
            # whoever stopped it has been told already
            return no_update

    @app.callback(
        Output("notice", "children", allow_duplicate=True),
        Input("stop-reading", "n_clicks"),
        State("waiting", "data"),
        prevent_initial_call=True,
    )
    def stop(clicks: int | None, name: Any) -> Any:
        return _forget(waiting, name, "Stopped") if clicks else no_update

    @app.callback(
        Output("notice", "children", allow_duplicate=True),
        Input("stop-keeping", "n_clicks"),
        State("waiting", "data"),
        prevent_initial_call=True,
    )
    def stop_keeping(clicks: int | None, name: Any) -> Any:
        if clicks:
            # what came of it is said by what was keeping: it may have been too late
            waiting.stop(name)
        return no_update

    @app.callback(
        Output("reading-step", "children"),
        Output("keeping-step", "children"),
        Input("how-far", "n_intervals"),
        State("waiting", "data"),
        prevent_initial_call=True,
    )
    def how_far(_times: int | None, name: Any) -> tuple[str, str]:
        said = how_far_words(waiting, name)
        return said, said


def how_far_words(waiting: Waiting, name: str | None) -> str:
    """Where the work on the files has got to, as a sentence; empty where nobody works on them."""
    step = waiting.step(name)
    return f"{sentence(step)} …" if step else ""


def _forget(waiting: Waiting, name: Any, how: str) -> Component:
    """Remove the files that wait; a reading still at work on them ends at its next step."""
    waiting.drop(name)
    _clear()
    return done(f"{how}: the file is gone again, and nothing was kept.")


def _clear() -> None:
    set_props("records-read", {"children": None})
    set_props("waiting", {"data": None})


def _register_keep(app: Dash, shop: Shop, waiting: Waiting) -> None:
    @app.callback(
        Output("notice", "children", allow_duplicate=True),
        Input({"type": "keep", "what": ALL}, "n_clicks"),
        Input({"type": "leave", "what": ALL}, "n_clicks"),
        State("waiting", "data"),
        running=_while_working("keeping"),
        prevent_initial_call=True,
    )
    def pressed(kept: list[int | None], left: list[int | None], name: Any) -> Any:
        if not any(kept) and not any(left):
            return no_update
        if any(left):
            return _forget(waiting, name, "Left")
        return keep_or_stop(shop, waiting, name)


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
        told = place(shop, ids[at]["header"], targets[at], units[at])
        tell("columns-placed")
        return done(told)
