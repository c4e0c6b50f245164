"""What the columns of the jobs table are called, and in which unit: said once for every screen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from analytics.records.fields import ROLES, Field, dictionary
from analytics.saying import DEGREES_APART

ROLE_WORDS: Mapping[str, str] = {"gelcoat": "gel-coat", "resin": "resin"}
UNIT_WORDS: Mapping[str, str] = {"count": "", "1-5": "", "Barcol": "", "mass %": "% by mass"}
"""Units that read oddly after a number, as they are said."""
DERIVED: Mapping[str, tuple[str, str]] = {
    "dew_margin_c": ("mould face above dew point", DEGREES_APART),
    "night_low_c": ("coldest air in the night after", "°C"),
    "backup_h20": ("hours to first ply, as at 20 °C", "h"),
    "demould_h20": ("hours in the mould, as at 20 °C", "h"),
    "pva_h_ref_min": ("film drying, as at 20 °C and 50 %", "min"),
    "gelcoat_gel_ratio": ("gel-coat gel time against expected", "times"),
    "resin_gel_ratio": ("resin gel time against expected", "times"),
    "gelcoat_lot_gel_ratio": ("gel time of this gel-coat lot's cups against expected", "times"),
    "resin_lot_gel_ratio": ("gel time of this resin lot's cups against expected", "times"),
    "catalyst_lot_gel_ratio": ("gel time of this catalyst lot's cups against expected", "times"),
    "laying_over_gel": ("laying time against gel time", "times"),
    "resin_to_glass": ("resin to glass", "to 1"),
    "film_spread": ("thickest film against thinnest", "times"),
    "day": ("the day", ""),
    "mould_young_pulls": ("pulls ever off the mould", ""),
}


@dataclass(frozen=True)
class Column:
    """A column of the jobs table as it is said: name without a capital, unit, kind of value."""

    name: str
    unit: str
    kind: str


def column(name: str) -> Column:
    """How a column of the jobs table is said; by its own name where nobody named it."""
    if name in DERIVED:
        return Column(*DERIVED[name], "number")
    field, role = _field(name)
    if field is None:
        return Column(name, "", "text")
    said = lower_first(field.name)
    unit = UNIT_WORDS.get(field.unit or "", field.unit or "")
    return Column(f"{ROLE_WORDS[role]} {said}" if role else said, unit, field.kind)


def _field(name: str) -> tuple[Field | None, str]:
    """The dictionary's field behind a column, and the mix it is of ("" for the part itself)."""
    parts = {field.id: field for field in dictionary().of("part")}
    if name in parts:
        return parts[name], ""
    role, _, own = name.partition("_")
    record = "batch" if role in ROLES else "mould"
    found = {field.id: field for field in dictionary().of(record)}.get(own)
    return found, role if role in ROLES else ""


def lower_first(text: str) -> str:
    """The text without its capital, unless it begins with an abbreviation such as PVA."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]
