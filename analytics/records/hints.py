"""What title lines and sheet names say about the cells below: units, date order, year, month."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from analytics.records.dates import Order, months_named, told_order, years_named
from analytics.records.words import any_of, plain, words
from analytics.units import unit_named


@dataclass(frozen=True)
class Hints:
    """Units by quantity, date order, years and months a sheet states outside its cells."""

    units: tuple[tuple[str, str], ...]
    order: Order | None
    years: tuple[int, ...]
    months: tuple[int, ...]

    def unit(self, quantity: str) -> str | None:
        """The unit stated for a quantity, None when none is."""
        return dict(self.units).get(quantity)


def read_hints(sheet: str, lines: Iterable[str]) -> Hints:
    """The hints in a sheet's name and in the lines of prose round its table."""
    listed = list(lines)
    units: dict[str, str] = {}
    for line in listed:
        for clause in re.split(r"[,;()\[\]]|\. |: (?=[a-z]+ (?:in|are))|\band\b", plain(line)):
            found = _unit_clause(clause.strip(" .()*"))
            if found:
                units.setdefault(*found)
    titles = [sheet, *listed]
    return Hints(
        tuple(sorted(units.items())), told_order(listed), years_named(titles), months_named(titles)
    )


def _unit_clause(clause: str) -> tuple[str, str] | None:
    """The quantity and unit of a clause like "catalyst in cc per lb unless % shown"."""
    subject = rf"({any_of(words().hints)})"
    lead = re.match(rf"(?:all |nb |note |the )*{subject}\b", clause) or re.search(
        rf"\b{subject}(?= (?:are |is )?in )", clause
    )
    if not lead:
        return None
    quantity = words().hints[lead[1]]
    rest = re.sub(
        r"^\s*(?:is|are|=|:|in|as|by|measured|given|shown|all|\s)+", "", clause[lead.end() :]
    )
    tokens = rest.split()
    for size in range(min(len(tokens), 5), 0, -1):
        unit = unit_named(" ".join(tokens[:size]), quantity)
        if unit:
            return quantity, unit
    return None
