"""The answer itself, as a tie-on tag: what it is about, the answer, and a line of detail."""

from __future__ import annotations

from typing import Any

from dash import html
from dash.development.base_component import Component


def tag(about: Any, answer: Any, *details: Any) -> Component:
    """The answer in the largest type on the page; read out again when it changes."""
    return html.Section(
        [
            html.P(about, className="tag-about"),
            html.P(answer, className="tag-answer"),
            *[html.P(detail, className="tag-detail") for detail in details if detail],
        ],
        className="tag",
        role="status",
    )
