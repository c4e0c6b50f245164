"""A figure as a shop writes it: "1,8 %", "~20 min", "1h30", "18-20", "½ h", "three"."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from analytics.records.limits import LONGEST_FIGURE
from analytics.records.words import any_of, plain, words
from analytics.units import unit_named

# "points": a decimal comma, and points between thousands.
Comma = Literal["decimal", "thousands", "points"]
_VULGAR = {"½": ".5", "¼": ".25", "¾": ".75", "⅓": ".333333", "⅔": ".666667", "⅛": ".125"}
_FIGURE = re.compile(r"([+\-−–]?\s?(?:\d[\d.,]*|[.,]\d+))")
_RANGE = re.compile(r"(\d[\d.,]*)\s*(?:-|–|—|to|\.\.\.?)\s*(\d[\d.,]*)(?![\d/.])\s*(.*)")
_CLOCKED = re.compile(
    r"(\d{1,3})\s*(?:h|hr|hrs|hour|hours)\s*(?:and\s*)?(\d{1,2})\s*(?:m|min|mins|minutes|')?$"
)
_COLON = re.compile(r"(\d{1,3}):(\d{2})(?::\d{2})?\s*(?:h|hr|hrs|hours)?$")
_POINTS = re.compile(r"[+-]?\d{1,3}(?:\.\d{3})+")
_SPREAD = re.compile(r"(.*?\d)\s*(?:±|\+/-|\+-)\s*[\d.,]+\s*(.*)")
_SERIES = re.compile(r"(\d[\d.]*(?:(?:\s*/\s*|,\s+|\s*;\s*|\s+)\d[\d.]*)+)\s*(\D*)")
_BARE_DEGREES = frozenset({"°", "deg", "degs", "degrees", "degree", "°."})
_MONEY = re.compile(r"^(?:£|\$|€|gbp|usd|eur)\s*|\s*(?:£|\$|€)$")


@dataclass(frozen=True)
class Number:
    """A figure read from a cell: its unit as typed (None when bare), and whether it is rough."""

    value: float
    unit: str | None
    rough: bool = False


def comma_style(texts: Iterable[str]) -> Comma | None:
    """What a comma means in this column, when any of its cells can only be read one way."""
    dotted = False
    for text in texts:
        for figure in re.findall(r"\d[\d.,]*\d", text):
            dotted |= "." in figure and "," not in figure
            if "." in figure and "," in figure:
                return "decimal" if figure.rfind(",") > figure.rfind(".") else "thousands"
            after = figure.rpartition(",")[2] if figure.count(",") == 1 else None
            if after is not None and (len(after) != 3 or figure.startswith("0,")):
                return "decimal"
    return "thousands" if dotted else None


def to_float(figure: str, comma: Comma | None) -> float | None:
    """The value of digits with dots and commas; None when a comma could mean either.

    "1,234" is either when nothing in its column says what a comma means.
    """
    digits = figure.replace("−", "-").replace("–", "-").replace(" ", "")
    last_dot, last_comma = digits.rfind("."), digits.rfind(",")
    if last_dot >= 0 and last_comma >= 0:
        mark, other = (".", ",") if last_dot > last_comma else (",", ".")
        digits = digits.replace(other, "").replace(mark, ".")
    elif last_comma >= 0:
        settled = _comma_only(digits, comma)
        if settled is None:
            return None
        digits = settled
    elif digits.count(".") > 1 or (comma == "points" and _POINTS.fullmatch(digits)):
        digits = digits.replace(".", "")
    try:
        return float(digits)
    except ValueError:
        return None


def _comma_only(digits: str, comma: Comma | None) -> str | None:
    before, _, after = digits.rpartition(",")
    if digits.count(",") > 1:
        return digits.replace(",", "")
    if len(after) != 3 or before.lstrip("+-") in ("", "0"):
        return f"{before}.{after}"
    if comma is None:
        return None
    return before + after if comma == "thousands" else f"{before}.{after}"


@lru_cache(maxsize=200_000)
def read_number(text: str, quantity: str, comma: Comma | None = None) -> Number | None:
    """The figure in a cell where this quantity is expected; None when it cannot be read.

    A remark in brackets is left out; a range is its middle, marked rough.
    """
    if len(text) > LONGEST_FIGURE:
        return None
    flat = _plain_figure(text)
    flat, about = _without_about(flat)
    if quantity == "time":
        clocked = _read_clocked(flat)
        if clocked is not None:
            return Number(clocked, "h", about)
    if quantity == "money":
        flat = _MONEY.sub("", flat)
    if quantity == "count":
        flat = re.sub(r"^[x×]\s*(?=\d)", "", flat)
    ranged = _RANGE.fullmatch(flat)
    if ranged:
        return _middle(ranged, quantity, comma)
    if quantity == "length" and (readings := _SERIES.fullmatch(flat)):
        return _mean_of(readings, comma)
    found = _FIGURE.match(flat)
    if found is None:
        return _in_words(flat, quantity)
    value = to_float(found[1].rstrip(".,"), comma)
    if value is None:
        return None
    return _with_unit(value, flat[found.end() :], quantity, about)


def _plain_figure(text: str) -> str:
    flat = text
    for mark, decimal in _VULGAR.items():
        flat = re.sub(rf"(\d+)\s*{mark}", rf"\g<1>{decimal}", flat).replace(mark, f"0{decimal}")
    flat = plain(flat).replace("″", '"').replace("′", "'")
    mixed = re.sub(r"\b(\d+)[ -](\d)/([2348])\b", _mixed_number, flat)
    return re.sub(r"^(\d)/([2348])(?=\s|$|[a-z])", _simple_fraction, mixed)


def _mixed_number(match: re.Match[str]) -> str:
    return f"{int(match[1]) + int(match[2]) / int(match[3]):g}"


def _simple_fraction(match: re.Match[str]) -> str:
    return f"{int(match[1]) / int(match[2]):g}"


@lru_cache(maxsize=1)
def _about() -> re.Pattern[str]:
    return re.compile(rf"(?:{any_of(words().about)})\s*(?=[\d.,+\-])")


def _without_about(flat: str) -> tuple[str, bool]:
    lead = _about().match(flat)
    if lead:
        return flat[lead.end() :], True
    spread = _SPREAD.fullmatch(flat)
    if spread:
        return f"{spread[1]} {spread[2]}".strip(), True
    loose = re.fullmatch(r"([\d.,]+.*?)\s*(?:or so|or thereabouts|roughly|approx\.?|about)", flat)
    if loose:
        return loose[1], True
    if flat.endswith(("ish", "?")) and re.match(r"[\d.,]", flat):
        return re.sub(r"\s*-?(?:ish|\?+)$", "", flat), True
    return flat, False


def _read_clocked(flat: str) -> float | None:
    found = _CLOCKED.fullmatch(flat) or _COLON.fullmatch(flat)
    return int(found[1]) + int(found[2]) / 60 if found else None


def _middle(found: re.Match[str], quantity: str, comma: Comma | None) -> Number | None:
    low, high = to_float(found[1], comma), to_float(found[2], comma)
    if low is None or high is None or high < low:
        return None
    return _with_unit((low + high) / 2, found[3], quantity, rough=True)


def _mean_of(found: re.Match[str], comma: Comma | None) -> Number | None:
    """Several readings in one cell, as of a comb, by their mean; None when they are too far apart
    to be readings of one thing."""
    figures = re.findall(r"\d[\d.]*", found[1])
    values = [value for text in figures if (value := to_float(text.rstrip("."), comma)) is not None]
    if len(values) < len(figures) or max(values) > 3 * min(values):
        return None
    return _with_unit(sum(values) / len(values), found[2], "length", rough=False)


def _in_words(flat: str, quantity: str) -> Number | None:
    first, _, rest = flat.partition(" ")
    if first in words().zero:
        return _with_unit(0.0, rest, quantity, rough=False)
    if first in words().numbers:
        return _with_unit(words().numbers[first], rest, quantity, rough=False)
    return None


def _with_unit(value: float, rest: str, quantity: str, rough: bool) -> Number | None:
    unit_text = re.sub(r"\s*\([^)]*\)\s*$", "", rest).strip()
    if not unit_text:
        inside = re.search(r"\(([^)]*)\)", rest)
        named = unit_named(inside[1], quantity) if inside else None
        return Number(value, named, rough)
    if quantity == "temperature" and unit_text in _BARE_DEGREES:
        return Number(value, None, rough)
    unit = unit_named(unit_text, quantity)
    if unit is None and quantity == "count":
        unit = unit_named(unit_text.split()[0], quantity)
    return Number(value, unit, rough) if unit else None
