"""Headings read more loosely: without their spare words, or with the mix they stand under."""

from __future__ import annotations

from dataclasses import replace

from analytics.records.fields import Field
from analytics.records.headings import Heading
from analytics.records.words import words
from analytics.units import quantity_of

# Words that say what is measured can only be left out for a field measured so.
_CLOCK = ("time", "date", "datetime")
_SPARED_FOR = {
    "time": _CLOCK,
    "hours": _CLOCK,
    "minutes": _CLOCK,
    "date": ("date", "datetime"),
    "weight": ("mass", "areal"),
    "percent": ("share", "dose"),
}


def undigited(heading: Heading) -> Heading:
    """The heading without the figures in it."""
    digits = frozenset(word for word in heading.words if word.isdigit())
    return replace(heading, words=_without(heading.words, digits))


def spared(heading: Heading) -> Heading:
    """The heading without words it may have too many of."""
    kept = _without(heading.words, words().spare)
    return replace(heading, words=kept, spared=heading.words - kept)


def may_spare(heading: Heading, field: Field) -> bool:
    """Whether the words left out fit the field: "Trim wt" is no time, "Date waxed" no wax."""
    quantity = quantity_of(field.unit) if field.unit else field.kind
    return all(quantity in _SPARED_FOR.get(word, (quantity,)) for word in heading.spared)


def words_in_group(heading: Heading, mix: str) -> frozenset[str]:
    """The heading's words with the mix it stands under; "Gel min" there is a gel time."""
    if heading.words == {"gelcoat"} and heading.unit_for("time"):
        return frozenset({"geltime", mix})
    return heading.words | {mix}


def _without(meaning: frozenset[str], dropped: frozenset[str]) -> frozenset[str]:
    return (meaning - dropped) or meaning
