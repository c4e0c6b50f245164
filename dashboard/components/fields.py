"""What fields are called on the screen."""

from __future__ import annotations

from analytics.columns import column, lower_first
from analytics.records.fields import dictionary
from dashboard.components.words import sentence

IGNORE = "ignore"
KINDS = {"batch": "Mix", "lot": "Lot", "mould": "Mould", "logger": "Logger"}


def target_words(target: str | None) -> str:
    """A target of a column ("air_c", "gelcoat.catalyst_pct") by its name."""
    if target in (None, IGNORE):
        return "Left alone"
    return column_words(str(target).replace(".", "_"))


def column_words(name: str) -> str:
    """A column of the jobs table ("air_c", "gelcoat_catalyst_pct") by its name, or as it is."""
    return sentence(column(name).name)


def places() -> list[tuple[str, str]]:
    """Every place a column can have, as (name, target): parts and their mixes, then the rest."""
    named = [(target_words(target), target) for target in dictionary().targets("part")]
    known = {target for _, target in named}
    for record, kind in KINDS.items():
        for field in dictionary().of(record):
            if field.id not in known:
                named.append((f"{kind}: {lower_first(field.name)}", field.id))
                known.add(field.id)
    return [("Leave it alone", IGNORE), *named]
