"""Is anything blamed for itself in shops where no lot, mould or person is at fault?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np

from analytics.diagnosis.judging import case_of, judge
from analytics.diagnosis.model import ShopModel, fit_shop
from analytics.diagnosis.suspects import GROUPS
from analytics.jobs import jobs_table
from analytics.knowledge.model import Knowledge
from analytics.records.log import Log
from sample_logs.plan import MOULDS, PEOPLE, Change, Person, ShopPlan
from sample_logs.workshop import simulate
from tests.benchmarks.diagnosis.simulated import SETTINGS, first_days

TOO_MUCH = 0.20
SIZES = (60, 200, 700)
MONTHS = {60: 4, 200: 8, 700: 18}
LASTING = ("mould_id", "gelcoat_lot", "resin_lot", "gelcoat_catalyst_lot", "operator")
OWN_FAULT = ("bad-gelcoat-lot", "bad-resin-lot", "catalyst-old-or-weak", "fault-in-the-mould")


@dataclass(frozen=True)
class Innocent:
    """One log without guilt: the most of any fault put on a mould, lot or person for itself
    (`extra`, with whom), the same for one mix or day (`brief`, with when), and the highest chance
    of a cause in OWN_FAULT (`own`, with which).
    """

    size: int
    extra: float
    whom: str
    brief: float
    when: str
    own: float
    which: str


def innocent_logs(count: int, knowledge: Knowledge, seed: int) -> Iterator[Innocent]:
    """Logs of all SIZES in turn in which moulds, lots and hands differ by name only."""
    for number in range(count):
        size = SIZES[number % len(SIZES)]
        shop = simulate(innocent_plan(size, number), seed + 7919 * number)
        yield _looked_at(size, Log.of(shop.tables()), knowledge)


def innocent_plan(size: int, number: int) -> ShopPlan:
    """A cold month in which a new hand and new lots arrive, all of them sound."""
    setting = SETTINGS[number % len(SETTINGS)]
    start, winter = first_days(setting.southern)
    spring = winter + timedelta(days=75)
    people = (*PEOPLE, Person("Newhand", since=winter, work=1.4))
    return ShopPlan(
        start=start,
        months=MONTHS[size],
        parts_per_month=size / MONTHS[size],
        southern=setting.southern,
        heated=setting.heated,
        missing_share=setting.missing,
        people=tuple(Person(p.name, since=p.since, work=p.work) for p in people),
        moulds=tuple(
            replace(
                mould,
                condition="good",
                draft="good",
                deep=False,
                corner_radius_mm=15,
                pulls_before=80,
                rewax_every=5,
            )
            for mould in MOULDS
        ),
        changes=(
            Change("stove-c", winter, spring, amount=0),
            Change("gelcoat-dose", winter, spring, amount=1.6),
            Change("resin-dose", winter, spring, amount=1.4),
            Change("new-catalyst-lot", winter),
        ),
    )


def _looked_at(size: int, log: Log, knowledge: Knowledge) -> Innocent:
    jobs = jobs_table(log, knowledge)
    model = fit_shop(knowledge, jobs, log.defects)
    causes = [cause.id for cause in model.trade.causes]
    watched = [causes.index(name) for name in OWN_FAULT if name in causes]
    extra, brief, own = [(0.0, "")], [(0.0, "")], [(0.0, "")]
    for part in dict.fromkeys(log.defects["part_id"]):
        case = case_of(model, jobs, log.defects, part, {}, ())
        verdict = judge(model, case)
        names = {column: str(case.job[column].iloc[0]) for column in GROUPS}
        for one in verdict.judged:
            family = one.family
            total = verdict.hazards.total[:, family].sum() + verdict.hazards.leak[family]
            for column, share, whom in _extras(model, family, names, float(total)):
                (extra if column in LASTING else brief).append((share, whom))
            worst = watched[int(np.argmax(one.chances[watched]))]
            own.append((float(one.chances[worst]), causes[worst]))
    return Innocent(size, *max(extra), *max(brief), *max(own))


def _extras(
    model: ShopModel, family: int, names: dict[str, str], total: float
) -> list[tuple[str, float, str]]:
    """What part of the fault's hazard each of the job's groups is given for itself."""
    groups = model.strengths[family].groups
    return [
        (column, groups[column][name] / total, f"{column} {name}")
        for column, name in names.items()
        if name in groups[column]
    ]
