"""Writing down at the bench: a job, a mix, a cup test or a fault, begun from the last one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any

from dash import ALL, ClientsideFunction, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from analytics.records.problems import Problem
from dashboard.binding import follow_address, tell
from dashboard.components.aria import aria
from dashboard.components.drawings import icon
from dashboard.components.faults import gallery, pictured
from dashboard.components.fields import target_words
from dashboard.components.notices import working
from dashboard.components.tables import table
from dashboard.components.teach import no_log
from dashboard.components.words import plural, sentence
from dashboard.components.writing_form import FORMS, boxes, with_units
from dashboard.state import Query, address, changed

if TYPE_CHECKING:
    from analytics.shop import Shop
    from analytics.shop.writing import Written

PATH, TITLE, SHORT = "/write", "Write down", "Write"
WHAT = (
    ("job", "records", "A job", "A part made: mould, mixes, how it came out"),
    ("mix", "catalyst", "A mix", "Gel coat or resin: how much catalyst, when it gelled"),
    ("cup", "catalyst", "A cup test", "How this drum gels today"),
    ("fault", "cause", "A fault", "Something wrong with a part"),
)
CUP = "/catalyst?show=cup"
PLACES = (
    "all over",
    "corner",
    "edge",
    "flange",
    "flat",
    "bottom",
    "top",
    "left side",
    "right side",
)
MATERIALS = {"gelcoat": "Gel coat", "resin": "Laminating resin", "topcoat": "Top coat"}
SEVERITIES = ("slight", "moderate", "severe")
FORM_WORDS = {"job": "the job", "mix": "the mix", "fault": "the fault"}
WORDS = {"type": "word", "form": ALL, "field": ALL}


def layout() -> Component:
    return html.Div(
        [
            html.H1(TITLE),
            html.Div(
                [
                    html.Div(id="write-said", role="status"),
                    html.Div(id="write-shown", hidden=True),
                    html.Div(working(), id="write-form"),
                ]
            ),
        ],
        className="write-page",
    )


def form(shop: Shop, query: Query) -> Component:
    """The form the address asks for, else the four to choose from."""
    what = query.get("what", "")
    if what == "job":
        return _form("job", "A job", boxes("job", shop.begin("part"), shop.units()))
    if what == "mix":
        return _mix(shop, query)
    if what == "fault":
        return _fault(shop, query)
    what_to_write = html.Ul([html.Li(_choice(*one)) for one in WHAT], className="questions")
    if not shop.log().parts.empty:
        return what_to_write
    return html.Div(
        [
            what_to_write,
            no_log(
                "write",
                "A log can begin here, one job at a time: write what you know, in your own words "
                "and units. Each new form begins with what the last one said.",
            ),
        ]
    )


def _choice(what: str, sign: str, words: str, more: str) -> Component:
    href = CUP if what == "cup" else address(PATH, what=what)
    return dcc.Link([icon(sign), html.Span([html.Strong(words), html.Span(more)])], href=href)


def _form(name: str, title: str, inside: Sequence[Component], note: str = "") -> Component:
    return html.Section(
        [
            html.H2(title),
            html.P(
                note or "Leave empty what you do not know. A unit may follow a figure: 64 F.",
                className="soft",
            ),
            *inside,
            html.Div(
                [
                    html.Button("Write it down", id={"type": "write", "form": name}),
                    dcc.Link("Something else", href=PATH, className="button plain"),
                ],
                className="write-foot",
            ),
        ],
        className="write-sheet",
    )


def _mix(shop: Shop, query: Query) -> Component:
    material = query.get("material", "gelcoat")
    material = material if material in MATERIALS else "gelcoat"
    kinds = html.Nav(
        html.Ul(
            [
                html.Li(
                    dcc.Link(words, href=address(PATH, **changed(query, material=kind))),
                    className="here" if kind == material else None,
                )
                for kind, words in MATERIALS.items()
            ]
        ),
        className="switch",
        **aria(label="What was mixed?"),
    )
    own = _unseen("mix", "material", material)
    inside = [kinds, own, *boxes("mix", shop.begin("batch", material), shop.units())]
    return _form("mix", f"A mix: {MATERIALS[material].lower()}", inside)


def _fault(shop: Shop, query: Query) -> Component:
    begin = shop.begin("batch")
    fault = query.get("fault", "")
    if fault not in shop.knowledge.defects and fault != "other":
        pick = gallery(shop.knowledge, lambda d: address(PATH, **changed(query, fault=d)))
        other = dcc.Link(
            "None of these: say it in words",
            href=address(PATH, **changed(query, fault="other")),
            className="button plain",
        )
        return html.Section([html.H2("What do you see?"), pick, other], className="write-sheet")
    parts = begin.known["part_id"]
    last = query.get("part") or (parts[0] if parts else "")
    inside = [
        _chosen(shop, fault),
        _unseen("fault", "defect", "" if fault == "other" else fault),
        html.Div(
            [
                _text("part_id", "On part", last, parts),
                _text("place", "Where on the part", "", PLACES),
                html.Fieldset(
                    [
                        html.Legend("How bad"),
                        dcc.RadioItems(
                            id={"type": "word", "form": "fault", "field": "severity"},
                            options=[{"label": s, "value": s} for s in SEVERITIES],
                            className="choices",
                        ),
                    ],
                    className="write-box wide",
                ),
                _text("words", "In your own words", "", ()),
            ],
            className="write",
        ),
    ]
    return _form("fault", "A fault", inside, "Earlier faults of the part stay written down.")


def _unseen(form_name: str, field: str, value: str) -> Component:
    """A cell of the form that was settled by a link."""
    own = {"type": "word", "form": form_name, "field": field}
    return html.Div(dcc.Input(id=own, type="hidden", value=value), hidden=True)


def _chosen(shop: Shop, fault: str) -> Component:
    if fault == "other":
        return html.P("Say it in your own words below.")
    known = shop.knowledge.defects[fault]
    return pictured(fault, known.title, (known.title, known.look))


def _text(field: str, words: str, value: str, known: Sequence[str]) -> Component:
    listed = f"known-fault-{field}"
    extra: dict[str, Any] = {"list": listed} if known else {}
    return html.Label(
        [
            html.Span(words),
            dcc.Input(
                id={"type": "word", "form": "fault", "field": field},
                type="text",
                value=value,
                autoComplete="off",
                **extra,
            ),
            html.Datalist([html.Option(value=text) for text in known], id=listed),
        ],
        className="write-box wide" if field == "words" else "write-box",
    )


def write(shop: Shop, name: str, cells: Mapping[str, str]) -> Component:
    """Keep what stands in a form; what was understood of it, with a way back."""
    if name == "fault":
        kept = shop.write_fault(
            cells.get("part_id", ""),
            cells.get("defect", ""),
            cells.get("severity", ""),
            cells.get("place", ""),
            cells.get("words", ""),
        )
        return said(kept, "fault")
    kind = FORMS[name].kind
    return said(shop.write_down(kind, with_units(name, cells), new=True), name)


def said(kept: Written, name: str) -> Component:
    """What was understood of a record just written, what was not, and a way to take it back."""
    assert kept.saved is not None  # writing always saves
    file = kept.saved.files[0]
    rows = [
        (target_words(field), typed, read if read is not None else "not understood")
        for field, typed, read in kept.understood
    ]
    problems = kept.files[0].problems
    return html.Div(
        [
            html.Strong(f"Written down{_numbered(kept)}"),
            html.P(f"{sentence(FORM_WORDS[name])} is kept. {_converted(kept)} {_doubts(problems)}"),
            html.Ul([html.Li(_problem(problem)) for problem in problems]) if problems else None,
            html.Details(
                [
                    html.Summary("What was understood"),
                    table("Understood", ("Field", "As typed", "As read"), rows, css="stacked"),
                ],
                open=bool(problems),
            ),
            html.Button(
                "Take it back", id={"type": "undo", "import": file.import_id}, className="plain"
            ),
        ],
        className="notice done written",
    )


def _numbered(kept: Written) -> str:
    """The number it was kept under, which the emptied form no longer shows."""
    typed = {field: text for field, text, _read in kept.understood}
    number = typed.get("batch_id") or typed.get("part_id")
    return f": {number}" if number else ""


def _converted(kept: Written) -> str:
    """What was understood otherwise than it was typed."""
    told = [
        f"{target_words(field)} {typed} as {read}"
        for field, typed, read in kept.understood
        if read is not None and not read.startswith(typed)
    ]
    return f"Read: {'; '.join(told)}." if told else ""


def _doubts(problems: Sequence[Problem]) -> str:
    return f"{plural(len(problems), 'thing')} to look at:" if problems else ""


def _problem(problem: Problem) -> str:
    name = target_words(problem.column) if problem.column else "This"
    return f"{name}: “{problem.found}”, expected {problem.expected}. {sentence(problem.action)}"


def register(app: Dash, shop: Shop) -> None:
    follow_address(app, PATH, "write-form", partial(form, shop))
    app.clientside_callback(
        ClientsideFunction("laylogWrite", "show"),
        Output("write-shown", "children"),
        Input("write-said", "children"),
    )
    app.clientside_callback(
        ClientsideFunction("laylog", "hush"),
        Output("write-said", "children", allow_duplicate=True),
        Input("address", "search"),
        prevent_initial_call=True,
    )

    @app.callback(
        Output("write-said", "children"),
        Input({"type": "write", "form": ALL}, "n_clicks"),
        Input("written", "data"),
        State(WORDS, "id"),
        State(WORDS, "value"),
        prevent_initial_call=True,
    )
    def pressed(
        clicks: list[int | None], _written: Any, ids: list[dict[str, str]], texts: list[Any]
    ) -> Any:
        if ctx.triggered_id == "written" or not any(clicks):
            return no_update
        name = ctx.triggered_id["form"]
        cells = {
            cell["field"]: str(text)
            for cell, text in zip(ids, texts, strict=True)
            if cell["form"] == name and text
        }
        shown = write(shop, name, cells)
        tell("written")
        return shown
