"""In which units the shop writes its log, to print a sheet for its wall in the same ones."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import pandas as pd

from analytics.records.log import Log
from analytics.units import convert

LOOKED_AT = 60
DEGREES = re.compile(r"(-?\d+(?:\.\d+)?)(?: to (-?\d+(?:\.\d+)?))? °C")
FIGURE = re.compile(r"[+-]?\d+(?:[.,]\d+)?")


@dataclass(frozen=True)
class ShopUnits:
    """The unit of temperatures ("°C" or "°F") and of what is in a pot ("kg" or "lb")."""

    temperature: str = "°C"
    mass: str = "kg"

    def said(self, sentence: str) -> str:
        """The sentence with every temperature in the shop's unit, to a whole degree."""
        if self.temperature == "°C":
            return sentence
        return DEGREES.sub(self._degrees, sentence)

    def _degrees(self, found: re.Match[str]) -> str:
        told = [f"{convert(float(c), '°C', self.temperature):.0f}" for c in found.groups() if c]
        return f"{' to '.join(told)} {self.temperature}"


def shop_units(log: Log) -> ShopUnits:
    """The units most cells were typed in; °C and kg where the log does not show it.

    A reading is compared with the figures typed in its row: 18.3 °C beside "65" was typed in °F.
    """
    tables = (log.parts, log.batches, log.logger)
    return ShopUnits(
        _typed_in(tables, ("air_c", "material_c", "mould_c"), ("°C", "°F")),
        _typed_in((log.batches, log.parts), ("mass_kg", "resin_kg"), ("kg", "lb")),
    )


def _typed_in(
    tables: tuple[pd.DataFrame, ...], fields: tuple[str, ...], units: tuple[str, str]
) -> str:
    votes: Counter[str] = Counter()
    for table in tables:
        for value, typed in _readings(table, fields):
            told = {unit for unit in units if _among(convert(value, units[0], unit), typed)}
            if len(told) == 1:
                votes[told.pop()] += 1
    return votes.most_common(1)[0][0] if votes else units[0]


def _readings(
    table: pd.DataFrame, fields: tuple[str, ...]
) -> Iterator[tuple[float, tuple[float, ...]]]:
    """Each reading of the newest rows with every figure typed in its row."""
    for field in fields:
        if field not in table:
            continue
        known = table[table[field].notna() & table["raw"].notna()].tail(LOOKED_AT)
        for value, raw in zip(known[field], known["raw"], strict=True):
            yield float(value), _figures(raw)


def _figures(raw: str) -> tuple[float, ...]:
    cells = json.loads(raw)
    shown = cells.values() if isinstance(cells, dict) else cells
    return tuple(float(m.replace(",", ".")) for cell in shown for m in FIGURE.findall(str(cell)))


def _among(value: float, typed: tuple[float, ...]) -> bool:
    return any(abs(value - one) < 0.006 * max(1.0, abs(value)) for one in typed)
