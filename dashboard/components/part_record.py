"""One part and its mixes: fields as read and as typed, what they were, a way to mend them."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from dash import dcc, html
from dash.development.base_component import Component

from analytics.columns import UNIT_WORDS
from analytics.days import day_words
from analytics.saying import System, box_unit, in_box, with_unit
from dashboard.components.imports import by_hand, name_of
from dashboard.components.tables import table
from dashboard.components.words import number, sentence
from dashboard.state import address
from dashboard.units import AS_TYPED

if TYPE_CHECKING:
    from analytics.shop.browsing import OneRecord, Past, Shown

PATH = "/records"
HEADS = ("Field", "As read", "As typed", "Before", "")
YES_NO = ("yes", "no")
FAULT_NOTE = "Write all faults there are, one after the other: pinholes; stuck in the corner."


def part_sheet(
    records: Sequence[OneRecord],
    fix: tuple[str, str] | None,
    titles: Mapping[str, str],
    system: System = "metric",
) -> Component:
    """A part and its mixes; `fix` is the (record, field) whose box is open.

    `titles` gives the heading over each record by its key.
    """
    part = records[0].key
    # what is to be put right comes first, whichever record it stands in
    opened = [
        _fix(part, one, shown, system)
        for one in records
        for shown in one.fields
        if fix == (one.key, shown.field)
    ]
    why = address("/cause", part=part)
    return html.Article(
        [
            html.H2(part),
            *opened,
            _record(part, records[0]),
            *[
                html.Details(
                    [html.Summary(titles.get(one.key, one.key)), _record(part, one)],
                    className="fold on-paper",
                    open=fix is not None and fix[0] == one.key,
                )
                for one in records[1:]
            ],
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


def _record(part: str, one: OneRecord) -> Component:
    filled = [shown for shown in one.fields if shown.value is not None or shown.typed or shown.past]
    blank = [shown for shown in one.fields if shown not in filled]
    return html.Section(
        [
            html.P(_origin(one), className="soft"),
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
            _as_read(shown),
            _as_typed(shown),
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


def _as_read(shown: Shown) -> str | Component:
    """Words of somebody's own stay as they are; figures are said in the shop's units."""
    told = value_words(shown)
    return html.Span(told, className=AS_TYPED) if shown.kind == "text" else told


def _as_typed(shown: Shown) -> str | Component:
    """The cell; where it says what was read, a phone has no room to say it twice."""
    same = shown.typed is not None and shown.typed in (shown.value, _plainly_or_none(shown))
    return html.Span(shown.typed, className="said-so") if same else shown.typed or ""


def _plainly_or_none(shown: Shown) -> str | None:
    return None if shown.value is None else _plainly(shown.kind, shown.value)


def value_words(shown: Shown) -> str:
    """A field's value with its unit, as it is said."""
    return _with_unit(shown, shown.value)


def _with_unit(shown: Shown, value: str | None) -> str:
    if value is None:
        return "not known"
    return f"{_plainly(shown.kind, value)} {_unit(shown)}".strip()


def _unit(shown: Shown) -> str:
    return UNIT_WORDS.get(shown.unit or "", shown.unit or "")


def _plainly(kind: str, value: str) -> str:
    if kind == "number":
        figure = float(value)
        return number(figure, 3 if abs(figure) < 10 else 1)
    if kind == "date":
        return day_words(value)
    return value.replace("T", " ") if kind == "datetime" else value


def _was(shown: Shown, past: Past) -> list[Any]:
    typed = f" (typed “{past.typed}”)" if past.typed else ""
    day = day_words(past.at.date())
    return [
        f"{sentence(_with_unit(shown, past.old))}{typed}, until {day} {past.at:%H:%M}, {past.by}"
    ]


def _fix(part: str, one: OneRecord, shown: Shown, system: System) -> Component:
    """The box that puts one field right, with what it was."""
    where = {"record": one.record, "key": one.key, "field": shown.field}
    unit = box_unit(_unit(shown), system, shown.field)
    last = shown.past[-1] if shown.past else None
    return html.Div(
        [
            html.H4(f"{shown.name}{f' ({unit})' if unit else ''}"),
            html.P(f"{shown.meaning}. It stands at: {value_words(shown)}.", className="soft"),
            html.P(FAULT_NOTE, className="soft") if shown.kind == "defects" else None,
            _box(shown, {"type": "correct-value", **where}, system),
            # what stood there when the box was opened, and in which units: somebody may change
            # either meanwhile
            dcc.Store(
                id={"type": "correct-was", **where},
                data=json.dumps({"was": shown.value, "units": system}),
            ),
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


def _box(shown: Shown, name: dict[str, str], system: System) -> Component:
    choices = YES_NO if shown.kind == "yes_no" else shown.choices
    if choices:
        options = [{"label": choice, "value": choice} for choice in choices]
        return dcc.RadioItems(
            id=name,
            options=[*options, {"label": "not known", "value": ""}],
            value=shown.value or "",
            className="choices",
        )
    value = _in_box(shown, system)
    figure: dict[str, Any] = {"inputMode": "decimal"} if shown.kind == "number" else {}
    return html.Label(
        [
            html.Span(f"{shown.name}, empty for unknown", className="unseen"),
            dcc.Input(id=name, value=value, type="text", autoComplete="off", **figure),
        ]
    )


def _in_box(shown: Shown, system: System) -> str:
    """A value as its box shows it; figures short, in the units of the shop."""
    text = shown.value or ""
    if text and shown.kind == "number":
        text = number(float(text), 6)
        if box_unit(_unit(shown), system, shown.field) == _unit(shown):
            return number(float(text), 3)
        return in_box(text, _unit(shown), system, shown.field) or ""
    if shown.kind == "date":
        return text[:10]
    return text.replace("T", " ") if shown.kind == "datetime" else text


def as_corrected(shown: Shown, typed: str, system: System) -> str:
    """What was typed into the box of a field, a bare figure with the unit the box asked for.

    A figure left as the box showed it is the one that stands, not what its rounding would give.
    """
    if shown.kind != "number":
        return typed
    if typed.strip() == _in_box(shown, system):
        return shown.value or ""
    return with_unit(typed, _unit(shown), system, shown.field)
