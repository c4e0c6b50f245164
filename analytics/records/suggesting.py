"""What a column nobody knows may be, for the shop to choose from."""

from __future__ import annotations

from collections.abc import Sequence

from analytics.records.columns import Column
from analytics.records.fields import Field, dictionary
from analytics.records.fitting import fit_of
from analytics.records.headings import Heading, read_headings
from analytics.records.spellings import Entry
from analytics.records.words import plain

_LOOKS_LIKE = 75
_LONG = 5


def suggested(
    record: str, column: Column, shared: Sequence[tuple[float, Entry, Heading]]
) -> tuple[str, ...]:
    """Up to two targets whose known headings look most like this one and whose cells fit."""
    from rapidfuzz import fuzz, process

    texts = {spelling: field for field in dictionary().of(record) for spelling in field.spellings}
    found = [(entry.target, entry.field, heading) for _, entry, heading in shared]
    whole = plain(column.header)
    for token in (whole, *(word for word in whole.split() if len(word) >= _LONG)):
        near = process.extract(
            token, list(texts), scorer=fuzz.ratio, limit=4, score_cutoff=_LOOKS_LIKE
        )
        found += [(texts[s].id, texts[s], read_headings(column.header)[0]) for s, _, _ in near]
    placeable = dictionary().targets(record)
    suited = dict.fromkeys(
        target
        for target, field, heading in found
        if target in placeable and _could_be(field, heading, column)
    )
    return tuple(suited)[:2]


def _could_be(field: Field, heading: Heading, column: Column) -> bool:
    """Whether the cells could hold the field; words under a heading name no number of things."""
    fit = fit_of(field, heading, column.cells)
    return fit.suits and (fit.kind == "text" or bool(column.cells.said.any()))
