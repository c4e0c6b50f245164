"""What the surroundings of a column of figures say about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from analytics.records.numbers import Comma
from analytics.units import Densities

OTHER_UNITS: Mapping[str, tuple[str, ...]] = {
    "temperature": ("°C", "°F"),
    "share": ("%", "fraction"),
    "length": ("mm", "mil", "um"),
    "areal": ("g/m2", "oz mat"),
    "time": ("min", "h"),
    "dose": ("mass %", "mass fraction"),
}


@dataclass(frozen=True)
class Context:
    """What a column's surroundings say about its cells.

    `unit` is from the heading or the shop's own placing, `hint` from a title line; `comma` is what
    a comma can only mean in other columns of the table.
    """

    header: str
    target: str
    unit: str | None
    hint: str | None
    comma: Comma | None
    densities: Densities
    overnight_h: float
