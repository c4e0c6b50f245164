"""How things are called in the sentences of a review."""

from __future__ import annotations

from collections.abc import Mapping

from analytics.columns import column
from analytics.knowledge.model import Knowledge
from analytics.month.answer import Share
from analytics.month.results import ANY_FAULT

KIND_WORDS: Mapping[str, str] = {
    "mould": "mould",
    "gelcoat_lot": "gel-coat lot",
    "resin_lot": "resin lot",
    "catalyst_lot": "catalyst lot",
    "operator": "person",
}
WITH_WORDS: Mapping[str, str] = {"mould": "on mould", "operator": "laid by"}


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
    """(name, unit) of a column of the jobs table."""
    said = column(field)
    return said.name, said.unit


def upper_first(text: str) -> str:
    """The text with a capital to begin a sentence."""
    return text[:1].upper() + text[1:]


def counts_words(share: Share) -> str:
    """ "9 of 22", or "no parts" where there were none."""
    return f"{share.count:,} of {share.out_of:,}" if share.out_of else "no parts"


def percent(part: float) -> str:
    """A share as a percentage: whole, or with one decimal below 10 %."""
    number = 100.0 * part
    return f"{number:.0f} %" if number >= 9.95 or number == round(number) else f"{number:.1f} %"
