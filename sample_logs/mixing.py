"""Weighing out, stirring, and how soon it gels."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from itertools import count
from typing import Literal

import numpy as np

from analytics.physics.gel_time import gel_min
from sample_logs.job import Mix
from sample_logs.plan import Person, ShopPlan, What
from sample_logs.stock import SHEET_GEL_MIN, Lot, Shelf
from sample_logs.weather import Shed

Kind = Literal["gelcoat", "resin"]

ENERGY_KJ_MOL = {"gelcoat": 52.0, "resin": 56.0}
DOSE_POWER = {"gelcoat": 0.85, "resin": 0.75}
GEL_NOISE = 0.11
FILM_OVER_CUP = 1.6  # gel time on the mould over gel time in the cup
WEAK_CATALYST = 0.55  # a tired lot works like this share of its weight
DOSE_CHANGE: dict[Kind, What] = {"gelcoat": "gelcoat-dose", "resin": "resin-dose"}
PREFIX = {"gelcoat": "G", "resin": "R"}
# What a careful shop weighs out: dose [mass %] below each air temperature [°C].
SENSIBLE_PCT = {
    "gelcoat": ((10, 2.4), (14, 2.1), (18, 1.9), (22, 1.7), (26, 1.45), (99, 1.25)),
    "resin": ((10, 2.2), (14, 1.9), (18, 1.7), (22, 1.5), (26, 1.25), (99, 1.05)),
}


class Mixer:
    """Makes mixes; a second part of the same hands soon after may share the last one."""

    def __init__(self, plan: ShopPlan, shed: Shed, shelf: Shelf, rng: np.random.Generator) -> None:
        self.plan, self.shed, self.shelf, self.rng = plan, shed, shelf, rng
        self.mixes: dict[str, Mix] = {}
        self._numbers = {"gelcoat": count(1), "resin": count(1)}
        self._last: dict[Kind, Mix] = {}

    def mix(self, kind: Kind, at: datetime, person: Person, mass_kg: float, mould_c: float) -> Mix:
        """The mix this part is made with, new or shared."""
        shared = self._to_share(kind, at, person)
        if shared is not None:
            made = replace(shared, mass_kg=round(shared.mass_kg + mass_kg, 1))
        else:
            made = self._new(kind, at, person, mass_kg, mould_c)
        self.mixes[made.batch_id] = self._last[kind] = made
        return made

    def _to_share(self, kind: Kind, at: datetime, person: Person) -> Mix | None:
        """The last mix, if it is the same person's, small, and not yet near its gel time."""
        last = self._last.get(kind)
        if last is None or last.person is not person or last.mass_kg >= 2.5:
            return None
        minutes = (at - last.at).total_seconds() / 60
        fresh = 0 <= minutes < 0.6 * last.cup_gel_min
        return last if fresh and self.rng.random() < 0.8 else None

    def _new(self, kind: Kind, at: datetime, person: Person, mass_kg: float, mould_c: float) -> Mix:
        rng = self.rng
        air_c, humidity = self.shed.at(at)
        material_c = 0.5 * air_c + 0.5 * self.shed.mean_c(at, 24) + float(rng.normal(0, 0.6))
        dose = self._dose_pct(kind, at, air_c)
        lot = self.shelf.open_on(kind, at.date())
        catalyst = self.shelf.open_on("catalyst", at.date())
        return Mix(
            batch_id=f"{PREFIX[kind]}{next(self._numbers[kind]):04d}",
            at=at,
            person=person,
            lot=lot,
            catalyst_lot=catalyst,
            mass_kg=max(0.3, round(mass_kg, 1)),
            catalyst_pct=dose,
            mix_min=float(rng.choice((0.5, 1, 1.5, 2, 3), p=(0.04, 0.16, 0.2, 0.4, 0.2))),
            rest_min=float(rng.choice((0, 1, 2, 3, 5), p=(0.15, 0.2, 0.2, 0.25, 0.2))),
            air_c=air_c,
            humidity_pct=humidity,
            material_c=material_c,
            mould_c=mould_c,
            cup_gel_min=self._cup_gel_min(kind, (material_c + mould_c) / 2, dose, lot, catalyst),
            gel_where="film" if rng.random() < 0.1 else "cup",
        )

    def _cup_gel_min(
        self, kind: Kind, temperature_c: float, dose: float, lot: Lot, catalyst: Lot
    ) -> float:
        """Gel time [min] by the usual law, with what is particular to the lots, and scatter."""
        works = dose * (WEAK_CATALYST if catalyst.weak else 1.0)
        at_20c = SHEET_GEL_MIN[kind] * float(np.exp(lot.slow))
        law = gel_min(temperature_c, works, at_20c, ENERGY_KJ_MOL[kind], DOSE_POWER[kind])
        return float(law) * float(self.rng.lognormal(0, GEL_NOISE))

    def _dose_pct(self, kind: Kind, at: datetime, air_c: float) -> float:
        """The dose in force, or what a careful shop would take, as exactly as scales allow."""
        sensible = next(pct for below, pct in SENSIBLE_PCT[kind] if air_c < below)
        aim = self.plan.amount(DOSE_CHANGE[kind], at.date(), sensible)
        wrong = 0.6 if self.rng.random() < 0.012 else 1.0
        return round(aim * wrong * float(self.rng.lognormal(0, 0.06)), 2)
