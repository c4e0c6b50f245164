"""One part and its mixes: fields as read and as typed, what they were, a way to mend them."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from dash import dcc, html
from dash.development.base_component import Component

from analytics.columns import UNIT_WORDS
from analytics.days import day_words
from dashboard.components.imports import by_hand, name_of
from dashboard.components.tables import table
from dashboard.components.words import number, sentence
from dashboard.state import address

if TYPE_CHECKING:
    from analytics.shop.browsing import OneRecord, Past, Shown

PATH = "/records"
HEADS = ("Field", "As read", "As typed", "Before", "")
YES_NO = ("yes", "no")
FAULT_NOTE = "Write all faults there are, one after the other: pinholes; stuck in the corner."


def part_sheet(
    records: Sequence[OneRecord], fix: tuple[str, str] | None, titles: Mapping[str, str]
) -> Component:
    """A part and its mixes; `fix` is the (record, field) whose box is open.

    `titles` gives the heading over each record by its key.
    """
    part = records[0].key
    why = address("/cause", part=part)
    return html.Article(
        [
            html.H2(part),
            *[_record(part, one, fix, titles.get(one.key, one.key)) for one in records],
            html.Div(
                [
                    dcc.Link("Why did it fail?", className="button", href=why),
                    dcc.Link(
                        "Write down a fault",
                        className="button plain",
                        href=address("/write", what="fault", part=part),
                    ),
                ],
                className="ways-on",
            ),
        ],
        className="part-sheet",
    )


def _record(part: str, one: OneRecord, fix: tuple[str, str] | None, title: str) -> Component:
    filled = [shown for shown in one.fields if shown.value is not None or shown.typed or shown.past]
    blank = [shown for shown in one.fields if shown not in filled]
    opened = [shown for shown in one.fields if fix == (one.key, shown.field)]
    return html.Section(
        [
            html.H3(title) if one.record != "part" else None,
            html.P(_origin(one), className="soft"),
            *[_fix(part, one, shown) for shown in opened],
            table("As read, and as typed", HEADS, _rows(part, one, filled), css="stacked fields"),
            table(
                "Columns laylog does not know, kept as typed",
                ("Heading", "As typed"),
                one.unplaced,
                css="stacked",
            )
            if one.unplaced
            else None,
            html.Details(
                [
                    html.Summary(f"Nobody wrote these down: {len(blank)} fields"),
                    table("Not known", HEADS, _rows(part, one, blank), css="stacked fields"),
                ]
            )
            if blank
            else None,
        ]
    )


def _origin(one: OneRecord) -> str:
    if by_hand(one.file):
        return f"Last written {name_of(one.file)[:1].lower()}{name_of(one.file)[1:]}."
    row = f", row {one.row}" if one.row else ""
    return f"From {one.file}, {one.sheet}{row}."


def _rows(part: str, one: OneRecord, fields: Sequence[Shown]) -> list[tuple[Any, ...]]:
    return [
        (
            shown.name,
            value_words(shown),
            shown.typed or "",
            html.Ul([html.Li(_was(shown, past)) for past in reversed(shown.past)])
            if shown.past
            else "",
            dcc.Link(
                [
                    "Correct" if shown.value is not None else "Fill in",
                    html.Span(f" {shown.name}", className="unseen"),
                ],
                href=address(PATH, part=part, fix=f"{one.key}|{shown.field}"),
                className="button plain small",
            ),
        )
        for shown in fields
    ]


def value_words(shown: Shown) -> str:
    """A field's value with its unit, as it is said."""
    if shown.value is None:
        return "not known"
    unit = UNIT_WORDS.get(shown.unit or "", shown.unit or "")
    return f"{_plainly(shown.kind, shown.value)} {unit}".strip()


def _plainly(kind: str, value: str | None) -> str:
    if value is None:
        return "not known"
    if kind == "number":
        return number(float(value), 3)
    return value[:10] if kind == "date" else value.replace("T", " ")


def _was(shown: Shown, past: Past) -> list[Any]:
    typed = f" (typed “{past.typed}”)" if past.typed else ""
    day = day_words(past.at.date())
    return [
        f"{sentence(_plainly(shown.kind, past.old))}{typed}, until {day} {past.at:%H:%M}, {past.by}"
    ]


def _fix(part: str, one: OneRecord, shown: Shown) -> Component:
    """The box that puts one field right, with what it was."""
    where = {"record": one.record, "key": one.key, "field": shown.field}
    unit = UNIT_WORDS.get(shown.unit or "", shown.unit or "")
    last = shown.past[-1] if shown.past else None
    return html.Div(
        [
            html.H4(f"{shown.name}{f' ({unit})' if unit else ''}"),
            html.P(f"{shown.meaning}. It stands at: {value_words(shown)}.", className="soft"),
            html.P(FAULT_NOTE, className="soft") if shown.kind == "defects" else None,
            _box(shown, {"type": "correct-value", **where}),
            # what stood there when the box was opened: somebody may change it meanwhile
            dcc.Store(id={"type": "correct-was", **where}, data=json.dumps(shown.value)),
            html.Div(
                [
                    html.Button("Keep this", id={"type": "correct", **where}),
                    dcc.Link("Leave it", href=address(PATH, part=part), className="button plain"),
                    html.Button(
                        "Take the last change back",
                        id={"type": "undo", "import": last.import_id},
                        className="plain",
                    )
                    if last
                    else None,
                ],
                className="ways-on",
            ),
        ],
        className="fix",
    )


def _box(shown: Shown, name: dict[str, str]) -> Component:
    choices = YES_NO if shown.kind == "yes_no" else shown.choices
    if choices:
        options = [{"label": choice, "value": choice} for choice in choices]
        return dcc.RadioItems(
            id=name,
            options=[*options, {"label": "not known", "value": ""}],
            value=shown.value or "",
            className="choices",
        )
    value = "" if shown.value is None else _editable(shown)
    figure: dict[str, Any] = {"inputMode": "decimal"} if shown.kind == "number" else {}
    return html.Label(
        [
            html.Span(f"{shown.name}, empty for unknown", className="unseen"),
            dcc.Input(id=name, value=value, type="text", autoComplete="off", **figure),
        ]
    )


def _editable(shown: Shown) -> str:
    text = shown.value or ""
    if shown.kind == "number":
        return text.removesuffix(".0")
    return text[:10] if shown.kind == "date" else text.replace("T", " ")
