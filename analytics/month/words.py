"""How things are called in the sentences of a review."""

from __future__ import annotations

from collections.abc import Mapping

from analytics.knowledge.model import Knowledge
from analytics.month.answer import Share
from analytics.month.results import ANY_FAULT
from analytics.records.fields import ROLES, dictionary

KIND_WORDS: Mapping[str, str] = {
    "mould": "mould",
    "gelcoat_lot": "gel-coat lot",
    "resin_lot": "resin lot",
    "catalyst_lot": "catalyst lot",
    "operator": "person",
}
WITH_WORDS: Mapping[str, str] = {"mould": "on mould", "operator": "laid by"}
ROLE_WORDS: Mapping[str, str] = {"gelcoat": "gel-coat", "resin": "resin"}
DERIVED: Mapping[str, tuple[str, str]] = {
    "dew_margin_c": ("mould face above dew point", "°C"),
    "night_low_c": ("coldest air in the night after", "°C"),
    "backup_h20": ("hours to first ply, as at 20 °C", "h"),
    "demould_h20": ("hours in the mould, as at 20 °C", "h"),
    "pva_h_ref_min": ("film drying, as at 20 °C and 50 %", "min"),
    "gelcoat_gel_ratio": ("gel-coat gel time against expected", "times"),
    "resin_gel_ratio": ("resin gel time against expected", "times"),
    "laying_over_gel": ("laying time against gel time", "times"),
    "resin_to_glass": ("resin to glass", "to 1"),
    "film_spread": ("thickest film against thinnest", "times"),
    "mould_young_pulls": ("pulls ever off the mould", ""),
}
UNIT_WORDS: Mapping[str, str] = {"count": "", "1-5": "", "Barcol": "", "mass %": "% by mass"}
"""Units that read oddly after a number, as they are said."""


def defect_title(defect: str, knowledge: Knowledge) -> str:
    """The defect as the shop reads it; its id where the knowledge has no such entry."""
    if defect == ANY_FAULT:
        return "faulty parts of any kind"
    entry = knowledge.defects.get(defect)
    return entry.title if entry is not None else defect


def subject_words(kind: str, subject: str) -> str:
    """A thing with its kind: "on mould M07", "with gel-coat lot G52", "laid by Ann"."""
    return f"{WITH_WORDS.get(kind, f'with {KIND_WORDS[kind]}')} {subject}"


def field_words(field: str) -> tuple[str, str]:
    """(name, unit) of a column of the jobs table; the column's own name where none is known."""
    if field in DERIVED:
        return DERIVED[field]
    role, _, own = field.partition("_")
    on_mix = role in ROLES and not _is_part_field(field)
    try:
        entry = dictionary().target("part", f"{role}.{own}" if on_mix else field)
    except KeyError:
        return field, ""
    unit = UNIT_WORDS.get(entry.unit or "", entry.unit or "")
    name = lower_first(entry.name)
    return (f"{ROLE_WORDS[role]} {name}" if on_mix else name), unit


def lower_first(text: str) -> str:
    """The text without its capital, unless it begins with an abbreviation such as PVA."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def upper_first(text: str) -> str:
    """The text with a capital to begin a sentence."""
    return text[:1].upper() + text[1:]


def _is_part_field(field: str) -> bool:
    return any(entry.id == field for entry in dictionary().of("part"))


def counts_words(share: Share) -> str:
    """ "9 of 22", or "no parts" where there were none."""
    return f"{share.count:,} of {share.out_of:,}" if share.out_of else "no parts"


def percent(part: float) -> str:
    """A share as a percentage: whole, or with one decimal below 10 %."""
    number = 100.0 * part
    return f"{number:.0f} %" if number >= 9.95 or number == round(number) else f"{number:.1f} %"
