"""The words shops write in headings and cells, read once from words.toml."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any


@dataclass(frozen=True)
class Words:
    """Sets and tables of words, all lower case. See words.toml for what each is for."""

    concepts: Mapping[str, str]
    filler: frozenset[str]
    spare: frozenset[str]
    results: tuple[str, ...]
    skip: tuple[str, ...]
    roles: Mapping[str, str]
    blank: frozenset[str]
    ditto: frozenset[str]
    yes: frozenset[str]
    no: frozenset[str]
    cross: frozenset[str]
    zero: frozenset[str]
    overnight: frozenset[str]
    about: tuple[str, ...]
    total: frozenset[str]
    numbers: Mapping[str, float]
    severity: Mapping[str, str]
    stressed: Mapping[str, str]
    places: frozenset[str]
    place_filler: frozenset[str]
    negation: tuple[str, ...]
    months: Mapping[str, int]
    weekdays: frozenset[str]
    hints: Mapping[str, str]


@lru_cache(maxsize=1)
def words() -> Words:
    """The words shipped with laylog."""
    text = (files(__package__) / "data" / "words.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    cells, headings = data["cells"], data["headings"]
    return Words(
        concepts=_turned(data["concepts"]),
        filler=frozenset(headings["filler"]),
        spare=frozenset(headings["spare"]),
        results=tuple(headings["result"]),
        skip=tuple(headings["skip"]),
        roles=_turned(data["roles"]),
        blank=frozenset({"", *cells["blank"], *(w.replace("'", "’") for w in cells["blank"])}),
        ditto=frozenset(cells["ditto"]),
        yes=frozenset(cells["yes"]),
        no=frozenset(cells["no"]),
        cross=frozenset(cells["cross"]),
        zero=frozenset(cells["zero"]),
        overnight=frozenset(cells["overnight"]),
        about=tuple(sorted(cells["about"], key=len, reverse=True)),
        total=frozenset(cells["total"]),
        numbers=data["numbers"],
        severity=_turned(data["severity"]),
        stressed=_turned(data["stressed"]),
        places=frozenset(data["places"]["words"]),
        place_filler=frozenset(data["places"]["filler"]),
        negation=tuple(sorted(data["negation"]["words"], key=len, reverse=True)),
        months=data["months"],
        weekdays=frozenset(data["weekdays"]["words"]),
        hints=_turned(data["hints"]),
    )


def _turned(table: Mapping[str, Any]) -> dict[str, str]:
    return {word: meaning for meaning, spellings in table.items() for word in spellings}


def plain(text: str) -> str:
    """Text in lower case with single blanks and plain quotation marks, accents kept."""
    if text.isascii():
        return " ".join(text.lower().split())
    degrees = text.replace("º", "°").replace("˚", "°")
    flat = unicodedata.normalize("NFKC", degrees).replace("’", "'").replace("‘", "'")
    return re.sub(r"\s+", " ", flat).strip().lower()


def without_accents(text: str) -> str:
    """The text with é as e and so on; other signs stay."""
    split = unicodedata.normalize("NFD", text)
    return "".join(mark for mark in split if not unicodedata.combining(mark))


def is_blank(text: str) -> bool:
    """Whether a cell says nothing: empty, or a mark for "not known"."""
    return text.lower() in words().blank


def any_of(spellings: Iterable[str]) -> str:
    """A regex alternation of literal spellings, longest first."""
    return "|".join(re.escape(word) for word in sorted(spellings, key=len, reverse=True))
