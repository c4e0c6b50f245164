"""The working days: who lays which part, on what wax, with which mix, and when it is pulled."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import count
from typing import TypeVar

import numpy as np

from analytics.physics.air import dew_margin_c
from analytics.physics.curing import film_min_at_reference, hours_at_20c
from analytics.physics.laminate import thickness_mm
from sample_logs.job import Air, Film, Job, Laminate, Release
from sample_logs.mixing import Mixer
from sample_logs.plan import Mould, Person, ShopPlan
from sample_logs.weather import Shed

T = TypeVar("T")

WORKING_DAYS_A_MONTH = 20.2
CURE_KJ_MOL = 50.0
FILM_DRY_REF_MIN = 15.0
PER_GEL_TIME = 3.4  # no-transfer tack comes well after the cup has gelled
GELCOAT_KG_M2 = 0.66
HEAVY_PLY_G_M2 = 600.0
COLOURS = ("moss green", "stone grey", "cream")
SLIPS = {
    "patch missed": 0.010,
    "wax rubbed off": 0.010,
    "grit on mould": 0.010,
    "hurried rolling": 0.028,
    "acetone in brush": 0.006,
    "tint not stirred": 0.008,
    "damp mat": 0.006,
    "sprung while green": 0.008,
}


@dataclass
class Wear:
    """How a mould's release stands: coats of the last full waxing and pulls since."""

    total: int
    since: int
    coats: int = 4
    between_min: float = 30.0


@dataclass(frozen=True)
class Turn:
    """One part on the day's list: this mould, these hands, this time."""

    part_id: str
    mould: Mould
    person: Person
    start: datetime


def working_days(plan: ShopPlan) -> Iterator[date]:
    """Days the shop is open: weekdays, but not the turn of the year or a week in August."""
    for number in range((plan.end - plan.start).days):
        day = plan.start + timedelta(days=number)
        shut = (day.month, day.day) >= (12, 22) or (day.month, day.day) <= (1, 3)
        shut = shut or (day.month == 8 and 11 <= day.day <= 17)
        if day.weekday() < 5 and not shut:
            yield day


def choose(rng: np.random.Generator, things: Sequence[T], weights: Sequence[float]) -> T:
    """One of the things, by weight."""
    share = np.asarray(weights, dtype=np.float64)
    return things[int(rng.choice(len(things), p=share / share.sum()))]


