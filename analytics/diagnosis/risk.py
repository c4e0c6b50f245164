"""How likely each fault is on a job not yet made, and the one change that would lower it most."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.columns import column
from analytics.diagnosis.exposure import TRADE, Exposure, grades
from analytics.diagnosis.learning import RATE_JOBS
from analytics.diagnosis.model import Hazards, ShopModel
from analytics.diagnosis.planned import (
    Plan,
    after_the_last,
    derived,
    is_told,
    planned_exposure,
    planned_table,
)
from analytics.diagnosis.suspects import GROUPS

Floats = NDArray[np.float64]

DRAWS = 400
SEED = 20240301
CAUSES_TOLD = 3
FEWEST_CASES = 0.3
WORTH_A_CHANGE = 0.005

CHANGEABLE = (
    "gelcoat_catalyst_pct", "resin_catalyst_pct", "gelcoat_wet_mm", "gelcoat_wet_min_mm",
    "gelcoat_wet_max_mm", "backup_hours", "first_ply_g_m2", "plies_in_session", "session_mm",
    "laying_min", "resin_kg", "resin_mass_kg", "wax_coats", "wax_wait_min", "wax_final_wait_min",
    "pva_dry_min", "pulls_since_renewal", "gelcoat_mix_min", "gelcoat_rest_min", "resin_mix_min",
    "gelcoat_material_c", "resin_material_c", "mould_c", "air_c", "demould_hours",
)  # fmt: skip
"""What a moulder can still do otherwise before the job is made."""
BEHIND: Mapping[str, str] = {
    "backup_h20": "backup_hours",
    "demould_h20": "demould_hours",
    "pva_h_ref_min": "pva_dry_min",
    "resin_to_glass": "resin_kg",
    "laying_over_gel": "laying_min",
}
"""What has to change for a worked-out value to change: each grows in step with the other."""
RENEWED = "pulls_since_renewal"


@dataclass(frozen=True)
class CauseShare:
    """One cause of a planned job's risk: `share` [0..1] of the defect's hazard."""

    cause: str
    title: str
    share: float

    def to_json(self) -> dict[str, Any]:
        return {"cause": self.cause, "title": self.title, "share": round(self.share, 4)}


@dataclass(frozen=True)
class PlannedRisk:
    """The chance [0..1] that a planned job shows a defect, with bounds (90 %).

    `usual` is the share of this shop's parts that show it, drawn towards an ordinary shop's while
    there are few jobs. `causes` are its likeliest causes, `jobs_used` the parts learnt from.
    """

    defect: str
    title: str
    probability: float
    low: float
    high: float
    usual: float
    causes: tuple[CauseShare, ...]
    jobs_used: int

    def to_json(self) -> dict[str, Any]:
        return {
            "defect": self.defect,
            "title": self.title,
            "probability": round(self.probability, 4),
            "low": round(self.low, 4),
            "high": round(self.high, 4),
            "usual": round(self.usual, 4),
            "causes": [cause.to_json() for cause in self.causes],
            "jobs_used": self.jobs_used,
        }


@dataclass(frozen=True)
class Change:
    """The one change of a planned value that lowers the risk most.

    `risk_before` and `risk_after` are the faults expected on such a part, all defects together.
    """

    field: str
    name: str
    value: float
    to: float
    unit: str
    risk_before: float
    risk_after: float
    text: str

    def to_json(self) -> dict[str, Any]:
        return {
            "field": self.field,
            "name": self.name,
            "from": round(self.value, 4),
            "to": round(self.to, 4),
            "unit": self.unit,
            "risk_before": round(self.risk_before, 4),
            "risk_after": round(self.risk_after, 4),
            "text": self.text,
        }


def planned_risks(model: ShopModel, jobs: pd.DataFrame, plan: Plan) -> tuple[PlannedRisk, ...]:
    """The risk of every defect on a job not yet made, likeliest first.

    Parameters
    ----------
    jobs : the jobs table the model was fitted on.
    plan : columns of the jobs table by name; what is missing is unknown, and stands at what the
        shop's latest jobs had.

    Raises QuestionError for a column the jobs table does not have, or a value it cannot hold.
    """
    hazards = planned_hazards(model, planned_exposure(model, jobs, [plan]), [plan])[0]
    chances, shares = risk_of(model, hazards), cause_shares(model, hazards)
    low, high = np.percentile(_drawn_risks(model, hazards), [5, 95], axis=0)
    found = (
        _risk(model, family, float(chance), (float(low[family]), float(high[family])), share)
        for family, (chance, share) in enumerate(zip(chances, shares, strict=True))
    )
    return tuple(sorted(found, key=lambda risk: -risk.probability))


def usual_share(model: ShopModel, family: int) -> float:
    """Share of this shop's parts that show a family, drawn towards an ordinary shop's."""
    strengths = model.strengths[family]
    base = RATE_JOBS * model.trade.families[family].base_rate
    return (strengths.seen + base) / (strengths.jobs + RATE_JOBS)


def risk_of(model: ShopModel, hazards: Hazards) -> Floats:
    """(F,) chance of every family on a job, faults that other faults bring among them."""
    return with_chains(model, hazards.total.sum(axis=0) + hazards.leak)


def with_chains(model: ShopModel, own: Floats) -> Floats:
    """(..., F) chances from own hazards (..., F), a fault that brings another counted in both."""
    spared = np.exp(-own)
    for then, strengths in enumerate(model.strengths):
        for first in np.flatnonzero(strengths.chain):
            brings = -np.expm1(-strengths.chain[first])
            spared[..., then] *= 1 - brings * -np.expm1(-own[..., first])
    return np.asarray(1 - spared)


def planned_hazards(model: ShopModel, exposure: Exposure, plans: Sequence[Plan]) -> list[Hazards]:
    """Hazards of each planned job, `exposure` holding one row for each."""
    return [_hazards(model, exposure, row, plan) for row, plan in enumerate(plans)]


def _hazards(model: ShopModel, exposure: Exposure, row: int, plan: Plan) -> Hazards:
    joined, place = after_the_last(model, exposure.of(slice(row, row + 1)))
    return replace(model, exposure=joined).hazards(place, {name: plan.get(name) for name in GROUPS})


def _drawn_risks(model: ShopModel, hazards: Hazards) -> Floats:
    """(DRAWS, F) chances with the strengths drawn from what the log and the trade leave open."""
    rng = np.random.default_rng(SEED)
    own = np.zeros((DRAWS, len(model.strengths)))
    for family, strengths in enumerate(model.strengths):
        cases = np.maximum(strengths.shape.sum(axis=1), FEWEST_CASES)
        moved = rng.gamma(cases, size=(DRAWS, len(cases))) / cases
        own[:, family] = moved @ hazards.recorded[:, family]
        rest = hazards.hidden[:, family].sum() + hazards.leak[family]
        unseen = max(strengths.constant * (RATE_JOBS + strengths.jobs), FEWEST_CASES)
        own[:, family] += rest * rng.gamma(unseen, size=DRAWS) / unseen
    return with_chains(model, own)


def _risk(
    model: ShopModel, family: int, chance: float, reach: tuple[float, float], shares: Floats
) -> PlannedRisk:
    about = model.trade.knowledge.defects[model.trade.families[family].id]
    return PlannedRisk(
        defect=about.id,
        title=about.title,
        probability=chance,
        low=min(reach[0], chance),
        high=max(reach[1], chance),
        usual=usual_share(model, family),
        causes=_likeliest(model, shares),
        jobs_used=model.strengths[family].jobs,
    )


def cause_shares(model: ShopModel, hazards: Hazards) -> Floats:
    """(F, K + 1) whose doing each fault of a job would be, something else last; rows sum to 1."""
    whole = -np.log1p(-np.minimum(risk_of(model, hazards), 1 - 1e-12))
    shares = hazards.total.T / np.maximum(whole, 1e-12)[:, None]
    return np.column_stack([shares, np.maximum(1 - shares.sum(axis=1), 0.0)])


def _likeliest(model: ShopModel, shares: Floats) -> tuple[CauseShare, ...]:
    order = np.argsort(-shares[:-1], kind="stable")[:CAUSES_TOLD]
    causes = model.trade.causes
    return tuple(
        CauseShare(causes[row].id, causes[row].title, float(shares[row]))
        for row in order
        if shares[row] > 0
    )


def best_change(model: ShopModel, jobs: pd.DataFrame, plan: Plan) -> Change | None:
    """The one change of a planned value, to where the trade sees no more harm, that helps most.

    None where no value the plan says stands where harm begins, or no change would be worth it.
    """
    plan = {name: value for name, value in plan.items() if is_told(value)}
    changes = list(_possible_changes(model, jobs, plan))
    plans = [plan, *(_changed(model, plan, name, to) for name, to in changes)]
    exposure = planned_exposure(model, jobs, plans)
    found = planned_hazards(model, exposure, plans)
    expected = [float(risk_of(model, hazards).sum()) for hazards in found]
    if not changes:
        return None
    best = int(np.argmin(expected[1:]))
    if expected[0] - expected[best + 1] < WORTH_A_CHANGE:
        return None
    return _told(plan, *changes[best], expected[0], expected[best + 1])


def _possible_changes(
    model: ShopModel, jobs: pd.DataFrame, plan: Plan
) -> Iterator[tuple[str, float]]:
    """Every planned value that harms, with the value at which the trade sees no more harm."""
    row = planned_table(jobs, [plan], model.trade.knowledge)
    for cause in model.trade.causes:
        for evidence in cause.evidence:
            name = BEHIND.get(evidence.field, evidence.field)
            if evidence.none is None or name not in CHANGEABLE:
                continue
            if pd.isna(row[name].iloc[0]) or not grades(evidence, row)[0, TRADE] > 0:
                continue
            now, step = float(row[name].iloc[0]), float(row[evidence.field].iloc[0])
            edge = evidence.none * now / step if name != evidence.field and step else evidence.none
            yield name, 0.0 if name == RENEWED and edge < now else edge


def _changed(model: ShopModel, plan: Plan, name: str, to: float) -> Plan:
    """The plan with one value changed, and all that follows from it worked out anew."""
    kept = {
        key: value for key, value in plan.items() if key not in derived(plan, model.trade.knowledge)
    }
    return {**kept, name: to}


def _told(plan: Plan, name: str, to: float, before: float, after: float) -> Change:
    said = column(name)
    now = float(plan[name])  # type: ignore[arg-type]
    unit = f" {said.unit}" if said.unit else ""
    text = (
        f"Renew the release first ({now:g} pulls since it was renewed)"
        if name == RENEWED and to == 0
        else f"{'Raise' if to > now else 'Lower'} {said.name} from {now:.3g} to {to:.3g}{unit}"
    )
    text += f": faults expected on 100 such parts go from {100 * before:.0f} to {100 * after:.0f}."
    return Change(name, said.name, now, to, said.unit, before, after, text)
