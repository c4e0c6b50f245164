"""Made-up shops whose gel-time law is known, so that advice and intervals can be marked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analytics.catalyst.gel_records import GelRecords
from analytics.physics.gel_time import gel_min


@dataclass(frozen=True)
class Shop:
    """A shop with a law of its own; spreads are in ln(minutes)."""

    level_min: float
    energy_kj_mol: float
    dose_power: float
    lot_offsets: np.ndarray
    noise_sd: float
    slip_share: float = 0.01

    def true_min(self, temperature_c: np.ndarray, pct: np.ndarray, lot: np.ndarray) -> np.ndarray:
        """Gel time [min] by this shop's law, before the scatter of one mix."""
        law = gel_min(temperature_c, pct, self.level_min, self.energy_kj_mol, self.dose_power)
        return np.asarray(law) * np.exp(self.lot_offsets[lot])


def a_shop(rng: np.random.Generator, lots: int = 30) -> Shop:
    """A shop drawn from what the trade says shops are like (n and E inside their bounds)."""
    return Shop(
        level_min=17.5 * np.exp(rng.normal(0.0, 0.35)),
        energy_kj_mol=float(np.clip(rng.normal(53.0, 7.0), 35.0, 75.0)),
        dose_power=float(np.clip(rng.normal(0.8, 0.2), 0.3, 1.2)),
        lot_offsets=rng.normal(0.0, 0.15, lots),
        noise_sd=rng.uniform(0.15, 0.25),
    )


def log_of(shop: Shop, rng: np.random.Generator, mixes: int) -> GelRecords:
    """So many mixes over the seasons: temperature as it comes, dose by habit, minutes rounded."""
    season = np.sin(np.linspace(0.0, 4.0 * np.pi, mixes, endpoint=False))
    temperature_c = np.round(18.0 + 5.0 * season + rng.normal(0.0, 2.0, mixes), 1)
    pct = np.round(np.clip(1.7 - 0.3 * season + rng.normal(0.0, 0.15, mixes), 1.0, 2.5), 2)
    lot = np.arange(mixes) * len(shop.lot_offsets) // max(mixes, 1) // 2
    logged = shop.true_min(temperature_c, pct, lot) * np.exp(rng.normal(0, shop.noise_sd, mixes))
    slips = rng.random(mixes) < shop.slip_share
    return records(
        np.maximum(np.round(logged * np.where(slips, 10.0, 1.0)), 1),
        temperature_c,
        pct,
        lot=[f"L{i}" for i in lot],
    )


def records(
    gel: np.ndarray, temperature_c: np.ndarray, pct: np.ndarray, lot: list[str] | None = None
) -> GelRecords:
    """Gel records in the model's own form, names B1, B2 …"""
    n = len(gel)
    return GelRecords(
        gel_min=np.asarray(gel, dtype=float),
        temperature_c=np.asarray(temperature_c, dtype=float),
        catalyst_pct=np.asarray(pct, dtype=float),
        humidity_pct=np.full(n, np.nan),
        film=np.zeros(n, dtype=bool),
        lot=tuple(lot or [""] * n),
        product=("",) * n,
        name=tuple(f"B{i + 1}" for i in range(n)),
    )
