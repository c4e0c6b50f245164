"""The simulated truth as the trade tells it: the first cause, not the last.

The simulator's causes go by waits worth so many hours at 20 °C. The trade's root chain (cold, long
gel, backed up or pulled early by the clock) puts a wait that was long enough by the clock down to
the cold; so does the truth here, by the simulator's own ramps.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from analytics.physics.curing import hours_at_20c
from sample_logs.faults import EXPOSURES, Fault, faults_of
from sample_logs.job import Job
from sample_logs.mixing import ENERGY_KJ_MOL

ROOT = "too-cold"
COLD_BRINGS = frozenset(
    {
        "sticking-whole",
        "sticking-patches",
        "print-through",
        "tacky-face",
        "tacky-back",
        "wrinkling",
        "warping",
    }
)
"""Faults of such waits that the trade says cold brings too."""
WAITS = ("backed-up-too-soon", "demoulded-too-early")


def first_causes(job: Job, rng: np.random.Generator) -> list[Fault]:
    """What went wrong with one part, each wait's share of the blame given to its root."""
    return [_rooted(fault, job) for fault in faults_of(job, rng)]


def _rooted(fault: Fault, job: Job) -> Fault:
    if fault.defect not in COLD_BRINGS:
        return fault
    shares = dict(fault.shares)
    for cause in WAITS:
        if cause in shares:
            moved = shares[cause] * (1 - _by_clock(cause, job) / EXPOSURES[cause](job))
            shares[cause] -= moved
            shares[ROOT] = shares.get(ROOT, 0.0) + moved
    return replace(fault, shares={c: share for c, share in shares.items() if share > 0})


def _by_clock(cause: str, job: Job) -> float:
    """Exposure to a wait as it would have been at 20 °C, never more than it was."""
    mix = job.film.mix
    warmth = (mix.material_c + mix.mould_c) / 2
    worth = float(hours_at_20c(1.0, warmth, ENERGY_KJ_MOL["gelcoat"]))
    film = replace(job.film, ready_hours=job.film.ready_hours * worth)
    at_20c = replace(job, film=film, demould_h20=job.demould_hours)
    return min(EXPOSURES[cause](at_20c), EXPOSURES[cause](job))
