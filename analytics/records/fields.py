"""The one dictionary of what a log can hold: every field of every record, read from fields.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

RECORDS = ("part", "batch", "lot", "mould", "logger")
ROLES = ("gelcoat", "resin")
KEYS = {
    "part": "part_id",
    "batch": "batch_id",
    "lot": "lot",
    "mould": "mould_id",
    "logger": "timestamp",
}


@dataclass(frozen=True)
class Field:
    """One thing a record can say.

    `kind` is text, number, yes_no, choice, date, time, datetime or defects. `low` and `high` are
    the plausible range in `unit`; outside it the value is asked about, not used. `usual` tells one
    unit from another where a column states none. `spellings` are column headings shops write,
    `spellings_with_unit` those that count only beside a fitting unit; `choices` maps a choice to
    the words that mean it. `questions` names the questions the field serves (why, month,
    catalyst).
    """

    id: str
    record: str
    name: str
    meaning: str
    kind: str
    unit: str | None
    low: float | None
    high: float | None
    usual: tuple[float, float] | None
    spellings: tuple[str, ...]
    spellings_with_unit: tuple[str, ...]
    choices: Mapping[str, tuple[str, ...]]
    questions: tuple[str, ...]
    source: str | None


@dataclass(frozen=True)
class Placement:
    """Where a shop said a column belongs, and in which unit if the heading does not say.

    `target` is a field id ("air_c"), or one on a mix written in a part row
    ("gelcoat.catalyst_pct"), or "ignore" for a column to leave alone.
    """

    target: str
    unit: str | None = None


@dataclass(frozen=True)
class Figure:
    """A number reading rests on, with where it is from."""

    id: str
    value: float
    unit: str
    meaning: str
    source: str


@dataclass(frozen=True)
class FieldDictionary:
    """Every field of the five records, in the order they are shown."""

    fields: tuple[Field, ...]
    figures: Mapping[str, Figure]
    sources: Mapping[str, str]

    def of(self, record: str) -> tuple[Field, ...]:
        """The fields of one record, in order. Raises KeyError for an unknown record."""
        if record not in RECORDS:
            raise KeyError(record)
        return tuple(f for f in self.fields if f.record == record)

    def get(self, record: str, field_id: str) -> Field:
        """One field. Raises KeyError when the record has no such field."""
        for field in self.fields:
            if field.record == record and field.id == field_id:
                return field
        raise KeyError(f"{record}.{field_id}")

    def target(self, record: str, target: str) -> Field:
        """The field behind a target of a record's sheet, "gelcoat.gel_min" on a part included."""
        role, dot, field_id = target.partition(".")
        if dot and record == "part" and role in ROLES:
            return self.get("batch", field_id)
        return self.get(record, target)

    def targets(self, record: str) -> tuple[str, ...]:
        """Every target a column of this record's sheet can be placed on."""
        own = tuple(f.id for f in self.of(record))
        if record != "part":
            return own
        mixes = [f.id for f in self.of("batch") if f.id not in ("batch_id", "material")]
        return own + tuple(f"{role}.{field_id}" for role in ROLES for field_id in mixes)


@lru_cache(maxsize=1)
def dictionary() -> FieldDictionary:
    """The dictionary shipped with laylog, read once."""
    text = (files(__package__) / "data" / "fields.toml").read_text(encoding="utf-8")
    return parse_dictionary(tomllib.loads(text))


def parse_dictionary(data: Mapping[str, Any]) -> FieldDictionary:
    """A dictionary from the parsed text of fields.toml."""
    fields = [
        _field(record, field_id, entry)
        for record in RECORDS
        for field_id, entry in data[record].items()
    ]
    figures = {key: Figure(id=key, **entry) for key, entry in data["figures"].items()}
    return FieldDictionary(tuple(fields), figures, dict(data["sources"]))


def _field(record: str, field_id: str, entry: Mapping[str, Any]) -> Field:
    return Field(
        id=field_id,
        record=record,
        name=entry["name"],
        meaning=entry["meaning"],
        kind=entry["kind"],
        unit=entry.get("unit"),
        low=entry.get("low"),
        high=entry.get("high"),
        usual=(entry["usual"][0], entry["usual"][1]) if "usual" in entry else None,
        spellings=tuple(entry.get("spellings", ())),
        spellings_with_unit=tuple(entry.get("spellings_with_unit", ())),
        choices={key: tuple(words) for key, words in entry.get("choices", {}).items()},
        questions=tuple(entry.get("questions", ())),
        source=entry.get("source"),
    )
