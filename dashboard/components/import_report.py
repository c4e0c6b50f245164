"""What was found in dropped files: counts, columns, problems, rows that are no records."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from dash import dcc, html
from dash.development.base_component import Component

from analytics.records.problems import KINDS
from dashboard.components.fields import places, target_words
from dashboard.components.tables import table
from dashboard.components.words import plural, sentence

if TYPE_CHECKING:
    from analytics.records.problems import ColumnPlacement, FileReport, Problem, SheetReport

COUNTED = (
    ("parts", "part"),
    ("batches", "mix"),
    ("logger", "logger reading"),
    ("lots", "lot"),
    ("moulds", "mould"),
)
LISTED = 200
FEW = 6


Cells = Mapping[tuple[str, str, int, str], str]


def report(files: Sequence[FileReport], cells: Cells | None = None) -> Component:
    """Everything found in the files, one block for each file.

    `cells` gives the address on the page of a cell to mend, by file, sheet, row and heading.
    """
    return html.Div([_file(file, cells or {}) for file in files])


def _file(file: FileReport, cells: Cells) -> Component:
    sheets = [_sheet(sheet) for sheet in file.sheets]
    return html.Article(
        [html.H3(file.file), *sheets, _problems(file.problems, cells)], className="file-report"
    )


def _sheet(sheet: SheetReport) -> Component:
    return html.Div(
        [
            html.P([html.Strong(sheet.sheet), f": {counts(sheet)}"]),
            _strange([column.header for column in sheet.columns if column.target is None]),
            _columns(sheet),
            _left_out(sheet),
        ],
        className="sheet-report",
    )


def counts(sheet: SheetReport) -> str:
    """Where every row of a sheet went, in words."""
    told = [
        plural(getattr(sheet, name), word, "mixes" if word == "mix" else None)
        for name, word in COUNTED
        if getattr(sheet, name)
    ]
    told += [f"{plural(sheet.duplicates, 'repeat')} of rows above"] if sheet.duplicates else []
    told += [f"{sheet.not_records} that hold no record"] if sheet.not_records else []
    return f"{plural(sheet.rows, 'row')}: {', '.join(told) or 'nothing'}."


def _columns(sheet: SheetReport) -> Component:
    known = [column for column in sheet.columns if column.target]
    were = "was" if len(known) == 1 else "were"
    return html.Details(
        [
            html.Summary(f"How {plural(len(known), 'column')} {were} read"),
            # one text, not a table: see `preview`
            html.P("\n".join(map(_one_line, known)), className="whole-row"),
        ]
    )


def _one_line(column: ColumnPlacement) -> str:
    unit = f", in {column.unit}" if column.unit else ""
    return f"“{column.header}”: {target_words(column.target or '')}{unit}; {column.how}"


def _strange(headers: Sequence[str]) -> Component | None:
    if not headers:
        return None
    return html.Div(
        [
            html.H4("Columns laylog does not know: what are they?"),
            *[_place(header) for header in headers],
        ],
        className="strange",
    )


def _place(header: str) -> Component:
    """Asks what one column is; the answer is kept for every later file."""
    return html.Div(
        [
            html.Strong(f"“{header}”"),
            dcc.Dropdown(
                id={"type": "place-target", "header": header},
                options=[{"label": name, "value": target} for name, target in places()],
                placeholder="what it holds",
                clearable=False,
            ),
            dcc.Input(
                id={"type": "place-unit", "header": header},
                type="text",
                placeholder="unit, if any",
                debounce=True,
            ),
            html.Button("Place it", id={"type": "place", "header": header}, className="plain"),
        ],
        className="place",
    )


def _problems(problems: Sequence[Problem], cells: Cells) -> Component:
    """Problems by kind; a kind with many is folded, so that a rare one is not lost among them."""
    if not problems:
        return html.P("No problems.", className="calm")
    kinds = dict.fromkeys(problem.kind for problem in problems)
    return html.Div(
        [
            html.H4(f"{plural(len(problems), 'thing')} to look at"),
            *[_kind(kind, [p for p in problems if p.kind == kind], cells) for kind in kinds],
        ],
        className="problems",
    )


def _kind(kind: str, problems: Sequence[Problem], cells: Cells) -> Component:
    meaning = KINDS.get(kind, kind)
    heads = ("Where", "Found", "Expected", "What happens now")
    rows = [(_to_cell(p, cells), p.found, p.expected, p.action) for p in problems[:LISTED]]
    more = len(problems) - LISTED
    return html.Details(
        [
            html.Summary(f"{len(problems)} × {meaning}"),
            table(sentence(meaning), heads, rows, css="stacked"),
            html.P(f"and {more} more; `laylog check` prints them all.") if more > 0 else None,
        ],
        open=len(problems) <= FEW,
    )


def _to_cell(problem: Problem, cells: Cells) -> str | Component:
    """Where a problem is, leading to its box where the cell can be mended."""
    told = _where(problem)
    key = (problem.file, problem.sheet, problem.row or 0, problem.column or "")
    return html.A(told, href=f"#{cells[key]}") if key in cells else told


def _where(problem: Problem) -> str:
    row = f"row {problem.row}" if problem.row is not None else ""
    column = f"“{problem.column}”" if problem.column else ""
    return ", ".join(text for text in (problem.sheet, row, column) if text)


def _left_out(sheet: SheetReport) -> Component | None:
    if not sheet.listed:
        return None
    lines = [f"Row {row.row}, {row.kind}: {row.text}" for row in sheet.listed[:LISTED]]
    return html.Details(
        [
            html.Summary(f"{plural(len(sheet.listed), 'row')} that hold no record"),
            html.P("\n".join(lines), className="whole-row as-typed"),
        ]
    )
