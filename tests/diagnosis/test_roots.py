"""The first cause, not the last: a wait the cold made too short is put down to the cold."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from analytics.diagnosis.many_faults import Faults, hazard_shares
from tests.diagnosis.shops import a_shop, chance, faults, ordinary_jobs, the, why

# common practice, no published source: cold, long gel, backed up early by the clock, wrinkling
COLD_BY_THE_CLOCK = [
    ("wrinkling", {"backup_hours": 1.6, "gelcoat_wet_mm": 0.5}, "backed-up-too-soon"),
    ("warping", {"demould_hours": 18.0}, "demoulded-too-early"),
]


@pytest.mark.parametrize(("defect", "recorded", "wait"), COLD_BY_THE_CLOCK)
def test_wait_long_enough_by_the_clock_is_put_down_to_the_cold(
    defect: str, recorded: dict[str, float], wait: str
) -> None:
    answer = why(defect, air_c=7.0, **recorded)
    assert answer.causes[0].cause == "too-cold"
    assert chance(answer, wait) < 0.1


@pytest.mark.parametrize(
    ("defect", "recorded", "wait"),
    [
        ("wrinkling", {"backup_hours": 0.4, "gelcoat_wet_mm": 0.5}, "backed-up-too-soon"),
        ("warping", {"demould_hours": 2.0}, "demoulded-too-early"),
    ],
)
@pytest.mark.parametrize("air_c", [14.0, 20.0, 26.0])
def test_wait_too_short_by_the_clock_stays_the_hand_s_at_any_temperature(
    defect: str, recorded: dict[str, float], wait: str, air_c: float
) -> None:
    assert why(defect, air_c=air_c, **recorded).causes[0].cause == wait


def test_both_causes_say_what_the_cold_did() -> None:
    answer = why("warping", air_c=7.0, demould_hours=10.0)
    said = "the cold made 10 h in the mould count like"
    (behind,) = (c for c in the(answer, "too-cold").clues_for if c.text.startswith(said))
    (left,) = (
        c for c in the(answer, "demoulded-too-early").clues_against if c.text.startswith(said)
    )
    assert behind.decibans == pytest.approx(-left.decibans)


def test_nothing_is_moved_where_cold_does_not_bring_the_fault() -> None:
    answer = why("dull-surface", air_c=7.0, demould_hours=10.0)
    assert "too-cold" not in {c.cause for c in answer.causes}
    assert chance(answer, "demoulded-too-early") > 0.1


def test_colder_never_clears_the_cold() -> None:
    told = [chance(why("warping", air_c=c, demould_hours=12.0), "too-cold") for c in (16, 12, 8, 4)]
    assert told == sorted(told)


def test_many_faults_at_once_are_put_down_to_the_same_root() -> None:
    jobs = ordinary_jobs(40)
    jobs[5] |= {"air_c": 7.0, "demould_hours": 18.0}
    part = jobs[5]["part_id"]
    model, table, _ = a_shop(jobs, faults(part, "warping"))
    row = int(np.flatnonzero((table["part_id"] == part).to_numpy(dtype=bool))[0])
    one = Faults(
        np.array([row]),
        np.array([part], dtype=object),
        np.array(["warping"], dtype=object),
        np.array([model.trade.family_index("warping")]),
    )
    shares = pd.Series(hazard_shares(model, table, one)[0][:-1], [c.id for c in model.trade.causes])
    assert shares["too-cold"] > 10 * shares["demoulded-too-early"]
