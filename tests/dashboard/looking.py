"""Looking into a page as it is handed to the browser: its words, its links, its parts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from dash.development.base_component import Component


def every(page: Any) -> Iterator[Any]:
    """The page and everything in it: components and texts, from the top."""
    if isinstance(page, list | tuple):
        for one in page:
            yield from every(one)
    elif page is not None:
        yield page
        if isinstance(page, Component):
            yield from every(getattr(page, "children", None))


def words(page: Any) -> str:
    """All the text of a page, with single spaces."""
    return " ".join(" ".join(one for one in every(page) if isinstance(one, str)).split())


def links(page: Any) -> dict[str, str]:
    """Every link by its words."""
    return {words(one): one.href for one in every(page) if getattr(one, "href", None)}


def of_class(page: Any, name: str) -> list[Component]:
    """The components with this class."""
    return [
        one
        for one in every(page)
        if isinstance(one, Component) and name in str(getattr(one, "className", "")).split()
    ]


def ids(page: Any) -> list[Any]:
    """Every id on the page."""
    return [
        one.id for one in every(page) if isinstance(one, Component) and getattr(one, "id", None)
    ]
