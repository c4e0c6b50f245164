"""Shops in which the trade is about half right: what brings which fault is bent at random.

Each shop has a nature of its own. Strengths are off by a factor, limits lie elsewhere, some causes
bring nothing here and others bring what the trade does not expect of them, some harm only the next
part on the mould, some multiply instead of adding, and unrecorded things strike more or less
often. To choose on; never to quote as a result, and nothing in it copies another simulator.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from unittest import mock

import numpy as np

from analytics.knowledge.model import Knowledge
from analytics.records.log import Log
from sample_logs import faults
from sample_logs.faults import EXPOSURES, Fault
from sample_logs.job import Job
from sample_logs.strengths import STRENGTHS, UNRECORDED
from sample_logs.workshop import simulate
from tests.benchmarks.diagnosis.cases import Measured, measured
from tests.benchmarks.diagnosis.simulated import SETTINGS, plan_of, with_ids

SHOPS = {60: 10, 200: 10, 700: 5}
LEAST_BENT = 0.3
"""A shop is bent by this share to the whole of what follows."""
OFF = 1.0
"""Spread of ln(strength here over strength in the trade)."""
SILENT, SURPRISING, LATE, MULTIPLYING = 0.35, 0.02, 0.10, 0.35
USUAL_LUCK, START, WIDTH = 0.8, 0.8, 0.6
"""ln of how much likelier luck is than in a careful shop; spread of where a ramp starts, in its
own widths; spread of ln of its width."""
FURTHEST = 0.9
LUCK = "unexplained"

Strengths = Mapping[str, Mapping[str, float]]


@dataclass
class Nature:
    """Why parts fail in one shop.

    moved : by cause, where its ramp starts and how wide it is, both in widths of its own.
    late : causes that harm the next part on the mould. multiplying : faults whose causes multiply.
    """

    strengths: Strengths
    moved: Mapping[str, tuple[float, float]]
    late: frozenset[str]
    multiplying: frozenset[str]
    before: dict[str, dict[str, float]] = field(default_factory=dict)

    def __call__(self, job: Job, rng: np.random.Generator) -> list[Fault]:
        """What went wrong with one part; parts must be asked about in order."""
        now = {cause: self._exposed(cause, job) for cause in EXPOSURES}
        earlier = self.before.get(job.mould.mould_id, {})
        self.before[job.mould.mould_id] = now
        told = {c: earlier.get(c, 0.0) if c in self.late else now[c] for c in now}
        found = []
        for defect, strengths in self.strengths.items():
            hazard = {c: -np.log1p(-s) * told[c] for c, s in strengths.items()}
            if defect in self.multiplying:
                hazard = multiplied(hazard)
            hits = {c: h for c, h in hazard.items() if rng.random() < -np.expm1(-h)}
            if hits:
                total = sum(hits.values())
                found.append(Fault(job.part_id, defect, {c: h / total for c, h in hits.items()}))
        return faults._forced_out(found, job, rng)

    def _exposed(self, cause: str, job: Job) -> float:
        start, width = self.moved.get(cause, (0.0, 1.0))

        def ramp(value: float, none: float, full: float) -> float:
            step = (value - none) / (full - none)
            return min(1.0, max(0.0, (step - start) / width))

        with mock.patch.object(faults, "ramp", ramp):
            return EXPOSURES[cause](job)


def multiplied(hazard: Mapping[str, float]) -> dict[str, float]:
    """Hazards that make each other worse: each grows by the others that are there."""
    total = sum(hazard.values())
    return {
        cause: own if cause == LUCK else 0.6 * own * (1 + 6 * (total - own))
        for cause, own in hazard.items()
    }


def nature_of(knowledge: Knowledge, rng: np.random.Generator) -> Nature:
    """A nature of a shop's own, by chance."""
    bent = float(rng.uniform(LEAST_BENT, 1.0))
    recorded = sorted(set(EXPOSURES) - UNRECORDED)
    often = {c: float(rng.lognormal(USUAL_LUCK * bent, OFF * bent)) for c in sorted(UNRECORDED)}
    strengths: dict[str, dict[str, float]] = {}
    for defect, usual in STRENGTHS.items():
        own = {}
        for cause, strength in usual.items():
            factor = often.get(cause, 1.0) * float(rng.lognormal(-0.2 * bent, OFF * bent))
            if cause in UNRECORDED or rng.random() > SILENT * bent:
                own[cause] = min(strength * factor, FURTHEST)
        for cause in recorded:
            if cause not in usual and rng.random() < bent * _surprise(knowledge, cause, defect):
                own[cause] = float(rng.uniform(0.05, 0.3))
        strengths[defect] = own
    moved = {
        c: (float(rng.normal(0, START * bent)), float(rng.lognormal(0, WIDTH * bent)))
        for c in recorded
    }
    return Nature(
        strengths,
        moved,
        frozenset(c for c in recorded if rng.random() < LATE * bent),
        frozenset(d for d in STRENGTHS if rng.random() < MULTIPLYING * bent),
    )


def _surprise(knowledge: Knowledge, cause: str, defect: str) -> float:
    """Chance that a cause brings what the trade's commonest picture of the fault leaves out."""
    told = knowledge.causes.get(cause)
    return 0.2 if told and told.levels.get(defect) else SURPRISING


def perturbed(
    size: int, shops: int, knowledge: Knowledge, *, most: int, seed: int
) -> Iterator[Measured]:
    """`shops` fitted shops of about `size` parts, each with a nature of its own."""
    for number in range(shops):
        rng = np.random.default_rng([seed, size, number, 1])
        setting = SETTINGS[number % len(SETTINGS)]
        plan = plan_of(size, number, setting, seed)
        slips = float(rng.lognormal(0.4, OFF))
        people = tuple(replace(p, slips=p.slips * slips) for p in plan.people)
        nature = nature_of(knowledge, rng)
        shop = simulate(replace(plan, people=people), seed + 1000 * number + size, nature)
        truth = shop.truth[shop.truth["reported"].astype(bool)]
        yield measured(
            f"bent-{size}-{number + 1}",
            f"bent: {size} parts",
            str(setting),
            knowledge,
            Log.of(shop.tables()),
            with_ids(truth),
            most=most,
            seed=seed,
        )
