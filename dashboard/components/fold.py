"""What not everybody needs, behind one line to press; what belongs on the wall is printed open."""

from __future__ import annotations

from typing import Any

from dash import html
from dash.development.base_component import Component

ON_PAPER = "on-paper"
"""The class of a fold that laylog.js opens while the page is printed."""


def fold(title: str, *inside: Any, on_paper: bool = False, css: str = "") -> Component:
    """The pieces folded away under a line that says what they are."""
    names = ("fold", ON_PAPER if on_paper else "", css)
    return html.Details(
        [html.Summary(title), *inside], className=" ".join(name for name in names if name)
    )
