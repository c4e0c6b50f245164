"""What the month in review counts, and what it refuses to count."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

import pandas as pd
import pytest

from analytics.errors import QuestionError
from analytics.jobs import jobs_table
from analytics.month import MonthReview, review_month
from tests.builders import a_log
from tests.month.shops import some_knowledge

KNOWLEDGE = some_knowledge()


def review(parts: Iterable[Mapping[str, Any]], month: str = "2024-03") -> MonthReview:
    log = a_log(parts=[{"mould_id": "M1", **part} for part in parts])
    return review_month(jobs_table(log), log, KNOWLEDGE, month=month)


def some(number: int, month: str, outcome: str | None = "good", **fields: Any) -> list[dict]:
    """So many parts spread over the first 28 days of a month; outcome None: nobody wrote one."""
    said = {} if outcome is None else {"outcome": outcome}
    return [{"date": f"{month}-{i % 28 + 1:02d}", **said, **fields} for i in range(number)]


def line(answer: MonthReview, defect: str) -> Any:
    return next(one for one in answer.defects if one.defect == defect)


def test_good_share_has_the_wilson_interval() -> None:
    # Newcombe 1998, Stat. Med. 17:857, table I method 3: 81 of 263 is 0.2553 to 0.3662.
    answer = review(some(81, "2024-03") + some(182, "2024-03", "rework"))
    assert (answer.good.count, answer.good.out_of) == (81, 263)
    assert answer.good.low == pytest.approx(0.2553, abs=5e-5)
    assert answer.good.high == pytest.approx(0.3662, abs=5e-5)


def test_a_part_without_a_result_is_unknown_not_good() -> None:
    answer = review(some(6, "2024-03") + some(4, "2024-03", None))
    assert (answer.parts, answer.unknown) == (10, 4)
    assert (answer.good.count, answer.good.out_of) == (6, 6)
    assert "4 of 10 parts have no result written" in answer.warnings[0]


def test_a_month_of_no_results_has_no_good_share() -> None:
    answer = review(some(5, "2024-03", None))
    assert answer.good.share is None
    assert any("No part has a result" in text for text in answer.warnings)


def test_rework_scrap_and_cost_are_summed_where_logged() -> None:
    bad = some(2, "2024-03", "rework", rework_min=90.0, cost=40.0)
    answer = review(bad + some(3, "2024-03", "scrap") + some(5, "2024-03"))
    assert (answer.rework_hours, answer.scrap, answer.cost) == (3.0, 3, 80.0)


def test_rework_nobody_wrote_is_unknown_not_nought() -> None:
    answer = review(some(5, "2024-03", "rework"))
    assert answer.rework_hours is None
    assert answer.cost is None


def test_later_parts_play_no_part() -> None:
    until_march = some(30, "2024-02") + some(20, "2024-03", faults=["pinholes"])
    later = some(40, "2024-04", faults=["sticking"])
    assert review(until_march).to_json() == review(until_march + later).to_json()


def test_order_of_rows_does_not_matter() -> None:
    parts = [
        {**part, "part_id": f"P{i}"}
        for i, part in enumerate(
            some(30, "2024-01") + some(30, "2024-02", faults=["pinholes"]) + some(20, "2024-03")
        )
    ]
    assert review(parts).to_json() == review(parts[::-1]).to_json()


def test_a_part_without_a_date_is_left_out() -> None:
    answer = review([*some(5, "2024-03"), {"outcome": "good"}])
    assert answer.parts == 5


@pytest.mark.parametrize(
    ("this", "verdict"),
    [(14, "more"), (0, "fewer"), (6, "usual")],
)
def test_a_defect_is_held_against_the_months_before(this: int, verdict: str) -> None:
    before = some(30, "2024-01", faults=["pinholes"]) + some(270, "2024-02")
    hit = some(this, "2024-03", faults=["pinholes"])
    answer = review(before + hit + some(60 - this if this else 100, "2024-03"))
    found = line(answer, "pinholes")
    assert (found.this_month.count, found.usual.count, found.usual.out_of) == (this, 30, 300)
    assert found.verdict == verdict


def test_a_rare_defect_that_could_not_have_shown_is_not_called_usual() -> None:
    before = some(1, "2024-01", faults=["wrinkling"]) + some(99, "2024-02")
    found = line(review(before + some(15, "2024-03")), "wrinkling")
    assert found.verdict == "not enough jobs to tell"
    assert found.text.endswith("not enough jobs to tell")


def test_one_odd_line_among_many_is_corrected_for_the_looks() -> None:
    # scipy.stats.fisher_exact gives 0.0194 (two-sided) for 7 of 40 against 6 of 120: alone it
    # would count, among five defects of which the others are as usual it must not.
    others = ["sticking", "print-through", "tacky-surface", "wrinkling"]
    before = some(6, "2024-01", faults=["pinholes"]) + some(54, "2024-01", faults=others)
    hit = some(7, "2024-03", faults=["pinholes"])
    quiet = [*some(18, "2024-03", faults=others), *some(15, "2024-03")]
    answer = review(before + some(60, "2024-02") + hit + quiet)
    found = line(answer, "pinholes")
    assert found.p_value == pytest.approx(0.0194, abs=5e-5)
    assert found.q_value > 0.05
    assert found.verdict != "more"


def test_a_group_takes_in_its_members_where_the_shop_used_the_group() -> None:
    parts = [
        *some(3, "2024-03", faults=["sticking"]),
        *some(2, "2024-03", faults=["sticking-whole"]),
        *some(20, "2024-03"),
    ]
    answer = review(parts)
    assert [one.defect for one in answer.defects] == ["sticking"]
    assert line(answer, "sticking").this_month.count == 5
    assert line(answer, "sticking").of_which == {"sticking": 3, "sticking-whole": 2}


def test_members_stand_alone_where_the_group_was_never_used() -> None:
    parts = some(2, "2024-03", faults=["sticking-whole"]) + some(20, "2024-03")
    assert [one.defect for one in review(parts).defects] == ["sticking-whole"]


def test_the_month_is_held_against_last_month_last_year_and_all_before() -> None:
    parts = [
        *some(40, "2023-03"),
        *some(40, "2024-02", "rework"),
        *some(36, "2024-03"),
        *some(4, "2024-03", "rework"),
    ]
    by_period = {one.period: one for one in review(parts).comparisons}
    assert by_period["February 2024"].verdict == "better"
    assert by_period["March 2023"].verdict == "no clear difference"
    assert by_period["all earlier months"].good.count == 40
    assert by_period["February 2024"].difference == pytest.approx(0.9)


def test_a_period_of_few_parts_is_not_compared() -> None:
    answer = review(some(4, "2024-02", "rework") + some(40, "2024-03"))
    assert answer.comparisons[0].verdict == "not enough jobs to tell"
    assert answer.comparisons[1].text.endswith("(no results written in March 2023).")


def test_the_strip_has_a_row_for_each_working_day() -> None:
    parts = [
        {"date": "2024-03-04", "outcome": "good", "air_c": 14.0, "humidity_pct": 60.0},
        {"date": "2024-03-04", "faults": ["pinholes"], "air_c": 16.0},
        {"date": "2024-03-06"},
    ]
    first, second = review(parts).days
    assert (first.parts, first.good, first.faulty, first.unknown) == (2, 1, 1, 0)
    assert first.defects == {"pinholes": 1}
    assert (first.air_c, first.humidity_pct) == (15.0, 60.0)
    assert (second.date.day, second.unknown, second.air_c) == (6, 1, None)


def test_the_first_month_has_nothing_to_be_compared_with() -> None:
    answer = review(some(40, "2024-03"))
    assert any("No earlier month has results" in text for text in answer.warnings)
    assert answer.signals == ()
    assert "not enough jobs to tell" in answer.not_enough[0]


def test_a_faulty_part_without_a_named_fault_is_told() -> None:
    answer = review(some(1, "2024-03", "scrap") + some(12, "2024-03"))
    assert any("1 faulty part has no fault named" in text for text in answer.warnings)
    assert answer.good.count == 12


def test_a_month_without_parts_names_the_first_and_the_last_month() -> None:
    with pytest.raises(QuestionError, match=r"January 2024 \(2024-01\) to March 2024 \(2024-03\)"):
        review(some(3, "2024-01") + some(3, "2024-03"), month="2024-02")


def test_an_empty_log_says_there_is_no_month() -> None:
    with pytest.raises(QuestionError, match="no month to review"):
        review([])


@pytest.mark.parametrize("text", ["", "march", "2024-13", "2024-00", "24-03", "0001-01", "2024/03"])
def test_a_month_written_wrongly_says_how_to_write_it(text: str) -> None:
    with pytest.raises(QuestionError, match="like 2024-03"):
        review(some(3, "2024-03"), month=text)


def test_the_answer_is_plain_json_with_the_fixed_keys() -> None:
    parts = some(40, "2024-02") + some(20, "2024-03", faults=["pinholes"])
    answer = json.loads(json.dumps(review(parts).to_json(), allow_nan=False))
    assert {"month", "parts", "good", "defects", "signals", "warnings"} <= set(answer)
    assert {"share", "low", "high"} <= set(answer["good"])
    assert answer["defects"][0]["defect"] == "pinholes"
    assert answer["days"][0]["date"] == "2024-03-01"


def test_a_part_number_used_twice_counts_as_two_parts() -> None:
    parts = [{"part_id": "7", "date": "2024-03-01", "outcome": "good"}] * 2
    assert review(parts).parts == 2


def test_outcome_alone_without_named_faults_is_enough() -> None:
    answer = review(some(40, "2024-02") + some(5, "2024-03", "scrap") + some(30, "2024-03"))
    assert answer.defects == ()
    assert answer.good.out_of == 35


def test_the_table_given_is_not_changed() -> None:
    log = a_log(parts=some(30, "2024-03", faults=["pinholes"], mould_id="M1"))
    jobs = jobs_table(log)
    before = jobs.copy(deep=True)
    review_month(jobs, log, KNOWLEDGE, month="2024-03")
    pd.testing.assert_frame_equal(jobs, before)
