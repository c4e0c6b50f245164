"""One part and one mix as they really were, before anybody wrote anything down."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sample_logs.plan import Mould, Person
from sample_logs.stock import Lot


@dataclass(frozen=True)
class Mix:
    """One cup of gel coat or pot of resin; `cup_gel_min` is the truth, measured or not."""

    batch_id: str
    at: datetime
    person: Person
    lot: Lot
    catalyst_lot: Lot
    mass_kg: float
    catalyst_pct: float
    mix_min: float
    rest_min: float
    air_c: float
    humidity_pct: float
    material_c: float
    mould_c: float
    cup_gel_min: float
    gel_where: str


@dataclass(frozen=True)
class Air:
    """Air and mould at the start; `cure_c` is the mean of the twelve hours that follow."""

    air_c: float
    humidity_pct: float
    mould_c: float
    dew_margin_c: float
    cure_c: float


@dataclass(frozen=True)
class Release:
    """Wax and barrier film; `pva_ref_min` is the drying that counted, as if at 20 °C and 50 %."""

    wax_brand: str
    coats: int
    between_min: float
    final_wait_min: float
    pulls_since: int
    pva_used: bool
    pva_dry_min: float
    pva_ref_min: float
    pva_coverage: str


@dataclass(frozen=True)
class Film:
    """The gel coat on the mould; `ready_hours` is when it could have taken the first mat."""

    mix: Mix
    mean_mm: float
    min_mm: float
    max_mm: float
    backup_hours: float
    ready_hours: float


@dataclass(frozen=True)
class Laminate:
    """What was laid behind the gel coat in one go."""

    mix: Mix
    plies: int
    first_ply_g_m2: float
    glass_kg: float
    resin_kg: float
    thickness_mm: float
    laying_min: float
    waxed_topcoat: bool

    @property
    def resin_to_glass(self) -> float:
        """Kilograms of resin to one of glass."""
        return self.resin_kg / self.glass_kg


@dataclass(frozen=True)
class Job:
    """One part; `slips` are things done badly that no column of the book can show."""

    part_id: str
    start: datetime
    person: Person
    mould: Mould
    colour: str
    pulls_total: int
    air: Air
    release: Release
    film: Film
    laminate: Laminate
    demould_hours: float
    demould_h20: float
    slips: frozenset[str]
