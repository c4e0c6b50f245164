"""Which headings each field answers to, as sets of meaning words, per kind of record."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from analytics.records.fields import RECORDS, ROLES, Field, dictionary
from analytics.records.headings import meaning_words, read_headings, without_device
from analytics.records.words import words
from analytics.units import quantity_of

RESULT = "result"
PART_OF_MIX = "part_id"
FAULT_SEVERITY = "fault severity"
FAULT_PLACE = "fault place"
ROLE_WORDS = {
    "gelcoat": (frozenset({"gelcoat"}),),
    "resin": (
        frozenset({"resin"}),
        frozenset({"laminate"}),
        frozenset({"laminate", "resin"}),
    ),
}
# What a mix written in a part row can say about itself; the rest is said once, by the part.
MIX_FIELDS = (
    "lot", "catalyst_pct", "gel_min", "mass_kg", "lot_age_months", "catalyst_lot", "mix_method",
    "mix_min", "rest_min", "material_c", "product", "time", "operator", "gel_where",
)  # fmt: skip


@dataclass(frozen=True)
class Entry:
    """A field a set of heading words can mean; `needs_unit` when only beside a fitting unit."""

    target: str
    field: Field
    needs_unit: bool


# Columns that are no field of their own record but help to make one.
_HELPERS: dict[str, dict[str, tuple[str, ...]]] = {
    "batch": {
        PART_OF_MIX: ("part", "part no", "part id", "job", "job no", "part made", "moulding no",
                      "into part", "used on part", "part no used on")
    },
    "part": {
        FAULT_SEVERITY: ("severity", "sev", "how bad", "fault severity", "defect severity",
                         "degree", "bad", "severity of fault"),
        FAULT_PLACE: ("where", "location", "place", "position", "fault location", "zone",
                      "defect location", "where on part", "location on part", "fault place",
                      "defect position", "fault position"),
    },
    "logger": {"date": ("date", "day"), "time": ("time", "clock", "time of day")},
}  # fmt: skip

Index = dict[frozenset[str], list[Entry]]


@lru_cache(maxsize=len(RECORDS))
def index_of(record: str) -> Index:
    """The meaning words of every known heading of a record's sheet, with the fields they mean."""
    index: Index = {}
    for field in dictionary().of(record):
        for meaning, needs_unit in _meanings(field):
            _add(index, meaning, Entry(field.id, field, needs_unit))
    if record == "part":
        _add_results(index)
        _add_mixes(index)
    for target, texts in _HELPERS.get(record, {}).items():
        for text in texts:
            _add(index, meaning_words(text), Entry(target, field_of(record, target), False))
    return index


def field_of(record: str, target: str) -> Field:
    """The field behind a target, helper columns included. Raises KeyError if there is none."""
    if target == RESULT or target.startswith("defects"):
        return dictionary().get("part", "defects")
    if target in _HELPERS.get(record, {}):
        beside = {"time": "start_time", FAULT_SEVERITY: "notes", FAULT_PLACE: "notes"}
        return dictionary().get("part", beside.get(target, target))
    return dictionary().target(record, target)


def _meanings(field: Field) -> Iterator[tuple[frozenset[str], bool]]:
    quantity = quantity_of(field.unit) if field.unit else None
    for text in (field.id, field.name, *field.spellings):
        for heading in read_headings(text):
            if heading.unit is None:
                yield heading.words, False
            elif quantity and heading.unit_for(quantity):
                yield heading.words, True
    for text in field.spellings_with_unit:
        yield meaning_words(text), True


def _add(index: Index, meaning: frozenset[str], entry: Entry) -> None:
    if not meaning:
        return
    entries = index.setdefault(meaning, [])
    for number, known in enumerate(entries):
        if known.target == entry.target:
            entries[number] = known if not known.needs_unit else entry
            return
    entries.append(entry)


def _add_results(index: Index) -> None:
    """Headings over either good words or faults; an outcome column may turn out to be one."""
    field = dictionary().get("part", "defects")
    for text in (*words().results, *dictionary().get("part", "outcome").spellings):
        _add(index, meaning_words(text), Entry(RESULT, field, needs_unit=False))


def _add_mixes(index: Index) -> None:
    for role in ROLES:
        for field_id in MIX_FIELDS:
            field = dictionary().get("batch", field_id)
            for meaning, needs_unit in _meanings(field):
                for whole in _with_role(meaning, role):
                    _add(index, whole, Entry(f"{role}.{field_id}", field, needs_unit))


def _with_role(meaning: frozenset[str], role: str) -> list[frozenset[str]]:
    """The words with the role's own word added, when they do not name the other mix."""
    other = "resin" if role == "gelcoat" else "gelcoat"
    if meaning & frozenset().union(*ROLE_WORDS[other]):
        return []
    if meaning & frozenset().union(*ROLE_WORDS[role]):
        return [meaning]
    return [meaning | own for own in ROLE_WORDS[role]]


@lru_cache(maxsize=len(RECORDS))
def vocabulary(record: str) -> frozenset[str]:
    """Every single word of a record's headings as shops spell it, for telling misspellings."""
    texts = [*words().concepts, *words().concepts.values(), *words().filler, *words().spare]
    for field in dictionary().of(record):
        texts += [*field.spellings, *field.spellings_with_unit]
    return frozenset(word for text in texts for word in re.findall(r"[a-z]+", text))


@lru_cache(maxsize=1)
def _all_meanings() -> frozenset[frozenset[str]]:
    known = {meaning for record in RECORDS for meaning in index_of(record)}
    known |= {meaning_words(text) for text in words().skip}
    return frozenset(known - {frozenset()})


_NO_HEADING = re.compile(r"[-+]?\d[\d.,:/-]|.*\d.*\d.*\d")


def is_heading(text: str) -> bool:
    """Whether a cell is a heading some log is known to use."""
    own = without_device(text) if len(text) < 200 else text
    if not own or len(own) > 60 or _NO_HEADING.match(own):
        return False
    return _is_heading(own)


@lru_cache(maxsize=20_000)
def _is_heading(text: str) -> bool:
    return any(
        heading.words in _all_meanings() or (heading.unit and not heading.words)
        for heading in read_headings(text)
    )


@lru_cache(maxsize=1)
def _skipped() -> frozenset[frozenset[str]]:
    readings = (heading for text in words().skip for heading in read_headings(text))
    return frozenset(heading.words for heading in readings if heading.words)


def is_skipped(text: str) -> bool:
    """Whether a heading is one laylog has no use for, such as a dew point it works out itself."""
    return any(heading.words in _skipped() for heading in read_headings(text))
