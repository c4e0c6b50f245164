"""Shops to plan a day for: an empty one, and one whose log holds waits, weights and a logger."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from analytics.jobs import jobs_table
from analytics.knowledge.loading import load_knowledge
from analytics.planning import Asked, DayPlan, plan_day
from analytics.planning.answer import Step
from analytics.records.log import Log
from tests.builders import a_log

TODAY = date(2026, 3, 2)
KNOWN = load_knowledge()


def planned(log: Log | None = None, **asked: Any) -> DayPlan:
    """The plan for a question; with no log, for a shop that has logged nothing."""
    log = log or a_log()
    jobs = jobs_table(log, KNOWN)
    return plan_day(log, jobs, KNOWN, today=TODAY, asked=Asked(**asked))


def room(**asked: Any) -> DayPlan:
    """A plan of 1 m2 at 20 °C in a shop that has logged nothing."""
    return planned(**{"area_m2": 1.0, "temperature_c": 20.0, **asked})


def step(plan: DayPlan, name: str) -> Step:
    """One line of its clock."""
    return next(one for one in plan.timeline if one.id == name)


def minutes(start: datetime, end: datetime) -> float:
    return (end - start).total_seconds() / 60


def a_shop(jobs: int = 30, **every: Any) -> Log:
    """A log of good parts on mould M1 (1.5 m2), one a day up to yesterday, all alike."""
    parts = [
        {
            "part_id": f"P{n:03d}",
            "date": TODAY - timedelta(days=jobs - n),
            "mould_id": "M1",
            "outcome": "good",
            "air_c": 20.0,
            "humidity_pct": 50.0,
            "pulls_since_renewal": n % 6,
            "wax_coats": 3,
            "pva_used": True,
            **every,
        }
        for n in range(jobs)
    ]
    return a_log(parts=parts, moulds=[{"mould_id": "M1", "area_m2": 1.5}])


def logged_air(log: Log, air_c: float, humidity_pct: float = 55.0) -> Log:
    """The same log with a year of a logger that reads 4 °C less at night than at noon."""
    start = datetime(TODAY.year - 1, TODAY.month, 1)
    rows = [
        {
            "timestamp": start + timedelta(days=day, hours=hour),
            "air_c": air_c + (2 if 8 <= hour < 20 else -2),
            "humidity_pct": humidity_pct,
        }
        for day in range(30)
        for hour in range(24)
    ]
    return Log(**{**log.__dict__, "logger": a_log(logger=rows).logger})
