"""What the log itself answers: the same place on that mould again, pulls getting harder."""

from __future__ import annotations

from typing import Any

import pytest

from analytics.diagnosis.answer import Diagnosis
from analytics.diagnosis.diagnose import diagnose
from tests.diagnosis.shops import ASKED, a_shop, asked_job, chance, ordinary_jobs

IN_THE_MOULD = (
    "fault-in-the-mould", "mould-rough-or-scratched", "mould-porous", "poor-draft",
    "flange-or-undercut-lock",
)  # fmt: skip


def stuck(part: str, place: str | None) -> dict[str, Any]:
    """A patch that stuck, at a place or nobody said where."""
    where = {"place": place} if place else {}
    return {"part_id": part, "defect": "sticking-patches", "words": "stuck", **where}


def why_stuck(place: str | None, others: list[dict[str, Any]], **seen: str) -> Diagnosis:
    """The answer for a part of mould M0 stuck at a place, after other faults of the shop."""
    jobs = [*ordinary_jobs(60), asked_job()]
    model, table, log = a_shop(jobs, [*others, stuck(ASKED, place)])
    checks = {name.replace("_", "-"): result for name, result in seen.items()}
    return diagnose(model, table, log.defects, ASKED, seen=checks)[0]


def in_the_mould(answer: Diagnosis) -> float:
    return sum(chance(answer, cause) for cause in IN_THE_MOULD)


def on_mould_m0(place: str) -> list[dict[str, Any]]:
    return [stuck(f"P{number:04d}", place) for number in (8, 24, 40)]


def test_the_same_place_again_on_that_mould_points_to_the_mould() -> None:
    again = why_stuck("left corner", on_mould_m0("Left corner."))
    elsewhere = why_stuck("left corner", on_mould_m0("middle"))
    assert in_the_mould(again) > 1.4 * in_the_mould(elsewhere)


def test_the_same_place_on_other_moulds_does_not() -> None:
    others = [stuck(f"P{number:04d}", "left corner") for number in (9, 25, 41)]
    same = in_the_mould(why_stuck("left corner", others))
    assert same <= in_the_mould(why_stuck("middle", others)) * 1.01


def test_a_place_usual_everywhere_says_less() -> None:
    everywhere = [stuck(f"P{n:04d}", "edge") for n in (1, 2, 3, 5, 6, 7, 9, 10, 11)]
    usual = why_stuck("edge", [*on_mould_m0("edge"), *everywhere])
    elsewhere = [stuck(d["part_id"], "middle") for d in everywhere]
    assert in_the_mould(usual) < in_the_mould(why_stuck("edge", [*on_mould_m0("edge"), *elsewhere]))


def test_a_check_somebody_did_is_not_answered_again_by_the_log() -> None:
    done = why_stuck("left corner", on_mould_m0("left corner"), where_map="random-patches")
    without = why_stuck(None, on_mould_m0("left corner"), where_map="random-patches")
    assert abs(in_the_mould(done) - in_the_mould(without)) < 1e-9


def worn(efforts: list[float | None], counter: list[float] | None = None) -> float:
    """Chance of worn release on a stuck part after pulls of its mould with these efforts."""
    counter = counter or [float(n) for n in range(2, 2 + len(efforts))]
    jobs = ordinary_jobs(40)
    pulls = [job for job in jobs if job["mould_id"] == "M0"][-len(efforts) + 1 :]
    rows = [*pulls, last := asked_job()]
    for job, effort, number in zip(rows, efforts, counter, strict=True):
        job |= {"demould_effort": effort, "pulls_since_renewal": number}
    model, table, log = a_shop([*jobs, last], [stuck(ASKED, None)])
    return chance(diagnose(model, table, log.defects, ASKED)[0], "release-worn-out")


def test_pulls_getting_harder_point_to_worn_release() -> None:
    assert worn([1.0, 2.0, 3.0, 4.0]) > 1.5 * worn([3.0, 2.0, 3.0, 3.0])


def test_effort_is_read_from_the_last_renewal_on() -> None:
    renewed = worn([1.0, 2.0, 1.0, 3.0], [8.0, 9.0, 0.0, 1.0])
    assert renewed < worn([1.0, 2.0, 3.0, 4.0], [0.0, 0.0, 0.0, 1.0])


def test_two_pulls_are_too_few_for_a_trend() -> None:
    same = worn([None, None, 1.0, 4.0])
    assert same == pytest.approx(worn([None, None, 4.0, 4.0]), abs=0.01)
