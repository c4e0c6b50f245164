"""A simulated shop: its clean tables and, beside them, the truth nobody in it could know."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from sample_logs.faults import Fault, faults_of
from sample_logs.job import Job
from sample_logs.making import Maker
from sample_logs.mixing import Mixer
from sample_logs.plan import Mould, ShopPlan
from sample_logs.stock import Shelf
from sample_logs.talk import notes_of
from sample_logs.weather import logger_table, shed_air
from sample_logs.writing import (
    NO_RESULT,
    batches_table,
    defects_table,
    leave_blanks,
    parts_table,
    truth_table,
)


@dataclass(frozen=True)
class Shop:
    """Tables in canonical field names, as written down, and `truth`, which never was.

    `truth` has one row per part, defect and cause: share [0..1] of the blame (adds up to 1),
    `recorded` (the log normally has a column that can show it), `reported` (the defect was
    written down). `jobs` are the parts as they really were.
    """

    plan: ShopPlan
    parts: pd.DataFrame
    batches: pd.DataFrame
    logger: pd.DataFrame
    lots: pd.DataFrame
    moulds: pd.DataFrame
    defects: pd.DataFrame
    truth: pd.DataFrame
    jobs: tuple[Job, ...]

    def tables(self) -> dict[str, pd.DataFrame]:
        """What was written down, by record, in the shape a `Log` is made of."""
        return {
            "part": self.parts,
            "batch": self.batches,
            "logger": self.logger,
            "lot": self.lots,
            "mould": self.moulds,
            "defect": self.defects,
        }


Luck = Callable[[Job, np.random.Generator], list[Fault]]


def simulate(plan: ShopPlan, seed: int, nature: Luck = faults_of) -> Shop:
    """The whole log of the shop in `plan`; the same plan and seed give the same shop.

    Weather, work, faults and writing each have random numbers of their own, so a change in how
    things are written down leaves what happened as it was.
    """
    weather, work, luck, pen = (np.random.default_rng([seed, i]) for i in range(4))
    shed = shed_air(plan, weather)
    shelf = Shelf(plan, work)
    mixer = Mixer(plan, shed, shelf, work)
    jobs = Maker(plan, shed, mixer, work).make_parts()
    faults = [fault for job in jobs for fault in nature(job, luck)]
    silent = _no_result(jobs, plan, pen)
    defects = defects_table(faults, silent, pen)
    parts = parts_table(jobs, defects, silent, pen)
    parts["notes"] = notes_of(jobs, faults, plan.well_kept, pen)
    kept = _in_full(jobs, plan)
    batches = batches_table(list(mixer.mixes.values()), pen)
    return Shop(
        plan=plan,
        parts=leave_blanks(parts, plan, kept, pen),
        batches=leave_blanks(batches, plan, kept, pen),
        logger=logger_table(shed, plan, weather),
        lots=shelf.table(),
        moulds=_moulds_table(plan.moulds, jobs),
        defects=defects,
        truth=truth_table(faults, defects),
        jobs=tuple(jobs),
    )


def _no_result(jobs: Sequence[Job], plan: ShopPlan, pen: np.random.Generator) -> set[str]:
    """Parts whose result nobody wrote down."""
    throws = pen.random(len(jobs))
    share = NO_RESULT if plan.missing_share else 0.0
    return {
        job.part_id
        for job, throw in zip(jobs, throws, strict=True)
        if throw < share and job.part_id not in plan.well_kept
    }


def _in_full(jobs: Sequence[Job], plan: ShopPlan) -> set[str]:
    """Numbers of the parts that were written up in full, and of their mixes."""
    full = [job for job in jobs if job.part_id in plan.well_kept]
    mixes = {mix.batch_id for job in full for mix in (job.film.mix, job.laminate.mix)}
    return mixes | set(plan.well_kept)


def _moulds_table(moulds: Sequence[Mould], jobs: Sequence[Job]) -> pd.DataFrame:
    """Canonical moulds table; last_renewal is the last full waxing in the log."""
    waxed = {j.mould.mould_id: j.start.date() for j in jobs if j.release.pulls_since == 0}
    table = pd.DataFrame(
        {
            "mould_id": m.mould_id,
            "product": m.product,
            "made": pd.Timestamp(m.made),
            "area_m2": m.area_m2,
            "surface": m.condition,
            "draft": m.draft,
            "deep": m.deep,
            "corner_radius_mm": m.corner_radius_mm,
            "notes": m.note or None,
            "last_renewal": pd.Timestamp(waxed[m.mould_id]) if m.mould_id in waxed else pd.NaT,
        }
        for m in moulds
    )
    table["deep"] = table["deep"].astype("boolean")
    for name in ("made", "last_renewal"):
        table[name] = pd.to_datetime(table[name]).dt.as_unit("ns")
    return table
