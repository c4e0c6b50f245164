"""The p chart of faulty parts: limits frozen from the base, a signal only strictly beyond."""

from __future__ import annotations

import pytest

from analytics.jobs import jobs_table
from analytics.month import review_month
from analytics.month.answer import Chart
from tests.builders import a_log
from tests.month.shops import some_knowledge

BASE = ["2023-01", "2023-02", "2023-03", "2023-04", "2023-05", "2023-06"]


def chart(faulty: list[int], of: int = 100, last: str = "2023-07") -> Chart:
    """The chart after six months of 10 % faulty and then a month of each of `faulty`."""
    months = [*BASE, *(f"2023-{7 + i:02d}" for i in range(len(faulty)))]
    counts = [of // 10] * len(BASE) + faulty
    parts = [
        {"date": f"{month}-10", "mould_id": "M1", "outcome": "rework" if i < bad else "good"}
        for month, bad in zip(months, counts, strict=True)
        for i in range(of)
    ]
    log = a_log(parts=parts)
    return review_month(jobs_table(log), log, some_knowledge(), month=last).chart


def test_limits_are_three_sigma_about_the_base() -> None:
    # 10 % of 100: sigma = sqrt(0.1 * 0.9 / 100) = 0.03 (NIST/SEMATECH e-Handbook 6.3.3.2).
    last = chart([10]).points[-1]
    assert (last.low, last.high) == pytest.approx((0.01, 0.19))


@pytest.mark.parametrize(("faulty", "beyond"), [(19, False), (20, True), (1, False), (0, True)])
def test_a_month_on_the_limit_is_not_beyond_it(faulty: int, beyond: bool) -> None:
    assert chart([faulty]).points[-1].beyond is beyond


def test_a_bad_month_does_not_widen_the_limits_it_is_judged_by() -> None:
    assert chart([60]).points[-1].high == pytest.approx(0.19)


def test_limits_stay_frozen_while_the_same_base_is_shown() -> None:
    later = chart([60, 10, 10], last="2023-07")
    assert later.points[-1].high == pytest.approx(0.19)
    assert (later.base_first, later.base_last) == ("2023-01", "2023-06")


def test_the_rule_that_fired_is_in_words() -> None:
    assert chart([20]).rule == "one month strictly beyond 3-sigma limits: above the upper limit"
    assert "inside the limits" in chart([19]).rule


def test_there_are_no_limits_without_a_base() -> None:
    early = chart([10], last="2023-05")
    assert early.centre is None
    assert all(point.high is None and not point.beyond for point in early.points)
