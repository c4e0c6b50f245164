"""How likely a fault is on a job not yet made, and what to change first."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pandas as pd
import pytest

from analytics.diagnosis.estimator import ShopCauses
from analytics.diagnosis.model import ShopModel
from analytics.diagnosis.risk import PlannedRisk, best_change, planned_risks
from analytics.errors import QuestionError
from analytics.jobs import jobs_table
from tests.builders import a_log
from tests.diagnosis.shops import a_shop, asked_job, faults, ordinary_jobs

SOUND = {
    "air_c": 20.0, "humidity_pct": 50.0, "gelcoat_wet_mm": 0.5, "backup_hours": 2.5,
    "pulls_since_renewal": 1.0, "wax_coats": 4.0, "first_ply_g_m2": 300.0, "session_mm": 3.0,
    "demould_hours": 24.0, "pva_used": True, "pva_dry_min": 40.0,
}  # fmt: skip


@cache
def shop(jobs: int = 120) -> tuple[ShopModel, pd.DataFrame]:
    made = ordinary_jobs(jobs)
    seen = [f for job in made[::20] for f in faults(job["part_id"], "sticking")]
    model, table, _ = a_shop(made, seen)
    return model, table


def risk(defect: str, jobs: int = 120, **plan: Any) -> PlannedRisk:
    return next(r for r in planned_risks(*shop(jobs), plan) if r.defect == defect)


def test_every_defect_has_a_risk_inside_its_bounds_likeliest_first() -> None:
    told = planned_risks(*shop(), SOUND)
    assert {r.defect for r in told} == {f.id for f in shop()[0].trade.families}
    assert all(0 <= r.low <= r.probability <= r.high <= 1 for r in told)
    chances = [r.probability for r in told]
    assert chances == sorted(chances, reverse=True)


def test_a_usual_job_has_about_the_usual_risk() -> None:
    told = risk("sticking", **SOUND)
    # 6 of 120 parts stuck
    assert told.usual == pytest.approx(0.05, abs=0.01)
    assert told.probability == pytest.approx(0.05, abs=0.025)
    assert told.jobs_used == 120


def test_with_no_log_the_usual_share_is_the_trades() -> None:
    model, table, _ = a_shop([], [])
    told = next(r for r in planned_risks(model, table, {}) if r.defect == "sticking")
    family = model.trade.families[model.trade.family_index("sticking")]
    assert told.usual == pytest.approx(family.base_rate)
    assert told.jobs_used == 0


@pytest.mark.parametrize(
    ("defect", "field", "values", "cause"),
    [
        ("sticking", "pulls_since_renewal", [2, 6, 8, 12], "release-worn-out"),
        ("wrinkling", "gelcoat_wet_mm", [0.5, 0.38, 0.3, 0.2], "gelcoat-too-thin"),
        ("tacky-surface", "air_c", [20, 16, 12, 6], "too-cold"),
        ("wrinkling", "backup_hours", [2.5, 1.0, 0.7, 0.3], "backed-up-too-soon"),
    ],
)
def test_more_of_a_harmful_condition_raises_the_risk_and_is_named(
    defect: str, field: str, values: list[float], cause: str
) -> None:
    told = [risk(defect, **{**SOUND, field: float(v)}) for v in values]
    chances = [r.probability for r in told]
    assert chances == sorted(chances)
    assert chances[-1] > 2 * chances[0]
    assert told[-1].causes[0].cause == cause


def test_shares_of_causes_are_parts_of_one() -> None:
    for told in planned_risks(*shop(), {**SOUND, "air_c": 8.0}):
        shares = [cause.share for cause in told.causes]
        assert shares == sorted(shares, reverse=True)
        assert 0 < sum(shares) <= 1
        assert len(shares) <= 3


def test_what_a_plan_leaves_out_stands_at_what_the_latest_jobs_had() -> None:
    cold, _, _ = a_shop(ordinary_jobs(80, air_c=7.0), [])
    table = jobs_table(a_log(parts=ordinary_jobs(80, air_c=7.0)))
    unsaid = {r.defect: r.probability for r in planned_risks(cold, table, {})}
    warm = {r.defect: r.probability for r in planned_risks(cold, table, {"air_c": 20.0})}
    assert unsaid["tacky-surface"] > 1.15 * warm["tacky-surface"]


def test_waits_and_margins_follow_from_the_plan() -> None:
    """The plan says hours and degrees; what they are worth at 20 °C is worked out as for a job."""
    cold = risk("wrinkling", **{**SOUND, "backup_hours": 1.3, "air_c": 12.0})
    warm = risk("wrinkling", **{**SOUND, "backup_hours": 1.3, "air_c": 20.0})
    assert {c.cause for c in cold.causes} >= {"backed-up-too-soon"}
    assert cold.probability > 2 * warm.probability


def test_a_moulds_own_facts_need_not_be_said_again() -> None:
    jobs = [{**job, "mould_draft": "poor"} for job in ordinary_jobs(20)]
    model, table, _ = a_shop(jobs, [])
    there, better = (
        {r.defect: r.probability for r in planned_risks(model, table, {"mould_id": "M1", **said})}
        for said in ({}, {"mould_draft": "good"})
    )
    assert there["sticking"] > better["sticking"]


def test_a_plan_is_judged_as_the_same_job_in_the_log_would_be() -> None:
    jobs = [*ordinary_jobs(60), asked_job(**{**SOUND, "gelcoat_wet_mm": 0.3, "air_c": 15.0})]
    model, table, _ = a_shop(jobs, faults("P0003", "sticking"))
    place = len(table) - 1
    hazards = model.hazards(place, {"mould_id": "M0"})
    before = a_shop(jobs[:-1], faults("P0003", "sticking"))[:2]
    plan = {**SOUND, "gelcoat_wet_mm": 0.3, "air_c": 15.0, "mould_id": "M0"}
    told = {r.defect: r.probability for r in planned_risks(*before, plan)}
    own = -np.expm1(-(hazards.total.sum(axis=0) + hazards.leak))
    wrinkling = model.trade.family_index("wrinkling")
    assert told["wrinkling"] == pytest.approx(own[wrinkling], rel=0.05)


@pytest.mark.parametrize(
    ("plan", "says"),
    [({"gelcoat_mm": 0.4}, "no column"), ({"air_c": "warm"}, "cannot be a value of air_c")],
)
def test_a_plan_that_cannot_be_read_is_refused_in_a_sentence(
    plan: dict[str, object], says: str
) -> None:
    with pytest.raises(QuestionError, match=says):
        planned_risks(*shop(), plan)


def test_the_change_told_is_the_one_that_lowers_the_risk_most() -> None:
    plan = {**SOUND, "gelcoat_wet_mm": 0.25, "air_c": 17.0}
    change = best_change(*shop(), plan)
    assert change is not None
    assert (change.field, change.value) == ("gelcoat_wet_mm", 0.25)
    # where the trade sees no more harm from a thin film
    assert change.to == pytest.approx(0.40)
    after = sum(
        r.probability for r in planned_risks(*shop(), {**plan, "gelcoat_wet_mm": change.to})
    )
    assert change.risk_after == pytest.approx(after)
    assert change.risk_after < change.risk_before
    assert change.text.startswith("Raise gel coat wet film from 0.25 to 0.4 mm")


def test_a_wait_is_changed_to_what_it_must_be_in_this_cold() -> None:
    change = best_change(*shop(), {**SOUND, "backup_hours": 0.6, "mould_c": 20.0})
    assert change is not None
    assert change.field == "backup_hours"
    # at 20 °C an hour is an hour: the trade's edge is 1.2 h
    assert change.to == pytest.approx(1.2, rel=1e-6)


def test_worn_release_is_renewed_not_counted_down() -> None:
    change = best_change(*shop(), {**SOUND, "pulls_since_renewal": 12.0})
    assert change is not None
    assert change.to == 0
    assert change.text.startswith("Renew the release first (12 pulls")


def test_a_sound_plan_needs_no_change_and_an_empty_one_has_none() -> None:
    assert best_change(*shop(), SOUND) is None
    assert best_change(*shop(), {}) is None


def test_the_estimator_gives_the_same_risks_and_causes() -> None:
    made = ordinary_jobs(120)
    seen = [f for job in made[::20] for f in faults(job["part_id"], "sticking")]
    log = a_log(parts=made, defects=seen)
    fitted = ShopCauses().fit(jobs_table(log), log.defects)
    plans = [SOUND, {**SOUND, "gelcoat_wet_mm": 0.25, "air_c": 9.0}, {"air_c": 9.0}]
    chances = fitted.predict_proba(pd.DataFrame(plans))
    shares = fitted.causes(pd.DataFrame(plans))
    assert shares.shape == (3, len(fitted.defects_), len(fitted.causes_) + 1)
    np.testing.assert_allclose(shares.sum(axis=2), 1.0)
    for row, plan in enumerate(plans):
        for told in planned_risks(*shop(), plan):
            column = list(fitted.defects_).index(told.defect)
            assert chances[row, column] == pytest.approx(told.probability, abs=1e-12)
            for cause in told.causes:
                named = list(fitted.causes_).index(cause.cause)
                assert shares[row, column, named] == pytest.approx(cause.share, abs=1e-12)


def test_the_estimator_is_one_of_scikit_learns() -> None:
    from sklearn.base import clone
    from sklearn.exceptions import NotFittedError

    knowledge = shop()[0].trade.knowledge
    again = clone(ShopCauses(knowledge), safe=False)
    assert again.get_params() == {"knowledge": knowledge}
    with pytest.raises(NotFittedError):
        again.predict_proba(pd.DataFrame([SOUND]))
