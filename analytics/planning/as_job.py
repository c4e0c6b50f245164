"""A plan as a row of the jobs table, for the shop's model to say what may go wrong with it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta

import pandas as pd

from analytics.physics.air import dew_margin_c
from analytics.planning.answer import Materials, Step
from analytics.planning.checks import NIGHT_H
from analytics.planning.laying_out import Worked
from analytics.planning.plies import Ply
from analytics.planning.question import DayQuestion


def as_job(
    question: DayQuestion,
    done: Worked,
    materials: Materials,
    plies: tuple[Ply, ...],
    jobs: pd.DataFrame,
) -> dict[str, object]:
    """Columns of the jobs table with what the plan says of them; what it does not is left out."""
    job = {
        **_release(question, done),
        **_air(question, done),
        **_gelcoat(question, done),
        **_laminate(question, done, materials, plies),
    }
    return {
        name: value
        for name, value in job.items()
        if name in jobs.columns and value is not None and value == value
    }


def _release(question: DayQuestion, done: Worked) -> Mapping[str, object]:
    state = question.state
    renewed = question.wax_coats > 1 or (question.pulls_next == 0)
    total = state.pulls_total_next if state else None
    return {
        "mould_id": question.mould,
        "mould_draft": state.draft if state else None,
        "mould_deep": state.deep if state and state.deep else None,
        "mould_pulls_total": total,
        "mould_young_pulls": total,
        "release_system": question.release,
        "pulls_since_renewal": 0 if renewed else question.pulls_next,
        "wax_coats": question.wax_coats if question.wax_coats > 1 else None,
        "wax_wait_min": _minutes(done, "wax-1") if question.wax_coats > 1 else None,
        "wax_final_wait_min": _since(done, f"wax-{question.wax_coats}"),
        "pva_used": question.film if question.release in ("wax", "wax-and-film") else None,
        "pva_dry_min": _minutes(done, "film"),
    }


def _air(question: DayQuestion, done: Worked) -> Mapping[str, object]:
    course, at = question.course, done.gelcoat_at
    air, damp = course.at(at), course.damp_at(at)
    return {
        "air_c": air,
        "humidity_pct": damp,
        "mould_c": question.given_c,
        "dew_margin_c": float(dew_margin_c(air, air, damp)),
        "night_low_c": course.lowest_c(at, NIGHT_H),
        "gelcoat_air_c": air,
        "resin_air_c": course.at(done.first_ply_at),
        "month": f"{at:%Y-%m}",
    }


def _gelcoat(question: DayQuestion, done: Worked) -> Mapping[str, object]:
    advice, pots = done.gelcoat
    put_on = _step(done, "gelcoat")
    wait = done.first_ply_at - put_on.ends.usual if put_on else timedelta()
    return {
        "gelcoat_lot": question.gelcoat_lot,
        "gelcoat_catalyst_lot": question.catalyst_lot,
        "gelcoat_catalyst_pct": advice.catalyst_pct,
        "gelcoat_gel_min": advice.gel_min.median,
        "gelcoat_mass_kg": pots.mixes[0].kg,
        "backup_hours": wait.total_seconds() / 3600,
    }


def _laminate(
    question: DayQuestion, done: Worked, materials: Materials, plies: tuple[Ply, ...]
) -> Mapping[str, object]:
    advice, pots = done.resin
    each = pots.mixes[0].work_min
    demould = _step(done, "demould")
    waited = demould.ends.usual - demould.starts.usual if demould else timedelta()
    whole = len(plies) == len(materials.plies)
    return {
        "area_m2": question.area_m2,
        "resin_lot": question.resin_lot,
        "resin_catalyst_lot": question.catalyst_lot,
        "resin_catalyst_pct": advice.catalyst_pct,
        "resin_gel_min": advice.gel_min.median,
        "resin_mass_kg": pots.mixes[0].kg,
        "plies_in_session": float(len(plies)),
        "first_ply_g_m2": plies[0].g_m2,
        "session_mm": materials.thickness_mm.usual if whole else None,
        "glass_kg": materials.glass_kg if whole else None,
        "resin_kg": materials.glass_kg * (100 / materials.glass_pct - 1) if whole else None,
        # with several mixes, no one mix is worked past its own share of the time
        "laying_min": each,
        "laying_over_gel": each / advice.gel_min.median,
        "demould_hours": waited.total_seconds() / 3600,
    }


def _step(done: Worked, name: str) -> Step | None:
    return next((step for step in done.day.steps if step.id == name), None)


def _since(done: Worked, name: str) -> float | None:
    """Minutes from the start of a step to the start of the one after it."""
    places = [place for place, step in enumerate(done.day.steps) if step.id == name]
    if not places:
        return None
    first, then = done.day.steps[places[0] : places[0] + 2]
    return (then.starts.usual - first.starts.usual).total_seconds() / 60


def _minutes(done: Worked, name: str) -> float | None:
    step = _step(done, name)
    return (step.ends.usual - step.starts.usual).total_seconds() / 60 if step else None
