"""Small made-up shops for the diagnosis tests: a run of ordinary jobs, and one to ask about."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from analytics.diagnosis.answer import Diagnosis, RankedCause
from analytics.diagnosis.diagnose import diagnose
from analytics.diagnosis.model import ShopModel, fit_shop
from analytics.jobs import jobs_table
from analytics.knowledge.loading import load_knowledge
from analytics.records.log import Log
from tests.builders import a_log

ASKED = "ASKED"


def ordinary_jobs(count: int, *, seed: int = 1, **fixed: Any) -> list[dict[str, Any]]:
    """`count` good jobs of a tidy heated shop; `fixed` sets a field on every one."""
    rng = np.random.default_rng(seed)
    days = pd.date_range("2024-01-08", periods=count, freq="8h").normalize()
    return [
        {
            "part_id": f"P{i:04d}",
            "date": day,
            "start_time": "09:00",
            "mould_id": f"M{i % 4}",
            "operator": ("Ann", "Ben")[i % 2],
            "pulls_since_renewal": float(i // 4 % 4),
            "wax_coats": 4.0,
            "pva_used": True,
            "pva_dry_min": 40.0,
            "gelcoat_wet_mm": float(rng.uniform(0.45, 0.6)),
            "backup_hours": 2.5,
            "first_ply_g_m2": 300.0,
            "session_mm": 3.5,
            "demould_hours": 22.0,
            "air_c": float(rng.uniform(19, 22)),
            "humidity_pct": float(rng.uniform(45, 60)),
            "looked": True,
            "outcome": "good",
            **fixed,
        }
        for i, day in enumerate(days)
    ]


def asked_job(**given: Any) -> dict[str, Any]:
    """The part being asked about: only what is given is recorded."""
    return {
        "part_id": ASKED,
        "date": pd.Timestamp("2024-06-28"),
        "mould_id": "M0",
        "looked": True,
        "outcome": "faulty",
        **given,
    }


def faults(part_id: str, *defects: str) -> list[dict[str, Any]]:
    """The faults of a part as the log keeps them."""
    return [{"part_id": part_id, "defect": d, "words": d} for d in defects]


def a_shop(
    jobs: list[dict[str, Any]], seen: list[dict[str, Any]]
) -> tuple[ShopModel, pd.DataFrame, Log]:
    """The fitted model, jobs table and log of a shop."""
    log = a_log(parts=jobs, defects=seen)
    table = jobs_table(log)
    return fit_shop(load_knowledge(), table, log.defects), table, log


def why(
    *defects: str,
    others: list[dict[str, Any]] | None = None,
    their_faults: list[dict[str, Any]] | None = None,
    seen: dict[str, str] | None = None,
    **given: Any,
) -> Diagnosis:
    """The answer for the first of `defects` on a part with only `given` recorded."""
    jobs = [*(others or []), asked_job(**given)]
    model, table, log = a_shop(jobs, [*(their_faults or []), *faults(ASKED, *defects)])
    return diagnose(model, table, log.defects, ASKED, seen=seen)[0]


def chance(answer: Diagnosis, cause: str) -> float:
    """The probability the answer gives a cause; 0 if it is not listed."""
    return next((c.probability for c in answer.causes if c.cause == cause), 0.0)


def the(answer: Diagnosis, cause: str) -> RankedCause:
    """The entry of a listed cause."""
    return next(c for c in answer.causes if c.cause == cause)
