"""What stands on the shelf: gel coat, resin and catalyst, lot after lot."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

import numpy as np
import pandas as pd

from sample_logs.plan import ShopPlan, What

Material = Literal["gelcoat", "resin", "catalyst"]

SHEET_GEL_MIN = {"gelcoat": 16.0, "resin": 24.0}
PRODUCTS = {"gelcoat": "brush gel coat, tinted here", "resin": "laminating resin",
            "catalyst": "MEKP, medium"}  # fmt: skip
SHEET_PCT = {"gelcoat": (1.2, 2.5), "resin": (1.0, 2.5)}
DENSITY_G_ML = {"gelcoat": 1.20, "resin": 1.10, "catalyst": 1.16}
DAYS_PER_LOT = {"gelcoat": 84, "resin": 63, "catalyst": 170}
FIRST_NUMBER = {"gelcoat": 411, "resin": 7702, "catalyst": 28}
# A change of this kind needs a lot of its own, opened on the day it starts.
LOT_CHANGES: dict[Material, tuple[What, ...]] = {
    "gelcoat": ("frothy-gelcoat",),
    "resin": (),
    "catalyst": ("weak-catalyst", "new-catalyst-lot"),
}


@dataclass(frozen=True)
class Lot:
    """One lot and what nobody can read on its label: `slow` is added to ln(gel time)."""

    lot: str
    material: Material
    received: date
    opened: date
    expires: date
    slow: float
    froths: bool
    weak: bool

    def age_months(self, day: date) -> float:
        """Months since the lot came in."""
        return (day - self.received).days / 30.4


class Shelf:
    """All lots of the log; ask it which one was open on a day."""

    def __init__(self, plan: ShopPlan, rng: np.random.Generator) -> None:
        materials: tuple[Material, ...] = ("gelcoat", "resin", "catalyst")
        self.lots = {m: _lots(plan, m, rng) for m in materials}

    def open_on(self, material: Material, day: date) -> Lot:
        """The lot in use that day."""
        return [lot for lot in self.lots[material] if lot.opened <= day][-1]

    def table(self) -> pd.DataFrame:
        """Canonical lots table."""
        rows = [_row(lot) for lots in self.lots.values() for lot in lots]
        table = pd.DataFrame(rows)
        for name in ("received", "opened", "expires"):
            table[name] = pd.to_datetime(table[name]).dt.as_unit("ns")
        return table


def _lots(plan: ShopPlan, material: Material, rng: np.random.Generator) -> tuple[Lot, ...]:
    opened = _opening_days(plan, material, rng)
    step = 1 if material == "catalyst" else int(rng.integers(6, 9))
    made = []
    for i, day in enumerate(opened):
        received = day - timedelta(days=int(rng.integers(3, 40)))
        made.append(
            Lot(
                lot=f"{FIRST_NUMBER[material] + step * i:04d}",
                material=material,
                received=received,
                opened=day,
                expires=received + timedelta(days=365 if material == "catalyst" else 182),
                slow=float(rng.normal(0, 0.09)),
                froths=plan.is_on("frothy-gelcoat", day) and material == "gelcoat",
                weak=plan.is_on("weak-catalyst", day) and material == "catalyst",
            )
        )
    return tuple(made)


def _opening_days(plan: ShopPlan, material: Material, rng: np.random.Generator) -> list[date]:
    """Days a new lot was opened: regular ones, and those a planned change asks for."""
    forced = set()
    for change in plan.changes:
        if change.what in LOT_CHANGES[material]:
            forced.add(change.since)
            if change.until is not None:
                forced.add(change.until + timedelta(days=1))
    days = {plan.start, *forced}
    day = plan.start
    while day < plan.end:
        day += timedelta(days=DAYS_PER_LOT[material] + int(rng.integers(-10, 11)))
        if day < plan.end and all(abs((day - other).days) > 30 for other in days):
            days.add(day)
    return sorted(days)


def _row(lot: Lot) -> dict[str, object]:
    low, high = SHEET_PCT.get(lot.material, (np.nan, np.nan))
    return {
        "lot": lot.lot,
        "material": lot.material,
        "product": PRODUCTS[lot.material],
        "received": lot.received,
        "opened": lot.opened,
        "expires": lot.expires,
        "sheet_low_pct": low,
        "sheet_high_pct": high,
        "sheet_gel_min": SHEET_GEL_MIN.get(lot.material, np.nan),
        "sheet_gel_c": 20.0 if lot.material in SHEET_GEL_MIN else np.nan,
        "sheet_gel_pct": 2.0 if lot.material in SHEET_GEL_MIN else np.nan,
        "density_g_ml": DENSITY_G_ML[lot.material],
    }
