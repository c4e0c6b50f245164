"""The shop's units on the screen: everything a page answers with passes here on its way out.

Pages and charts are made in metric. Where the shop chose US units, sentences are said so and the
axes of charts are turned; the address, ids and what stands in boxes are left alone.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from flask import Flask, Response, request

from analytics.saying import System, said
from dashboard.units_in_charts import chart_said

if TYPE_CHECKING:
    from analytics.shop import Shop

AS_TYPED = "as-typed"
"""The class of what somebody typed, which is shown as it was."""
_ANSWERS = "/_dash-update-component"
# Cells of a file are set as code.
_TYPED = ("Code",)
_SAID = frozenset({"children", "label", "title", "placeholder", "alt", "aria-label", "data-label"})


def speak_units(server: Flask, shop: Shop) -> None:
    """Let every answer of every page leave in the units the shop chose."""

    @server.after_request
    def say(response: Response) -> Response:
        if request.path != _ANSWERS or response.mimetype != "application/json":
            return response
        system = shop.units()
        if system != "metric":
            answer = json.loads(response.get_data())
            told = answer_said(answer, system)
            response.set_data(json.dumps(told, ensure_ascii=False, separators=(",", ":")))
        return response


def answer_said(answer: Any, system: System) -> Any:
    """What a callback answers with, its texts and charts in these units."""
    if not isinstance(answer, dict):
        return answer
    outputs = ("response", "sideUpdate")
    return {
        key: {place: props_said(props, system) for place, props in value.items()}
        if key in outputs and isinstance(value, dict)
        else value
        for key, value in answer.items()
    }


def props_said(props: Any, system: System) -> Any:
    """A component's properties: texts said, a chart turned, all else as it is."""
    if not isinstance(props, dict) or _is_as_typed(props):
        return props
    return {name: _prop_said(name, value, system) for name, value in props.items()}


def _prop_said(name: str, value: Any, system: System) -> Any:
    if name == "figure" and isinstance(value, dict):
        return chart_said(value, system)
    if name == "options" and isinstance(value, list):
        return [props_said(option, system) for option in value]
    return _said(value, system) if name in _SAID else value


def _said(inside: Any, system: System) -> Any:
    if isinstance(inside, str):
        return said(inside, system)
    if isinstance(inside, list):
        return [_said(one, system) for one in inside]
    if isinstance(inside, dict) and "props" in inside and inside.get("type") not in _TYPED:
        return {**inside, "props": props_said(inside["props"], system)}
    return inside


def _is_as_typed(props: dict[str, Any]) -> bool:
    return AS_TYPED in str(props.get("className", "")).split()