class Maker:
    """Lays up every part of a plan, in order; `wear` is how each mould's release stands."""

    def __init__(self, plan: ShopPlan, shed: Shed, mixer: Mixer, rng: np.random.Generator) -> None:
        self.plan, self.shed, self.mixer, self.rng = plan, shed, mixer, rng
        self.wear = {m.mould_id: Wear(m.pulls_before, int(rng.integers(0, 4))) for m in plan.moulds}

    def make_parts(self) -> list[Job]:
        """Every part of the log as it really was."""
        numbers = count(1)
        return [
            self._one_part(Turn(f"B{next(numbers):04d}", mould, person, start))
            for day in working_days(self.plan)
            for mould, person, start in self._day_list(day)
        ]

    def _day_list(self, day: date) -> list[tuple[Mould, Person, datetime]]:
        """Today's parts: each mould at most once, one or two people laying up."""
        rng, moulds = self.rng, self.plan.moulds
        mean = self.plan.parts_per_month / WORKING_DAYS_A_MONTH
        busiest = int(np.ceil(2.2 * mean))
        parts = min(int(rng.binomial(busiest, mean / busiest)), len(moulds))
        work = np.asarray([m.work for m in moulds])
        here = [p for p in self.plan.people if p.since <= day]
        crew = [choose(rng, here, [p.work for p in here]) for _ in range(2)]
        person = crew[0]
        clock = datetime.combine(day, time(8)) + timedelta(minutes=5 * int(rng.integers(0, 12)))
        out = []
        for i in rng.choice(len(moulds), size=parts, replace=False, p=work / work.sum()):
            out.append((moulds[int(i)], person, clock))
            side_by_side = rng.random() < 0.45
            clock += timedelta(minutes=5 * int(rng.integers(1, 3) if side_by_side else 12))
            person = person if side_by_side else choose(rng, crew, [1.0, 1.0])
        return out

    def _one_part(self, turn: Turn) -> Job:
        rng = self.rng
        stand = self.wear[turn.mould.mould_id]
        self._wax_if_due(turn, stand)
        stand.total += 1
        air = self._air(turn.start)
        release = self._release(turn, air, stand)
        film = self._film(turn, air)
        laying = turn.start + timedelta(hours=film.backup_hours)
        laminate = self._laminate(turn, laying)
        hours = self._demould_hours(laying)
        stand.since += 1
        return Job(
            part_id=turn.part_id,
            start=turn.start,
            person=turn.person,
            mould=turn.mould,
            colour=choose(rng, COLOURS, (0.5, 0.35, 0.15)),
            pulls_total=stand.total,
            air=air,
            release=release,
            film=film,
            laminate=laminate,
            demould_hours=hours,
            demould_h20=float(hours_at_20c(hours, self.shed.mean_c(laying, hours), CURE_KJ_MOL)),
            slips=frozenset(s for s, p in SLIPS.items() if rng.random() < p * turn.person.slips),
        )

    def _wax_if_due(self, turn: Turn, stand: Wear) -> None:
        rng, mould = self.rng, turn.mould
        day = turn.start.date()
        every = self.plan.amount("rewax-every", day, mould.rewax_every, mould.mould_id)
        if stand.since >= every + (rng.random() < 0.15):
            stand.since = 0
            stand.coats = choose(rng, (2, 3, 4, 5), (0.08, 0.37, 0.4, 0.15))
            stand.between_min = choose(rng, (10.0, 15.0, 20.0, 30.0, 45.0), (1, 2, 3, 3, 1))

    def _air(self, start: datetime) -> Air:
        """The mould follows the air about two hours behind."""
        air_c, humidity = self.shed.at(start)
        behind, _ = self.shed.at(start - timedelta(hours=2))
        mould_c = (air_c + behind) / 2 + float(self.rng.normal(0, 0.4))
        margin = float(dew_margin_c(mould_c, air_c, humidity))
        return Air(air_c, humidity, mould_c, margin, self.shed.mean_c(start, 12))

    def _release(self, turn: Turn, air: Air, stand: Wear) -> Release:
        rng = self.rng
        film = turn.mould.film_always or stand.since == 0 or rng.random() < 0.12
        dry = self._film_dry_min(turn, air)
        draught = float(rng.lognormal(0, 0.15))
        counted = float(film_min_at_reference(dry, air.air_c, air.humidity_pct)) * draught
        return Release(
            wax_brand=self.plan.word("wax-brand", turn.start.date(), "paste wax"),
            coats=stand.coats,
            between_min=stand.between_min,
            final_wait_min=5.0 * round(max(5.0, float(rng.normal(45, 16))) / 5),
            pulls_since=stand.since,
            pva_used=film,
            pva_dry_min=dry if film else np.nan,
            pva_ref_min=counted,
            pva_coverage=choose(rng, ("even", "patchy", "heavy"), (0.86, 0.08, 0.06)),
        )

    def _film_dry_min(self, turn: Turn, air: Air) -> float:
        """Careful hands wait until the film feels dry, on a damp day much longer."""
        needed = FILM_DRY_REF_MIN / float(film_min_at_reference(1.0, air.air_c, air.humidity_pct))
        careful = min(120.0, max(20.0, needed * float(self.rng.lognormal(0.12, 0.15))))
        name, day = turn.person.name, turn.start.date()
        dry = self.plan.amount("film-dry-min", day, careful, name)
        return 5.0 * max(1, round(dry * float(self.rng.lognormal(0, 0.08)) / 5))

    def _film(self, turn: Turn, air: Air) -> Film:
        rng, person = self.rng, turn.person
        at = turn.start + timedelta(minutes=int(rng.integers(3, 20)))
        mix = self.mixer.mix("gelcoat", at, person, turn.mould.area_m2 * GELCOAT_KG_M2, air.mould_c)
        day = turn.start.date()
        aim = self.plan.amount("wet-film-mm", day, person.film_mm, person.name)
        mean = aim * float(rng.lognormal(0, 0.12))
        spread = person.uneven * float(rng.lognormal(0, 0.35))
        overnight = rng.random() < 0.025
        wait = rng.uniform(17, 23) if overnight else person.wait_h * rng.lognormal(0, 0.13)
        return Film(
            mix=mix,
            mean_mm=mean,
            min_mm=mean * max(0.2, 1 - 1.5 * spread),
            max_mm=mean * (1 + 1.5 * spread),
            backup_hours=round(float(wait), 1),
            ready_hours=mix.cup_gel_min * PER_GEL_TIME * float(rng.lognormal(0, 0.1)) / 60,
        )

    def _laminate(self, turn: Turn, at: datetime) -> Laminate:
        rng, mould = self.rng, turn.mould
        first = self.plan.amount("first-ply", at.date(), 300.0, mould.mould_id)
        extra = int(rng.integers(2, 4)) if rng.random() < 0.04 else 0
        # A heavier first mat is laid to save a ply, so the last one is left out.
        plies = mould.plies + extra - (first >= HEAVY_PLY_G_M2 and mould.plies > 2)
        glass_kg_m2 = (first + 450.0 * (plies - 1)) / 1000
        ratio = max(1.5, float(rng.normal(2.35, 0.24)))
        glass_kg = glass_kg_m2 * mould.area_m2
        laying = (8 + 9.5 * mould.area_m2 * plies**0.5) * float(rng.lognormal(0, 0.18))
        mould_c, _ = self.shed.at(at)
        return Laminate(
            mix=self.mixer.mix("resin", at, turn.person, glass_kg * ratio * 0.6, mould_c),
            plies=plies,
            first_ply_g_m2=first,
            glass_kg=glass_kg,
            resin_kg=glass_kg * ratio,
            thickness_mm=float(thickness_mm(glass_kg_m2, 100 / (1 + ratio))),
            laying_min=round(laying),
            waxed_topcoat=bool(rng.random() < 0.8),
        )

    def _demould_hours(self, laid: datetime) -> float:
        """Hours to the pull: next morning, over the weekend on Fridays, now and then rushed."""
        if laid.weekday() >= 4:
            return round(float(self.rng.normal(68, 3)), 0)
        if self.rng.random() < 0.07:
            return round(float(self.rng.uniform(4.5, 8)), 1)
        return round(float(self.rng.normal(22, 3)), 0)
