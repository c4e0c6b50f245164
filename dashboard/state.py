"""The address bar holds what is on the screen: reading it, and writing links that change it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import parse_qsl, quote, urlencode

Query = Mapping[str, str]
MOST_WORDS = 60


def read(search: str | None) -> dict[str, str]:
    """What the part of the address after "?" says; the last word on each name counts."""
    return dict(parse_qsl("&".join((search or "").lstrip("?").split("&")[:MOST_WORDS])))


def search_of(**given: object) -> str:
    """The part of an address from "?" on; what is None or empty is left out."""
    kept = [(name, str(value)) for name, value in given.items() if value not in (None, "")]
    return "?" + urlencode(kept, quote_via=quote, safe=":,") if kept else ""


def address(path: str, **given: object) -> str:
    """A link to a page in a given state."""
    return path + search_of(**given)


def changed(query: Query, **changes: object) -> dict[str, Any]:
    """The same state with some of it changed; None takes a word out."""
    return {**query, **changes}


def seen_of(query: Query) -> dict[str, str]:
    """Bench checks answered so far: {check id: result id}, in the order they were answered."""
    pairs = (pair.partition(":") for pair in query.get("seen", "").split(",") if ":" in pair)
    return {check: result for check, _, result in pairs if check and result}


def seen_text(seen: Mapping[str, str]) -> str:
    """The answered checks as the address writes them."""
    return ",".join(f"{check}:{result}" for check, result in seen.items())


def words_of(query: Query, name: str) -> tuple[str, ...]:
    """A list in the address ("skip=a,b"), without empty entries."""
    return tuple(word for word in query.get(name, "").split(",") if word)


def number_of(query: Query, name: str, otherwise: float | None = None) -> float | None:
    """A number in the address, a decimal comma allowed; `otherwise` where it is none."""
    try:
        return float(query.get(name, "").replace(",", "."))
    except ValueError:
        return otherwise
