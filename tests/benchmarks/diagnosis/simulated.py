"""Simulated shops of every size and kind, with a hard month: winter, a new hand, a new lot."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
import pandas as pd

from analytics.knowledge.model import Knowledge
from analytics.records.log import Log
from sample_logs.plan import MOULDS, PEOPLE, Change, Mould, Person, ShopPlan
from sample_logs.workshop import simulate
from tests.benchmarks.diagnosis.cases import UNEXPLAINED, Measured, measured
from tests.benchmarks.diagnosis.root_causes import first_causes

MONTHS = {60: 4, 200: 8, 700: 18, 3000: 30, 20000: 40}
SHOPS = {60: 8, 200: 8, 700: 4, 3000: 2, 20000: 1}
QUICK_SHOPS = {60: 4, 200: 4, 700: 2}
PARTS_PER_MOULD_SET = 60.0
LATE_CHANGES = 0.6


@dataclass(frozen=True)
class Setting:
    """What sort of shop it is; `missing` [0..1] of ordinary cells are blank."""

    heated: bool
    southern: bool
    missing: float

    def __str__(self) -> str:
        stove = "heated" if self.heated else "unheated"
        half = "south" if self.southern else "north"
        return f"{stove}, {half}, {self.missing:.0%} blank"


SETTINGS = (
    Setting(heated=True, southern=False, missing=0.15),
    Setting(heated=False, southern=True, missing=0.40),
    Setting(heated=False, southern=False, missing=0.30),
    Setting(heated=True, southern=True, missing=0.20),
)
HARD_MONTHS = ("all three bystanders but the cold", "the lot froths", "the hand hurries the film")


def simulated(
    size: int, shops: int, knowledge: Knowledge, *, most: int, seed: int
) -> Iterator[Measured]:
    """`shops` fitted shops of about `size` parts, of every setting in turn."""
    for number in range(shops):
        # The largest size has one shop only: not the easy one.
        setting = SETTINGS[(number + (size >= max(MONTHS))) % len(SETTINGS)]
        plan = plan_of(size, number, setting, seed)
        shop = simulate(plan, seed + 1000 * number + size, first_causes)
        truth = shop.truth[shop.truth["reported"].astype(bool)]
        yield measured(
            f"{size}-{number + 1}",
            f"{size} parts",
            str(setting),
            knowledge,
            Log.of(shop.tables()),
            with_ids(truth),
            most=most,
            seed=seed,
        )


def with_ids(truth: pd.DataFrame) -> pd.DataFrame:
    """A truth table whose causes go by laylog's own names, in the shape `measured` asks for."""
    own = truth["cause"].replace("unexplained", UNEXPLAINED)
    return truth.assign(ids=own.map(lambda cause: (cause,)))


def plan_of(size: int, number: int, setting: Setting, seed: int) -> ShopPlan:
    """The plan of one shop; which of its changes do harm differs from number to number."""
    rng = np.random.default_rng([seed, size, number])
    months = MONTHS[size]
    start, winter = first_days(setting.southern)
    hard = HARD_MONTHS[number % len(HARD_MONTHS)]
    return ShopPlan(
        start=start,
        months=months,
        parts_per_month=size / months,
        southern=setting.southern,
        heated=setting.heated,
        missing_share=setting.missing,
        people=(*PEOPLE, Person("Newhand", since=winter, work=1.4)),
        moulds=mould_sets(MOULDS, size / months),
        changes=(*_hard_month(winter, hard), *_later(start, months, rng)),
    )


def first_days(southern: bool) -> tuple[date, date]:
    """The first day of a log, in autumn, and of the hard month, in winter."""
    return (date(2023, 4, 3), date(2023, 6, 1)) if southern else (date(2023, 10, 2),
                                                                  date(2023, 12, 1))  # fmt: skip


def mould_sets(moulds: tuple[Mould, ...], parts_per_month: float) -> tuple[Mould, ...]:
    """The moulds, as many times over as the work needs: each makes one part a day at most."""
    copies = 1 + int(parts_per_month // PARTS_PER_MOULD_SET)
    return tuple(
        replace(mould, mould_id=f"{mould.mould_id}.{copy + 1}" if copies > 1 else mould.mould_id)
        for copy in range(copies)
        for mould in moulds
    )


def _hard_month(winter: date, hard: str) -> tuple[Change, ...]:
    """Cold with the autumn's dose kept, a new hand and a new lot, all from the same day."""
    spring = winter + timedelta(days=75)
    cold = (
        Change("stove-c", winter, spring, amount=0),
        Change("gelcoat-dose", winter, spring, amount=1.6),
        Change("resin-dose", winter, spring, amount=1.4),
        Change("new-catalyst-lot", winter),
    )
    if hard == HARD_MONTHS[1]:
        return (*cold, Change("frothy-gelcoat", winter, winter + timedelta(days=45)))
    if hard == HARD_MONTHS[2]:
        return (*cold, Change("film-dry-min", winter, subject="Newhand", amount=12))
    return cold


def _later(start: date, months: int, rng: np.random.Generator) -> list[Change]:
    """What goes wrong later in the log: each of these in some shops and not in others."""
    days = int(months * 30.4)

    def at(part: float) -> date:
        return start + timedelta(days=int(days * part))

    possible = (
        [Change("rewax-every", at(0.45), subject=m, amount=10) for m in ("TL-1", "WC-1")],
        [Change("first-ply", at(0.60), subject=m, amount=600) for m in ("HL-1", "WC-1", "PE-1")],
        [Change("weak-catalyst", at(0.70), at(0.70) + timedelta(days=60))],
        [Change("hot-spell", at(0.80), at(0.80) + timedelta(days=25), amount=4.5)],
    )
    return [c for some in possible if rng.random() < LATE_CHANGES for c in some]
