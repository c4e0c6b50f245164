"""A job not yet made, as a row of the jobs table: what is planned, and what follows from it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.columns import column as column_of
from analytics.diagnosis.exposure import Exposure, exposures
from analytics.diagnosis.learning import NEARBY
from analytics.diagnosis.lots import LOT_RATIOS
from analytics.diagnosis.model import ShopModel
from analytics.errors import QuestionError
from analytics.knowledge.model import Knowledge
from analytics.physics import air as air_physics
from analytics.physics import curing
from analytics.physics.laminate import resin_to_glass

Floats = NDArray[np.float64]
Plan = Mapping[str, object]

FAIR_C, FAIR_PCT = 20.0, 50.0
LOTS = ("gelcoat_lot", "resin_lot", "gelcoat_catalyst_lot")
MOULD_FACTS = ("mould_condition", "mould_draft", "mould_deep", "mould_corner_radius_mm")


def planned_table(jobs: pd.DataFrame, plans: Sequence[Plan], knowledge: Knowledge) -> pd.DataFrame:
    """One row per plan with the columns and dtypes of the jobs table; what is not said is missing.

    A mould's own facts come from its last job. Values that follow from others (dew margin, waits
    as at 20 °C, resin to glass) are worked out where the plan does not say them itself.

    Raises QuestionError for a column the jobs table does not have, or a value it cannot hold.
    """
    whole = [_completed(jobs, plan, knowledge) for plan in plans]
    table = jobs.iloc[:0].reindex(range(len(plans)))
    made = {name: _column(table[name], name, whole) for name in set().union(*whole)}
    return table.assign(**made)


def planned_exposure(model: ShopModel, jobs: pd.DataFrame, plans: Sequence[Plan]) -> Exposure:
    """Exposures of the plans' jobs, one row each."""
    table = planned_table(jobs, plans, model.trade.knowledge)
    slow = {
        ratio: [_last_of(lot, jobs[column], model.lots[:, place]) for lot in table[column]]
        for place, (ratio, column) in enumerate(zip(LOT_RATIOS, LOTS, strict=True))
    }
    return exposures(model.trade.causes, table.assign(**slow))


def _last_of(lot: str | float, lots: pd.Series, ratios: Floats) -> float:
    """What is known of a lot from its last job; NaN for a new lot, or none named."""
    if not isinstance(lot, str):
        return np.nan
    own = np.flatnonzero((lots == lot).to_numpy(dtype=bool))
    return float(ratios[own[-1]]) if own.size else np.nan


def after_the_last(model: ShopModel, row: Exposure) -> tuple[Exposure, int]:
    """The exposures of a shop's latest jobs with one more job after them, and that job's place.

    What a plan leaves open is likeliest what those jobs had.
    """
    last = model.exposure.of(slice(-NEARBY, None))
    parts = ("grade", "known", "impossible")
    joined = (np.concatenate([getattr(last, part), getattr(row, part)]) for part in parts)
    return Exposure(*joined), len(last.known)


def _column(column: pd.Series, name: str, plans: Sequence[Plan]) -> pd.Series:
    values = [plan.get(name) for plan in plans]
    if column_of(name).kind == "number":
        return pd.Series(values, dtype=np.float64)
    try:
        return pd.Series(values).astype(column.dtype)
    except (TypeError, ValueError) as wrong:
        raise QuestionError(f'"{values[0]}" cannot be a value of {name}.') from wrong


def _value(name: str, value: object) -> object:
    """A value of a plan as its column holds it: figures as floats."""
    if column_of(name).kind != "number":
        return value
    try:
        return float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError) as wrong:
        raise QuestionError(f'"{value}" cannot be a value of {name}: it wants a number.') from wrong


def _completed(jobs: pd.DataFrame, plan: Plan, knowledge: Knowledge) -> dict[str, object]:
    strange = sorted(set(plan) - set(jobs.columns))
    if strange:
        raise QuestionError(f'"{strange[0]}" is no column of the jobs table.')
    said = {name: _value(name, value) for name, value in plan.items() if is_told(value)}
    said = {**_mould_facts(jobs, said), **said}
    return {**derived(said, knowledge), **said}


def is_told(value: object) -> bool:
    """Whether a plan says this value, rather than leaving it open."""
    return value is not None and not bool(pd.isna(value))  # type: ignore[call-overload]


def _mould_facts(jobs: pd.DataFrame, plan: Plan) -> dict[str, object]:
    if "mould_id" not in plan:
        return {}
    own = jobs.loc[jobs["mould_id"] == plan.get("mould_id"), list(MOULD_FACTS)]
    return {name: own[name].dropna().iloc[-1] for name in MOULD_FACTS if own[name].notna().any()}


def derived(plan: Plan, knowledge: Knowledge) -> dict[str, object]:
    """What follows from the plan's own figures, as `analytics.jobs` works it out for a past job."""

    def at(name: str, otherwise: float = np.nan) -> float:
        return float(plan[name]) if name in plan else otherwise  # type: ignore[arg-type]

    energy = knowledge.constants["activation-energy"].value
    face = at("mould_c", at("air_c", FAIR_C))
    made: dict[str, Callable[[], Any]] = {
        "dew_margin_c": lambda: air_physics.dew_margin_c(
            at("mould_c", at("air_c")), at("air_c"), at("humidity_pct")
        ),
        "backup_h20": lambda: curing.hours_at_20c(at("backup_hours"), face, energy),
        "demould_h20": lambda: curing.hours_at_20c(
            at("demould_hours"), at("air_c", FAIR_C), energy
        ),
        "pva_h_ref_min": lambda: curing.film_min_at_reference(
            at("pva_dry_min"), at("air_c", FAIR_C), at("humidity_pct", FAIR_PCT)
        ),
        "resin_to_glass": lambda: resin_to_glass(at("glass_kg"), at("resin_kg")),
        "film_spread": lambda: _ratio(at("gelcoat_wet_max_mm"), at("gelcoat_wet_min_mm")),
        "laying_over_gel": lambda: _ratio(at("laying_min"), at("resin_gel_min")),
    }
    found = {name: float(make()) for name, make in made.items()}
    return {name: value for name, value in found.items() if np.isfinite(value)}


def _ratio(value: float, by: float) -> float:
    return value / by if by > 0 else np.nan
