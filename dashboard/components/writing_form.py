"""Forms to write a record down: the fields that matter most first, the others folded away."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from dash import dcc, html
from dash.development.base_component import Component

from analytics.columns import UNIT_WORDS
from analytics.records.fields import Field, dictionary
from analytics.saying import System, box_unit, with_unit
from dashboard.components.fields import target_words
from dashboard.components.unit_boxes import DRAWN_IN, drawn_in, system_of

if TYPE_CHECKING:
    from analytics.shop.beginning import Beginning


@dataclass(frozen=True)
class Form:
    """A form: the record it writes ("part", "batch"), its first fields, those folded away."""

    kind: str
    first: tuple[str, ...]
    more: tuple[str, ...]


_MIX_ON_PART = tuple(
    f"{role}.{field}"
    for role in ("gelcoat", "resin")
    for field in ("lot", "catalyst_pct", "mass_kg", "gel_min")
)


def _rest(kind: str, first: Sequence[str], but: Sequence[str] = ()) -> tuple[str, ...]:
    fields = tuple(field.id for field in dictionary().of(kind))
    return tuple(name for name in fields if name not in (*first, *but))


_JOB = ("part_id", "date", "start_time", "mould_id", "operator", "air_c", "pulls_since_renewal",
        "gelcoat_batch_id", "resin_batch_id", "gelcoat_wet_mm", "outcome", "defects")  # fmt: skip
_MIX = ("batch_id", "date", "time", "lot", "mass_kg", "catalyst_pct", "air_c", "gel_min",
        "gel_where", "operator", "part_id")  # fmt: skip
_NOT_ASKED = ("material", "catalyst_basis", "lot_age_months")
FORMS: Mapping[str, Form] = {
    "job": Form("part", _JOB, (*_rest("part", _JOB), *_MIX_ON_PART)),
    "mix": Form("batch", _MIX, _rest("batch", _MIX, _NOT_ASKED)),
}
_NAMES = {"part_id": "Part number", "batch.part_id": "Went into part", "start_time": "Started"}
_FIGURE_KEYS = {"date": "numeric", "time": "numeric", "datetime": "numeric", "number": "decimal"}


def boxes(name: str, begin: Beginning, system: System = "metric") -> list[Component]:
    """Every box of a form, filled in as the last job suggests."""
    form = FORMS[name]
    return [
        drawn_in({"type": "word", "form": name, "field": DRAWN_IN}, system),
        html.Div(
            [_box(name, form.kind, field, begin, system) for field in form.first],
            className="write",
        ),
        html.Details(
            [
                html.Summary(f"More: {len(form.more)} fields"),
                html.Div(
                    [_box(name, form.kind, field, begin, system) for field in form.more],
                    className="write",
                ),
            ]
        ),
    ]


def _field(kind: str, name: str) -> Field:
    if kind == "batch" and name == "part_id":
        return dictionary().get("part", "part_id")
    return dictionary().target(kind, name)


def with_units(name: str, cells: Mapping[str, str]) -> dict[str, str]:
    """What stands in a form's boxes, bare figures with the unit their box asked for."""
    kind, system = FORMS[name].kind, system_of(cells)
    return {
        field: with_unit(text, _field(kind, field).unit or "", system, field)
        if system != "metric" and _is_figure(kind, field)
        else text
        for field, text in cells.items()
        if field != DRAWN_IN
    }


def _is_figure(kind: str, field: str) -> bool:
    return field != DRAWN_IN and _field(kind, field).kind == "number"


def _box(form: str, kind: str, name: str, begin: Beginning, system: System) -> Component:
    field = _field(kind, name)
    unit = box_unit(UNIT_WORDS.get(field.unit or "", field.unit or ""), system, name)
    words = _NAMES.get(f"{kind}.{name}") or _NAMES.get(name) or _name(kind, name, field)
    label = html.Span([words, html.Span(f" ({unit})", className="soft") if unit else None])
    own = {"type": "word", "form": form, "field": name}
    choices = ("yes", "no") if field.kind == "yes_no" else tuple(field.choices)
    if choices:
        return _choice(label, own, choices, begin.values.get(name))
    return _typed(label, own, field, begin, name)


def _name(kind: str, name: str, field: Field) -> str:
    return target_words(name) if "." in name else field.name


def _choice(
    label: Component, own: Mapping[str, str], choices: Sequence[str], value: str | None
) -> Component:
    options = [{"label": choice, "value": choice} for choice in choices]
    return html.Fieldset(
        [
            html.Legend(label),
            dcc.RadioItems(id=dict(own), options=options, value=value, className="choices"),
        ],
        className="write-box wide",
    )


def _typed(
    label: Component, own: Mapping[str, str], field: Field, begin: Beginning, name: str
) -> Component:
    known = begin.known.get(name, ())
    listed = f"known-{own['form']}-{name}"
    extra: dict[str, Any] = {"list": listed} if known else {}
    if field.kind in _FIGURE_KEYS:
        extra["inputMode"] = _FIGURE_KEYS[field.kind]
    wide = name in ("notes", "defects", "ply_schedule")
    return html.Label(
        [
            label,
            dcc.Input(
                id=dict(own),
                type="text",
                value=begin.values.get(name, ""),
                placeholder=begin.hints.get(name, _example(field)),
                autoComplete="off",
                **extra,
            ),
            html.Datalist([html.Option(value=text) for text in known], id=listed)
            if known
            else None,
        ],
        className="write-box wide" if wide else "write-box",
    )


def _example(field: Field) -> str:
    shapes = {"date": "2024-03-31", "time": "08:30", "defects": "pinholes, stuck in one corner"}
    return shapes.get(field.kind, "")
