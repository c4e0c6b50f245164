"""Why parts fail here: each cause acts by itself, the more of it the likelier (a noisy OR).

Every number here and in `strengths` is made up for a made-up shop; none is a finding about the
trade. Causes and faults go by the names laylog's knowledge gives them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from sample_logs.job import Job
from sample_logs.strengths import STRENGTHS

Exposure = Callable[[Job], float]


def ramp(value: float, none: float, full: float) -> float:
    """0 at `none`, 1 at `full`, straight between; either may be the larger."""
    return min(1.0, max(0.0, (value - none) / (full - none)))


def slip(name: str) -> Exposure:
    """1 when that thing was done badly on the job."""
    return lambda job: float(name in job.slips)


def _cold(job: Job) -> float:
    """Cold hours after laying; a good dose takes half of it away."""
    dose = ramp(job.film.mix.catalyst_pct, 2.4, 1.6)
    return ramp(job.air.cure_c, 13, 5) * (0.5 + 0.5 * dose)


def _hot(job: Job) -> float:
    """A hot shed hurts by the dose that is kept in it."""
    return ramp(job.air.air_c, 19.5, 24.5) * ramp(job.film.mix.catalyst_pct, 1.2, 2.1)


def _wet_film(job: Job) -> float:
    """Barrier film not dry; without film there is nothing to dry."""
    return ramp(job.release.pva_ref_min, 12, 5) if job.release.pva_used else 0.0


def _thick_session(job: Job) -> float:
    return ramp(job.laminate.thickness_mm, 4.5, 7)


def _too_soon(job: Job) -> float:
    return ramp(job.film.backup_hours / job.film.ready_hours, 1.0, 0.45)


def _gels_too_fast(job: Job) -> float:
    return ramp(job.film.mix.cup_gel_min, 9, 5)


def _laid_after_gel(job: Job) -> float:
    return ramp(job.laminate.laying_min / job.laminate.mix.cup_gel_min, 1.05, 1.9)


def _worn(job: Job) -> float:
    hold = 1.0 if job.mould.draft == "good" else 0.8
    return ramp(job.release.pulls_since * (1 / hold), 5.5, 11.5)


def _whipped(job: Job) -> float:
    """A drill folds air in; resting the cup lets it out."""
    kind = {"drill": 1.0, "paddle": 0.3, "hand stick": 0.05}[job.film.mix.person.mixer]
    return kind * ramp(job.film.mix.rest_min, 4, 0)


EXPOSURES: Mapping[str, Exposure] = {
    "release-worn-out": _worn,
    "too-few-wax-coats": lambda j: ramp(j.release.coats, 3, 1) * (j.release.pulls_since == 0),
    "wax-not-cured-or-buffed": lambda j: ramp(j.release.final_wait_min, 20, 5),
    "film-not-dry": _wet_film,
    "film-patchy": lambda j: float(j.release.pva_used and j.release.pva_coverage == "patchy"),
    "mould-porous": lambda j: ramp(j.pulls_total, 16, 4),
    "mould-rough-or-scratched": lambda j: {"good": 0.0, "fair": 0.5, "poor": 1.0}[
        j.mould.condition
    ],
    "poor-draft": lambda j: float(j.mould.draft == "poor"),
    "bridging-at-corner": lambda j: ramp(j.mould.corner_radius_mm, 10, 4),
    "condensation-on-mould": lambda j: ramp(j.air.dew_margin_c, 2.5, 0),
    "too-cold": _cold,
    "too-hot-shop": _hot,
    "gelcoat-dose-low": lambda j: ramp(j.film.mix.catalyst_pct, 1.2, 0.8),
    "resin-dose-low": lambda j: ramp(j.laminate.mix.catalyst_pct, 1.0, 0.6),
    "catalyst-old-or-weak": lambda j: float(j.film.mix.catalyst_lot.weak),
    "gelcoat-mixed-badly": lambda j: ramp(j.film.mix.mix_min, 1.5, 0.5),
    "bad-gelcoat-lot": lambda j: float(j.film.mix.lot.froths),
    "gelcoat-too-thin": lambda j: ramp(j.film.min_mm, 0.30, 0.12),
    "gelcoat-too-thick": lambda j: ramp(j.film.max_mm, 0.7, 1.0),
    "gelcoat-uneven": lambda j: ramp(j.film.max_mm / j.film.min_mm, 2.0, 4.0),
    "air-whipped-into-gelcoat": _whipped,
    "gelcoat-gels-too-fast": _gels_too_fast,
    "backed-up-too-soon": _too_soon,
    "backed-up-too-late": lambda j: ramp(j.film.backup_hours, 14, 24),
    "heavy-first-ply": lambda j: ramp(j.laminate.first_ply_g_m2, 300, 600),
    "too-many-plies-at-once": _thick_session,
    "too-little-resin": lambda j: ramp(j.laminate.resin_to_glass, 2.0, 1.6),
    "too-much-resin": lambda j: ramp(j.laminate.resin_to_glass, 2.65, 3.1),
    "worked-after-gel": _laid_after_gel,
    "normal-air-side-tack": lambda j: float(not j.laminate.waxed_topcoat),
    "demoulded-too-early": lambda j: ramp(j.demould_h20, 8, 3),
    "release-missed-area": slip("patch missed"),
    "release-rubbed-off": slip("wax rubbed off"),
    "dirty-mould": slip("grit on mould"),
    "air-not-rolled-out": slip("hurried rolling"),
    "acetone-left-in-tools": slip("acetone in brush"),
    "pigment-not-stirred": slip("tint not stirred"),
    "damp-mat": slip("damp mat"),
    "mould-flexed-or-moved": slip("sprung while green"),
    "unexplained": lambda j: 1.0,
}


@dataclass(frozen=True)
class Fault:
    """A defect that really came, with the share [0..1] each cause has in it (adds up to 1)."""

    part_id: str
    defect: str
    shares: Mapping[str, float]


def faults_of(job: Job, rng: np.random.Generator) -> list[Fault]:
    """What went wrong with one part: every cause gets its throw, those that hit share the blame."""
    found = []
    for defect, strengths in STRENGTHS.items():
        chances = {c: s * EXPOSURES[c](job) for c, s in strengths.items()}
        hits = {c: -float(np.log1p(-p)) for c, p in chances.items() if rng.random() < p}
        if hits:
            total = sum(hits.values())
            found.append(Fault(job.part_id, defect, {c: h / total for c, h in hits.items()}))
    return _forced_out(found, job, rng)


def _forced_out(found: list[Fault], job: Job, rng: np.random.Generator) -> list[Fault]:
    """A stuck part is hammered and wedged, which may crack it; stuck parts do not pre-release."""
    defects = {f.defect for f in found}
    if "sticking-whole" not in defects:
        return found
    kept = [f for f in found if f.defect not in ("pre-release", "sticking-patches")]
    if rng.random() < 0.16 and "cracking" not in defects:
        kept.append(Fault(job.part_id, "cracking", {"knocked-at-demould": 1.0}))
    return kept
