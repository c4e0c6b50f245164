"""Totals beside other months, what causes took, the weather of the days, and the control charts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
import pytest

from analytics.jobs import jobs_table
from analytics.month import review_month
from analytics.month.answer import MonthReview
from tests.builders import a_log
from tests.month.shops import a_shop, some_knowledge

KNOWLEDGE = some_knowledge()
Chance = dict[str, np.ndarray]


@dataclass(frozen=True)
class Total:
    """Faults owed to a cause, as whoever judged them says."""

    cause: str
    title: str
    expected: float
    low: float
    high: float
    confirmed: int
    faults: int


def bad(part: str, day: str, **fields: object) -> dict[str, object]:
    return {"part_id": part, "date": day, "mould_id": "M1", "outcome": "rework", **fields}


def small(**more: object) -> MonthReview:
    parts = [
        bad("A", "2024-03-04", faults=["sticking", "pinholes"], rework_min=120.0, cost=90.0),
        bad("B", "2024-03-05", faults=["sticking"], rework_min=60.0, outcome="scrap", cost=30.0),
        bad("C", "2024-02-05", faults=["sticking"], rework_min=30.0),
        bad("D", "2023-03-05", faults=["sticking"]),
        {"part_id": "E", "date": "2024-02-06", "mould_id": "M1", "outcome": "good"},
    ]
    log = a_log(parts=parts, logger=more.pop("logger", []))
    return review_month(jobs_table(log), log, KNOWLEDGE, month="2024-03", **more)


def test_totals_stand_beside_last_month_a_year_ago_and_the_usual_month() -> None:
    told = small().totals
    assert [one.period.split(" (")[0] for one in told] == [
        "March 2024", "February 2024", "March 2023", "a usual month",
    ]  # fmt: skip
    assert [one.rework_hours for one in told] == [3.0, 0.5, None, 0.25]
    assert (told[0].scrap, told[0].cost, told[1].cost) == (1.0, 120.0, None)
    assert (told[3].months, told[3].parts) == (2, 1.5)


def owed_frame() -> pd.DataFrame:
    rows = [
        ("A", "sticking", "wax", 0.75), ("A", "sticking", "", 0.25), ("A", "pinholes", "air", 1.0),
        ("B", "sticking", "wax", 1.0), ("C", "sticking", "wax", 0.5), ("C", "sticking", "air", 0.5),
        ("D", "sticking", "", 1.0),
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=["part_id", "defect", "cause", "share"])


def test_hours_scrap_and_cost_are_shared_out_over_the_causes_and_add_up() -> None:
    totals = [
        Total("air", "Air", 1.0, 0.5, 1.5, 0, 3), Total("wax", "Wax", 1.75, 1, 2, 1, 3),
        Total("", "", 0.25, 0, 1, 0, 3),
    ]  # fmt: skip
    review = small(owed=owed_frame(), owed_totals=totals)
    lines = {line.cause: line for line in review.causes}
    assert [line.cause for line in review.causes] == ["wax", "air", ""]
    # Part A has two faults, so each bears an hour of its two; the wax three quarters of one.
    assert lines["wax"].rework_hours == pytest.approx(0.75 + 1.0)
    assert lines["air"].rework_hours == pytest.approx(1.0)
    assert sum(line.cost for line in review.causes) == pytest.approx(120.0)
    assert sum(line.scrap for line in review.causes) == pytest.approx(1.0)
    assert (lines["wax"].last_month, lines["wax"].year_ago) == (0.5, 0.0)
    assert lines[""].title == "Something no record shows"


def test_no_cause_model_no_causes() -> None:
    assert small().causes == ()


def test_the_days_have_the_loggers_range_of_the_working_hours() -> None:
    logger = [
        {
            "logger_id": "L",
            "timestamp": f"2024-03-04 {hour:02d}:00",
            "air_c": air,
            "humidity_pct": 60,
        }
        for hour, air in ((3, 2.0), (8, 11.0), (14, 17.0), (22, 5.0))
    ]
    first, second = small(logger=logger).days[:2]
    assert (first.air_low_c, first.air_high_c) == (11.0, 17.0)
    assert second.air_low_c is None


def chart(review: MonthReview, kind: str):  # type: ignore[no-untyped-def]
    return next(one for one in review.charts if one.kind == kind)


def rising(parts: pd.DataFrame, chance: Chance) -> None:
    chance["pinholes"][(parts["date"] >= "2023-04-01").to_numpy()] = 0.35
    parts.loc[parts["date"] >= "2023-04-01", "gc_dose"] += 0.6


def test_charts_say_their_base_and_which_rule_fired() -> None:
    shop = a_shop(71, plant=rising)
    review = review_month(shop.jobs, shop.log, KNOWLEDGE, month="2023-05")
    u = chart(review, "u")
    assert u.base == "limits from 12 points, 2022-01 to 2022-12"
    assert u.rule == "beyond the limits, above the usual"
    assert [point.fired for point in u.points][-2:] == [True, True]
    dose = chart(review, "individuals")
    assert dose.subject == "gelcoat_catalyst_pct"
    assert dose.fired
    summed = chart(review, "cusum")
    assert summed.subject == "pinholes"
    assert summed.rule == "the sum of what was too many is beyond its limit"


def test_limits_do_not_move_when_a_bad_month_comes() -> None:
    shop, quiet = a_shop(71, plant=rising), a_shop(71)
    limits = [
        [point.high for point in chart(
            review_month(one.jobs, one.log, KNOWLEDGE, month="2023-05"), "u").points][:12]
        for one in (shop, quiet)
    ]  # fmt: skip
    assert limits[0] == limits[1]


def test_a_rare_defect_is_charted_by_what_lies_between_two() -> None:
    shop = a_shop(72, rates={"sticking": 0.05, "wrinkling": 0.012})
    review = review_month(shop.jobs, shop.log, KNOWLEDGE, month="2023-06")
    g, t = chart(review, "g"), chart(review, "t")
    assert (g.subject, t.subject) == ("wrinkling", "wrinkling")
    assert g.good_is_high
    assert (g.unit, t.unit) == ("good parts", "days")
    found = shop.log.defects.query("defect == 'wrinkling'").merge(shop.jobs, on="part_id")
    days = np.diff(np.sort(found["date"].to_numpy("datetime64[D]")).astype(int))
    assert [point.value for point in t.points] == pytest.approx(list(days[-30:]))


def test_a_common_defect_has_no_such_chart() -> None:
    shop = a_shop(73, rates={"sticking": 0.2})
    review = review_month(shop.jobs, shop.log, KNOWLEDGE, month="2023-06")
    assert not [one for one in review.charts if one.kind in ("g", "t")]


def test_a_short_log_has_no_limits_to_show() -> None:
    assert small().charts == ()


def test_months_that_differ_more_than_luck_widen_the_p_chart() -> None:
    # Laney 2002, Qual. Eng. 14:531: extra spread from the moving ranges of z, on both sides.
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        odd = parts["date"].dt.month.to_numpy() % 2 == 0
        chance["sticking"][:] = np.where(odd, 0.30, 0.05)

    shop = a_shop(74, rates={"sticking": 0.05}, plant=plant)
    wide = review_month(shop.jobs, shop.log, KNOWLEDGE, month="2023-06").chart
    plain = review_month(*_quiet(), KNOWLEDGE, month="2023-06").chart
    assert (wide.widened, plain.widened) == (True, False)
    assert not wide.points[-1].beyond


def _quiet():  # type: ignore[no-untyped-def]
    shop = a_shop(75, rates={"sticking": 0.15})
    return shop.jobs, shop.log


def test_a_signal_is_news_once_and_then_seen_before() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        chance["pinholes"][(parts["date"] >= "2023-03-01").to_numpy()] *= 6

    shop = a_shop(76, plant=plant)
    first, second = (
        next(
            one
            for one in review_month(shop.jobs, shop.log, KNOWLEDGE, month=month).signals
            if (one.kind, one.subject) == ("defect", "pinholes")
        )
        for month in ("2023-03", "2023-04")
    )
    assert (first.new, first.last_shown) == (True, None)
    assert (second.new, second.last_shown) == (False, "2023-03")


def test_what_the_trade_does_not_lay_to_a_lot_weighs_less() -> None:
    from dataclasses import replace

    from analytics.month.periods import Month
    from analytics.month.results import results_of
    from analytics.month.suspects import suspect_looks
    from analytics.month.tally import Tally
    from analytics.month.usual import usual_chances

    cause = next(iter(KNOWLEDGE.causes.values()))
    lot = replace(cause, group="gelcoat_lot", levels={"pinholes": 2})
    knowing = replace(KNOWLEDGE, causes={"bad-lot": lot})
    shop = a_shop(77, rates={"pinholes": 0.05, "sticking": 0.05})
    results = results_of(shop.jobs, shop.log, knowing, Month.read("2023-06"))
    tally = Tally(results, usual_chances(results))
    weights = {(look.weight > 0.1) for look in suspect_looks(results, tally, knowing)}
    plain = [look.weight for look in suspect_looks(results, tally, KNOWLEDGE)]
    told = [look.weight for look in suspect_looks(results, tally, knowing)]
    assert weights
    assert sum(told) < sum(plain)
    assert max(told) == max(plain)
