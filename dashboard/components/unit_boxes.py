"""Boxes that ask for a figure in the shop's units, while the address keeps it in metric."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from analytics.saying import SYSTEMS, System, in_metric

DRAWN_IN = "units"
"""The name of the unseen box that tells in which units its form was drawn.

Someone else may change the shop's units while a form is open; what stands in it was typed for the
units its labels show.
"""


def drawn_in(own: Mapping[str, str], system: System) -> Component:
    """The unseen box of a form; `own` is its id but for its name."""
    return html.Div(dcc.Input(id={**own}, type="hidden", value=system), hidden=True)


def system_of(said: Mapping[str, Any]) -> System:
    """The units a form was drawn in, by what stands in its boxes."""
    return next((system for system in SYSTEMS if system == said.get(DRAWN_IN)), "metric")


def metric_boxes(
    values: Sequence[Any], ids: Sequence[Mapping[str, str]], units: Mapping[str, str]
) -> dict[str, str]:
    """What stands in a form's boxes by name, in metric; `units` are the metric ones of figures."""
    pairs = zip(ids, values, strict=True)
    said = {id_["name"]: str(value) for id_, value in pairs if value not in (None, "")}
    system = system_of(said)
    return {
        name: in_metric(text, units[name], system) if name in units else text
        for name, text in said.items()
        if name != DRAWN_IN
    }
