"""What a heading says: its words with one meaning each, and any unit or date order in it."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from analytics.records.dates import Order, told_order
from analytics.records.limits import LONGEST_HEADING
from analytics.records.words import any_of, plain, without_accents, words
from analytics.units import QUANTITIES, unit_named

# Unit words that stand before or after the words of a heading. Single letters count only last,
# in brackets or after "deg"; a unit alone is a heading too.
_SINGLE = frozenset({"c", "f", "h", "g", "m", "x", "s", "d", "k", "b", "w", "v", "y", "in", "to"})
_TRAILING_SINGLE = frozenset({"c", "f", "h", "g", "x"})
_NO_TRAILING = frozenset(
    {"coats", "coat", "layers", "layer", "plies", "ply", "pulls", "pull", "no", "parts", "barcol",
     "hardness", "nr", "off", "times", "a", "sg", "ratio", "gram", "mass", "vol", "mu", "mo", "#",
     "number", "fraction"}
)  # fmt: skip
_LEADING = frozenset(
    {"hours", "hrs", "hr", "mins", "minutes", "days", "months", "kg", "lb", "lbs", "mm", "thou"}
)
_ORDER_IN_BRACKETS = re.compile(r"[dmy]{1,4}[-/. ][dmy]{1,4}[-/. ][dmy]{1,4}")
_TICKS = frozenset({"y/n", "yes/no", "y or n", "yes or no", "tick", "x", "✓", "t/f", "ok"})


@dataclass(frozen=True)
class Heading:
    """A heading taken apart.

    `words` are its meaning words; `unit` is a unit as typed ("oz/sq ft"), which may fit several
    quantities; `order` is a date order it states. `spared` are words left out of `words`.
    """

    text: str
    words: frozenset[str]
    unit: str | None
    order: Order | None
    spared: frozenset[str] = frozenset()

    def unit_for(self, quantity: str) -> str | None:
        """The unit of that quantity the heading states, None when it states none that fits."""
        return unit_named(self.unit, quantity) if self.unit else None


@lru_cache(maxsize=20_000)
def read_headings(text: str) -> tuple[Heading, ...]:
    """The ways to read a heading, likeliest first: "film min" may be minutes or a minimum."""
    text = text[:LONGEST_HEADING]
    order = told_order([text])
    flat, inside = _brackets(_opened_up(without_device(text)))
    unit = next((content for content in inside if _is_unit(content)), None)
    rest = " ".join([flat, *(c for c in inside if not _is_unit(c) and not _is_aside(c))])
    cuts = _cut_units(rest) if unit is None else []
    readings = [Heading(text, meaning_words(words), cut, order) for words, cut in reversed(cuts)]
    timed = rest.strip() == "gel min"  # minutes to gel; the least wet film is "gelcoat min"
    if not timed and not any(re.search(r"[%°/]", cut) for _, cut in cuts):
        readings.append(Heading(text, meaning_words(rest), unit, order))
    if unit is None and not timed and re.search(r"\bmin\b", rest):
        spelt = re.sub(r"\bmin\b", "minimum", rest)
        readings.append(Heading(text, meaning_words(spelt), None, order))
    return tuple(dict.fromkeys(readings))


_TIME_ZONE = re.compile(r"[,\s]*[(\[]?\b(?:gmt|utc)\s*[+-]?\d{0,2}:?\d{0,2}[)\]]?", re.IGNORECASE)
_SERIAL_NUMBERS = re.compile(
    r"\s*[(\[][^()\[\]]*\b(?:s/n|ser(?:ial)?\.?(?: no)?)\b[^()\[\]]*[)\]]", re.I
)


def without_device(text: str) -> str:
    """A heading without the time zone and the serial numbers a logger writes into it."""
    return _TIME_ZONE.sub("", _SERIAL_NUMBERS.sub("", text)).strip()


def sides_of(text: str) -> tuple[str, ...]:
    """The sides of a heading that says the same twice: "Beginn / start", "Form (mould)"."""
    flat, inside = _brackets(text)
    if any(h.unit and "/" in h.unit for h in read_headings(text)):
        return tuple(side for side in inside if not _is_unit(side.lower()))
    cut = [side.strip() for side in flat.split("/")]
    if len(cut) > 1 and " " in cut[0]:  # "Gelcoat charge/lot" is also "Gelcoat lot"
        cut += [f"{cut[0].rpartition(' ')[0]} {side}" for side in cut[1:] if " " not in side]
    sides = [*(cut if len(cut) > 1 else [flat.strip()] if inside else []), *inside]
    return tuple(side for side in sides if side and not _is_unit(side.lower()))


def _opened_up(text: str) -> str:
    """The heading in lower case, its words apart: "ShopTemp_C" is "shop temp c"."""
    apart = re.sub(
        r"(?<=[a-z])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z]{2})",
        " ",
        unicodedata.normalize("NFKC", text.replace("º", "°")),
    )
    flat = without_accents(plain(apart.replace("_", " ")))
    flat = re.sub(r"-+>|=+>|→|>", " to ", flat).replace("µ", "u").replace("μ", "u")
    flat = flat.replace("(s)", "s").replace("&", " and ")
    return _without_dots(flat)


def _without_dots(flat: str) -> str:
    """ "r.h." as "rh", "cat. lot" as "cat lot"; decimal points stay."""
    initials = re.sub(r"\b([a-z])\.(?=[a-z]\b)", r"\1", flat)
    return re.sub(r"(?<=[a-z])\.(?!\d)", " ", initials)


def _brackets(flat: str) -> tuple[str, list[str]]:
    inside = re.findall(r"[(\[{]([^)\]}]*)[)\]}]", flat)
    return re.sub(r"[(\[{][^)\]}]*[)\]}]", " ", flat), [content.strip() for content in inside]


def _is_aside(content: str) -> bool:
    return not content or content in _TICKS or _ORDER_IN_BRACKETS.fullmatch(content) is not None


@lru_cache(maxsize=20_000)
def _is_unit(text: str) -> bool:
    return any(unit_named(text, quantity) for quantity in QUANTITIES)


def is_unit_text(text: str) -> bool:
    """Whether a cell holds nothing but a unit, "(min)" or "g/m²"."""
    return bool(text) and _is_unit(text.strip("()[] ").lower())


def _cut_units(rest: str) -> list[tuple[str, str]]:
    """The heading with a unit cut off its end or its start, longest unit last."""
    tokens = re.sub(r"[,:;]", " ", rest).strip(" ?.*-").split()
    cuts: list[tuple[str, str]] = []
    for size in (1, 2, 3):
        if len(tokens) < size:
            break
        tail, head = " ".join(tokens[-size:]), " ".join(tokens[:-size])
        if _is_unit(tail) and _may_trail(tokens, size):
            cuts.append((re.sub(r"[\s\-–/]+$", "", head), tail))
    if len(tokens) > 1 and (tokens[0] in _LEADING or tokens[0] in ("%", "°c", "°f")):
        cuts.append((" ".join(tokens[1:]), tokens[0]))
    stuck = re.fullmatch(r"(.*[a-z])\s*(°\s*[cf]?|%)", " ".join(tokens))
    if stuck and (stuck[1], stuck[2]) not in cuts:
        cuts.append((stuck[1], stuck[2]))
    return cuts


def _may_trail(tokens: list[str], size: int) -> bool:
    """Whether the last word of a heading is likelier a unit than one of its words."""
    last = tokens[-1]
    if size > 1 or last not in _SINGLE:
        return size > 1 or last not in _NO_TRAILING
    return len(tokens) > 1 and last in _TRAILING_SINGLE


@lru_cache(maxsize=1)
def _concept_pattern() -> re.Pattern[str]:
    return re.compile(rf"(?<![\w]){any_of_words()}(?![\w])")


def any_of_words() -> str:
    """All heading words with a meaning of their own, as a regex group."""
    return f"(?:{any_of(words().concepts)})"


@lru_cache(maxsize=50_000)
def meaning_words(text: str) -> frozenset[str]:
    """The words of a heading, each replaced by the one that stands for its meaning."""
    flat = _without_dots(without_accents(plain(text)))
    flat = re.sub(r"(?<=\w)'s\b", "", flat)
    marked = _concept_pattern().sub(lambda m: f" {words().concepts[m[0]]} ", f" {flat} ")
    tokens = re.findall(r"[^\W_]+", re.sub(r"[^\w%]", " ", marked))
    return frozenset(token for token in tokens if token not in words().filler)
