"""What the gel-time model learns from: logged gel times, and points off data sheets."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analytics.catalyst.normal import Floats


@dataclass(frozen=True)
class GelRecords:
    """Logged gel times of one material, one entry per mix.

    `gel_min` [min], `temperature_c` [°C], `catalyst_pct` [mass %], `humidity_pct` [%, NaN where
    not known], `film` (True where timed on the mould, else cup or pot), `lot` and `product`
    (empty text where not known), `name` to call the record by; `catalyst_lot` and `colour` as
    `lot`, or left empty altogether.
    """

    gel_min: Floats
    temperature_c: Floats
    catalyst_pct: Floats
    humidity_pct: Floats
    film: np.ndarray
    lot: tuple[str, ...]
    product: tuple[str, ...]
    name: tuple[str, ...]
    catalyst_lot: tuple[str, ...] = ()
    colour: tuple[str, ...] = ()

    def __len__(self) -> int:
        return len(self.name)

    def group(self, name: str) -> tuple[str, ...]:
        """What each record says of a group ("catalyst_lot" or "colour"); empty where unknown."""
        said: tuple[str, ...] = getattr(self, name)
        return said or ("",) * len(self)


@dataclass(frozen=True)
class SheetPoint:
    """A gel time [min] a data sheet gives at one temperature [°C] and dose [mass %]."""

    product: str
    gel_min: float
    temperature_c: float
    catalyst_pct: float
