"""Dropped files before they are kept: cells as typed next to what was read, and boxes to mend."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING
from urllib.parse import quote

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.aria import aria
from dashboard.components.fields import target_words
from dashboard.components.words import plural, sentence

if TYPE_CHECKING:
    from analytics.records.problems import Problem
    from analytics.shop.previewing import PreviewCell, PreviewRow, PreviewSheet


FIRST_ROWS = 3


def preview_sheets(sheets: Sequence[PreviewSheet]) -> Component | None:
    """Every sheet's rows: those to look at first, then the first ones."""
    if not sheets:
        return None
    mending = any(sheet.to_mend for sheet in sheets)
    return html.Div(
        [
            *[_sheet(sheet, new) for sheet, new in zip(sheets, _newly_ruled(sheets), strict=True)],
            html.Button("Read it again with these", id={"type": "reread", "what": "drop"})
            if mending
            else None,
        ],
        className="preview",
    )


def cell_id(file: str, sheet: str, row: int, column: int) -> str:
    """The address on the page of one cell to mend."""
    return "cell-" + quote(f"{file}-{sheet}-{row}-{column}", safe="").replace(".", "%2E")


def _newly_ruled(sheets: Sequence[PreviewSheet]) -> list[bool]:
    """Whether each sheet is ruled as none before it is: of those ruled alike, one tells of all."""
    ruled = [
        tuple((c.heading, c.target) for c in s.first[0].cells) if s.first else () for s in sheets
    ]
    return [heads not in ruled[:at] for at, heads in enumerate(ruled)]


def _sheet(sheet: PreviewSheet, newly_ruled: bool) -> Component:
    about = f"{sheet.file}, {sheet.sheet}"
    return html.Section(
        [
            html.H3(about),
            html.H4(f"{plural(len(sheet.to_mend) + sheet.left, 'row')} to look at")
            if sheet.to_mend
            else None,
            html.Div([_to_mend(sheet, row) for row in sheet.to_mend], className="mend-rows"),
            html.P(f"and {sheet.left} more rows; mend them in the file.") if sheet.left else None,
            (_first if newly_ruled else _first_folded)(sheet) if sheet.first else None,
        ],
        className="preview-sheet",
    )


def _to_mend(sheet: PreviewSheet, row: PreviewRow) -> Component:
    lost = row.about == "no record"
    boxes = [c for c in row.cells if lost or c.problems or c.mended is not None]
    return html.Article(
        [
            html.H5(f"Row {row.row}: {row.about}"),
            *[html.P(_said(problem), className="soft") for problem in row.problems],
            html.Div([_box(sheet, row, cell) for cell in boxes], className="mend-boxes"),
            _whole("The whole row", row),
        ],
        className="mend-row",
    )


def _whole(title: str, row: PreviewRow) -> Component:
    """A row folded away, as one text: a browser takes seconds over a table of fifty cells."""
    text = "\n".join(map(_one_line, row.cells))
    return html.Details([html.Summary(title), html.P(text, className="whole-row as-typed")])


def _one_line(cell: PreviewCell) -> str:
    """A cell of the folded row: its heading, the cell, and what was read where that differs."""
    read = f" → {cell.read}" if cell.read is not None and cell.read != cell.typed else ""
    return f"{cell.heading or 'no heading'}: {cell.typed or 'nothing'}{read}"


def _box(sheet: PreviewSheet, row: PreviewRow, cell: PreviewCell) -> Component:
    """One cell to type anew: what stood there, how it was read, what is wrong."""
    where = {"file": sheet.file, "sheet": sheet.sheet, "row": row.row, "column": cell.column}
    name = cell.heading or f"column {cell.column + 1}"
    read = cell.read if cell.read is not None else "unknown"
    return html.Div(
        [
            html.P(
                [
                    html.Strong(name),
                    html.Span(f", {target_words(cell.target) if cell.target else 'not used'}"),
                    ": in the file ",
                    html.Code(cell.typed or "nothing"),
                    html.Span(f" → {read}", className="read-as"),
                ]
            ),
            *[html.P(_said(problem), className="soft") for problem in cell.problems],
            html.Label(
                [
                    html.Span(f"{name} in row {row.row} should say", className="soft"),
                    dcc.Input(
                        id={"type": "mend", **where},
                        value=cell.typed if cell.mended is None else cell.mended,
                        type="text",
                        autoComplete="off",
                    ),
                ]
            ),
        ],
        id=cell_id(sheet.file, sheet.sheet, row.row, cell.column),
        tabIndex="-1",
        className="mend-box",
    )


def _said(problem: Problem) -> str:
    return f"Expected: {problem.expected}. {sentence(problem.action)}"


def _first_folded(sheet: PreviewSheet) -> Component:
    """The first row of a sheet whose columns were shown above already."""
    return _whole("The first row, ruled as above", sheet.first[0])


def _first(sheet: PreviewSheet) -> Component:
    """The first rows as a grid: under every cell what was read of it."""
    # heading and meaning are one text in two lines: Dash draws each piece of a page slowly
    heads = [
        html.Th(f"{cell.heading or 'no heading'}\n{_under(cell.target)}", scope="col")
        for cell in sheet.first[0].cells
    ]
    rows = [
        html.Tr([html.Th(str(row.row), scope="row"), *map(_cell, row.cells)])
        for row in sheet.first[:FIRST_ROWS]
    ]
    about = f"The first rows of {sheet.sheet}, as typed and as read"
    return html.Div(
        html.Table(
            [
                html.Caption(about),
                html.Thead(html.Tr([html.Th("Row", scope="col"), *heads])),
                html.Tbody(rows),
            ],
            className="preview-grid",
        ),
        className="table-sheet",
        tabIndex="0",
        role="region",
        **aria(label=about),
    )


def _under(target: str | None) -> str:
    return target_words(target) if target else "not used"


def _cell(cell: PreviewCell) -> Component:
    same = cell.read is None or cell.read == cell.typed
    wrong = bool(cell.problems)
    if same and not wrong:
        return html.Td(cell.typed, className="as-typed")
    return html.Td(
        [html.Code(cell.typed), f"→ {cell.read or 'unknown'}"],
        className="doubtful" if wrong else "differs",
    )
