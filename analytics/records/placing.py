"""What a shop says a column means, checked before it is remembered."""

from __future__ import annotations

from analytics.errors import QuestionError
from analytics.records.fields import RECORDS, Field, Placement, dictionary
from analytics.units import quantity_of, unit_named, units_of

IGNORE = "ignore"


def checked_placement(target: str, unit: str | None = None) -> Placement:
    """The placement with its unit under the name laylog uses for it.

    Raises QuestionError for a field that does not exist, or a unit it is not measured in.
    """
    if target == IGNORE:
        return Placement(IGNORE)
    field = _field(target)
    if unit is None:
        return Placement(target)
    if field.unit is None:
        raise QuestionError(f'{target} has no unit; leave out "{unit}".')
    quantity = quantity_of(field.unit)
    named = unit_named(unit, quantity)
    if named is None:
        known = ", ".join(units_of(quantity))
        raise QuestionError(f'{target} is not measured in "{unit}". Units it can have: {known}.')
    return Placement(target, named)


def _field(target: str) -> Field:
    known = {t: record for record in RECORDS for t in dictionary().targets(record)}
    if target not in known:
        from rapidfuzz.process import extract

        near = ", ".join(name for name, _, _ in extract(target, list(known), limit=4))
        raise QuestionError(f'no field is called "{target}". Nearest: {near}, or "{IGNORE}".')
    return dictionary().target(known[target], target)
