"""A chart in the shop's units: axes that measure in a metric unit are turned, hovers said anew."""

from __future__ import annotations

import base64
import re
from collections.abc import Mapping
from typing import Any

import numpy as np

from analytics.saying import DEGREES_APART, System, apart, said, said_unit, said_value

_MEASURES = re.compile(rf"(?:^|[ ,(])(°C|{DEGREES_APART}|kg|mm|m2|g/m2)\)?$")
_AXIS = re.compile(r"([xy])axis(\d*)")
_SPANS = frozenset({"array", "arrayminus"})
_TEXTS = ("text", "hovertext", "customdata", "name", "hovertemplate")


def chart_said(figure: dict[str, Any], system: System) -> dict[str, Any]:
    """A plotly figure as plain data, in these units."""
    layout = dict(figure.get("layout", {}))
    turned: dict[str, tuple[str, str]] = {}
    for name, axis in layout.items():
        shape = _AXIS.fullmatch(name)
        measure = _MEASURES.search(_title(axis)) if shape else None
        if shape and measure:
            unit = measure[1]
            other = said_unit(unit, system, like=_middle(figure, shape[1] + shape[2]))
            turned[shape[1] + shape[2]] = (unit, other)
            layout[name] = _axis_said(axis, unit, other, system)
    layout = _layout_said(layout, turned, system)
    data = [_trace_said(trace, turned, system) for trace in figure.get("data", ())]
    return {**figure, "data": data, "layout": layout}


def _title(axis: Any) -> str:
    title = axis.get("title") if isinstance(axis, Mapping) else None
    return str(title.get("text", "")) if isinstance(title, Mapping) else str(title or "")


def _middle(figure: Mapping[str, Any], axis: str) -> float | None:
    """The size of what is drawn along an axis: lengths have two units."""
    drawn = [
        _plain(trace.get(axis[0])) for trace in figure.get("data", ()) if _on(trace, axis)
    ]  # fmt: skip
    known = [abs(v) for row in drawn if isinstance(row, list) for v in row if _is_number(v)]
    return float(np.median(known)) if known else None


def _axis_said(axis: Any, unit: str, other: str, system: System) -> dict[str, Any]:
    text = _title(axis)
    told = {
        **axis,
        "title": {**_as_dict(axis.get("title")), "text": _relabelled(text, unit, other)},
    }
    for name in ("range", "tickvals"):
        if axis.get(name) is not None:
            told[name] = _values(axis[name], unit, other, system)
    told.pop("dtick", None)
    return told


def _as_dict(title: Any) -> dict[str, Any]:
    return dict(title) if isinstance(title, Mapping) else {}


def _relabelled(text: str, unit: str, other: str) -> str:
    at = text.rindex(unit)
    return text[:at] + other + text[at + len(unit) :]


def _trace_said(
    trace: dict[str, Any], turned: Mapping[str, tuple[str, str]], system: System
) -> dict[str, Any]:
    told = {name: _texts(trace[name], system) for name in _TEXTS if name in trace}
    for axis, (unit, other) in turned.items():
        way = axis[0]
        if not _on(trace, axis):
            continue
        based = "base" in trace and (trace.get("orientation") == "h") == (way == "x")
        # a bar with a base of its own is drawn by its length
        of_values = apart(unit) if based else unit
        if way in trace:
            told[way] = _values(trace[way], of_values, other, system)
        if based:
            told["base"] = _values(trace["base"], unit, other, system)
        if f"error_{way}" in trace:
            told[f"error_{way}"] = {
                name: _values(value, apart(unit), other, system) if name in _SPANS else value
                for name, value in trace[f"error_{way}"].items()
            }
        if "hovertemplate" in told:
            told["hovertemplate"] = _template(told["hovertemplate"], way, unit, other)
    return {**trace, **told}


def _on(trace: Mapping[str, Any], axis: str) -> bool:
    return str(trace.get(f"{axis[0]}axis", axis[0])) == axis


def _template(template: Any, way: str, unit: str, other: str) -> Any:
    if not isinstance(template, str):
        return template
    return re.sub(rf"(%\{{{way}[^}}]*\}} ?){re.escape(unit)}", rf"\g<1>{other}", template)


def _layout_said(
    layout: dict[str, Any], turned: Mapping[str, tuple[str, str]], system: System
) -> dict[str, Any]:
    told = dict(layout)
    for kind, ends in (("shapes", ("{}0", "{}1")), ("annotations", ("{}",))):
        if layout.get(kind):
            told[kind] = [_mark_said(mark, ends, turned, system) for mark in layout[kind]]
    return told


def _mark_said(
    mark: dict[str, Any],
    ends: tuple[str, ...],
    turned: Mapping[str, tuple[str, str]],
    system: System,
) -> dict[str, Any]:
    told = {**mark, **{name: _texts(mark[name], system) for name in _TEXTS if name in mark}}
    for axis, (unit, other) in turned.items():
        way = axis[0]
        if str(mark.get(f"{way}ref", axis)) != axis:
            continue
        for end in ends:
            name = end.format(way)
            if _is_number(mark.get(name)):
                told[name] = said_value(mark[name], unit, system, to=other)
    return told


def _texts(value: Any, system: System) -> Any:
    if isinstance(value, str):
        return said(value, system)
    return [_texts(one, system) for one in value] if isinstance(value, list) else value


def _values(values: Any, unit: str, other: str, system: System) -> Any:
    """Figures along an axis in the other unit; gaps stay gaps."""
    plain = _plain(values)
    if isinstance(plain, list):
        return [_values(one, unit, other, system) for one in plain]
    to = "degrees F" if unit == DEGREES_APART else other
    return said_value(plain, unit, system, to=to) if _is_number(plain) else plain


def _plain(values: Any) -> Any:
    """Figures as a list, where plotly has packed them as bytes."""
    if isinstance(values, Mapping) and "bdata" in values:
        return np.frombuffer(base64.b64decode(values["bdata"]), dtype=values["dtype"]).tolist()
    return values


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)
