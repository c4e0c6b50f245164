"""The measuring command measures what it says: small runs, no judgement of the figures."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from analytics.knowledge.loading import load_knowledge
from tests.benchmarks.diagnosis.__main__ import main
from tests.benchmarks.diagnosis.cases import Case
from tests.benchmarks.diagnosis.perturbed import multiplied, nature_of, perturbed
from tests.benchmarks.diagnosis.rivals import RIVALS
from tests.benchmarks.diagnosis.scores import (
    calibration_error,
    mean_values,
    part_weights,
    scored,
)

IDS = ["a", "b", "c", "?"]
VISIBLE = np.array([True, True, False, False])


def a_case(part: str, *mains: str, recorded: bool = True) -> Case:
    """A fault of `part` owed to `mains`."""
    return Case(part, "pinholes", mains[0], tuple((name,) for name in mains), recorded)


def test_smallest_run_reports_every_method_side_by_side(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = tmp_path / "told.json"
    small = ["--sizes", "60", "--shops", "1", "--failed", "15", "--innocent", "1"]
    assert main([*small, "--json", str(told)]) == 0
    text = capsys.readouterr().out
    measured = json.loads(told.read_text(encoding="utf-8"))
    assert list(measured["groups"]["60 parts"]) == list(RIVALS)
    assert all(f"| {name} " in text for name in RIVALS)
    assert measured["times"][0]["ratio"] > 0
    assert len(measured["innocent"]) == 1


def test_true_cause_named_first_or_third_is_told_apart() -> None:
    chances = np.array([[0.7, 0.2, 0.1, 0.0], [0.5, 0.3, 0.2, 0.0]])
    given = scored(chances, IDS, [a_case("P1", "a"), a_case("P2", "c")], VISIBLE)
    top1, top3, reciprocal, loss = given.values.T
    assert top1.tolist() == [1, 0]
    assert top3.tolist() == [1, 1]
    assert reciprocal.tolist() == pytest.approx([1, 1 / 3])
    assert loss.tolist() == pytest.approx([-np.log(0.7), -np.log(0.2)])


def test_either_of_two_tied_causes_counts_as_right() -> None:
    given = scored(np.array([[0.1, 0.9, 0.0, 0.0]]), IDS, [a_case("P1", "a", "b")], VISIBLE)
    assert given.hit.tolist() == [True]
    assert given.values[0, 3] == pytest.approx(-(np.log(0.1) + np.log(0.9)) / 2)


def test_honest_chances_have_a_small_calibration_error_and_boasts_a_large_one() -> None:
    rng = np.random.default_rng(1)
    chance = rng.random(20_000)
    true = rng.random(20_000) < chance
    one = np.ones((1, len(chance)))
    assert calibration_error(chance, true, one)[0] < 0.02
    # said 0.95 where half is true: off by 0.45
    assert calibration_error(np.full(20_000, 0.95), chance < 0.5, one)[0] == pytest.approx(
        0.45, abs=0.02
    )


def test_faults_of_one_part_are_drawn_together() -> None:
    cases = [a_case("P1", "a"), a_case("P1", "b"), a_case("P2", "a")]
    given = scored(np.tile([0.6, 0.4, 0.0, 0.0], (3, 1)), IDS, cases, VISIBLE)
    weights = part_weights(given.cluster)
    assert (weights[:, 0] == weights[:, 1]).all()
    assert mean_values(given, given.recorded, weights)[0, 0] == pytest.approx(2 / 3)


def test_bent_shops_each_have_a_nature_of_their_own() -> None:
    first, second = (nature_of(load_knowledge(), np.random.default_rng(seed)) for seed in (1, 2))
    assert first.strengths != second.strengths
    assert first.moved != second.moved


def test_a_bent_shop_is_the_same_for_the_same_seed() -> None:
    one, again = (next(perturbed(60, 1, load_knowledge(), most=10, seed=4)) for _ in range(2))
    assert one.cases
    assert one.cases == again.cases


def test_causes_that_multiply_do_more_together_than_apart() -> None:
    alone = multiplied({"too-cold": 0.2})["too-cold"]
    assert multiplied({"too-cold": 0.2, "gelcoat-too-thin": 0.2})["too-cold"] > 2 * alone
