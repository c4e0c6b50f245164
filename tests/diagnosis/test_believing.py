"""How far a record is believed: as far as this shop's faults have fallen where records say."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from analytics.diagnosis.believing import (
    PROVED,
    SLOPES,
    USUAL,
    agreement,
    belief,
    believed,
    without_itself,
)
from analytics.diagnosis.diagnose import diagnose
from analytics.diagnosis.explaining import record_clues
from analytics.diagnosis.model import ShopModel
from analytics.diagnosis.sharing import share_out
from tests.diagnosis.shops import ASKED, a_shop, asked_job, chance, faults, ordinary_jobs

WORN = 12.0


def fallen(power: float, jobs: int, seed: int = 5) -> tuple[Any, Any]:
    """Hazards of jobs with and without a fault, where faults follow hazards to a power."""
    rng = np.random.default_rng(seed)
    hazard = np.exp(rng.normal(-3, 1, jobs))
    real = hazard**power
    shown = rng.random(jobs) < -np.expm1(-0.02 * real / real.mean())
    return hazard[shown], hazard[~shown]


def test_before_any_log_the_record_counts_for_the_usual() -> None:
    assert belief([np.zeros_like(SLOPES)]) == pytest.approx(PROVED * USUAL, abs=0.01)


@pytest.mark.parametrize("power", [0.4, 1.0, 1.3])
def test_agreement_is_best_at_the_power_the_faults_follow(power: float) -> None:
    told = agreement(*fallen(power, 40_000), 1.0)
    assert SLOPES[told.argmax()] == pytest.approx(power, abs=0.15)


def test_ten_jobs_hardly_move_the_belief() -> None:
    told = agreement(np.array([0.03]), np.full(9, 0.1), 1.0)
    assert belief([told]) == pytest.approx(PROVED * USUAL, abs=0.08)


def test_some_of_the_sound_jobs_tell_what_all_do() -> None:
    faulty, sound = fallen(1.0, 20_000)
    whole, some = agreement(faulty, sound, 1.0), agreement(faulty, sound[::4], 0.25)
    assert belief([some]) == pytest.approx(belief([whole]), abs=0.03)


def test_a_shop_without_faults_tells_nothing() -> None:
    assert not agreement(np.array([]), np.full(50, 0.1), 1.0).any()


@pytest.mark.parametrize("left_out", [0, 1, 40])
def test_a_job_left_out_is_judged_nearly_as_if_it_had_never_been(left_out: int) -> None:
    rng = np.random.default_rng(3)
    exposed = np.column_stack([rng.random((80, 2)), np.ones(80)])
    shown = np.arange(80) < 12
    shape, rate = np.array([2.0, 1.0, 1.0]), np.array([8.0, 8.0, 40.0])
    totals = exposed.sum(axis=0)
    got = share_out(exposed[shown], shape, rate, totals)
    blamed = np.where(shown[:, None], exposed, 0.0)
    told = without_itself(exposed, blamed, shape, rate, got, totals)[left_out]
    rest = np.arange(80) != left_out
    again = share_out(exposed[shown & rest], shape, rate, exposed[rest].sum(axis=0))
    strength = (shape + again) / (rate + exposed[rest].sum(axis=0))
    assert told == pytest.approx(exposed[left_out] @ strength, rel=0.05)
    whole = exposed[left_out] @ ((shape + got) / (rate + totals))
    assert (told < whole) == bool(shown[left_out])


def test_full_belief_changes_nothing_and_none_leaves_what_is_usual() -> None:
    shares, usual = np.array([0.7, 0.2, 0.1]), np.array([0.2, 0.3, 0.5])
    np.testing.assert_allclose(believed(shares, usual, 1.0), shares)
    np.testing.assert_allclose(believed(shares, usual, 0.0), usual)


def test_what_is_impossible_stays_so_however_little_is_believed() -> None:
    told = believed(np.array([0.9, 0.0, 0.1]), np.array([0.2, 0.5, 0.3]), 0.5)
    assert told[1] == 0
    assert told.sum() == pytest.approx(1)


def a_stuck_shop(*, by_the_record: bool) -> tuple[ShopModel, float]:
    """Two hundred jobs, every tenth on worn-out release, twelve stuck; and the chance of that
    cause for one more stuck part on worn-out release.
    """
    jobs = ordinary_jobs(200)
    for job in jobs[::10]:
        job["pulls_since_renewal"] = WORN
    start = 0 if by_the_record else 3
    seen = [f for job in jobs[start:120:10] for f in faults(job["part_id"], "sticking")]
    asked = asked_job(pulls_since_renewal=WORN)
    model, table, log = a_shop([*jobs, asked], [*seen, *faults(ASKED, "sticking")])
    answer = diagnose(model, table, log.defects, ASKED)[0]
    return model, chance(answer, "release-worn-out")


def test_a_log_that_gives_the_trade_the_lie_makes_its_answer_less_sure() -> None:
    (right, sure), (wrong, unsure) = (a_stuck_shop(by_the_record=so) for so in (True, False))
    assert right.belief > 1.2 * wrong.belief
    assert sure > 0.6
    assert unsure < sure - 0.2


def with_agreement(model: ShopModel, power: float) -> ShopModel:
    """The model of a shop whose faults have proved this power."""
    sure = -1000 * (SLOPES - power) ** 2
    return replace(model, strengths=tuple(replace(s, agrees=sure) for s in model.strengths))


def test_weights_of_evidence_shown_are_those_that_were_believed() -> None:
    model, _ = a_stuck_shop(by_the_record=True)
    row = model.trade.cause_index("release-worn-out")
    family = model.trade.family_index("sticking")
    _, table, _ = a_shop([asked_job(pulls_since_renewal=WORN)], [])
    half, whole = (
        record_clues(with_agreement(model, power), row, family, table)[0][0].decibans
        for power in (0.5, 1.0)
    )
    assert whole > 3
    assert half == pytest.approx(whole / 2, abs=0.02)


def test_a_shop_whose_records_tell_little_is_told_so() -> None:
    model, table, log = a_shop(
        [*ordinary_jobs(60), asked_job(wax_coats=2.0)],
        [f for p in ("P0003", "P0009", "P0020", "P0031", ASKED) for f in faults(p, "sticking")],
    )
    doubted, trusted = (
        diagnose(with_agreement(model, power), table, log.defects, ASKED)[0].warnings
        for power in (0.4, 1.0)
    )
    assert any("lean more on what is usual" in warning for warning in doubted)
    assert not any("lean more on what is usual" in warning for warning in trusted)
