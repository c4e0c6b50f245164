"""What a review promises over many months: few false alarms, few changes missed, in a second."""

from __future__ import annotations

from time import process_time

from analytics.month import review_month
from tests.month.shops import a_shop, some_knowledge

SHOPS = 20
EVERY = 3


def test_quiet_months_bring_at_most_one_false_alarm_a_year() -> None:
    knowledge, alarms, reviews = some_knowledge(), 0, 0
    for seed in range(SHOPS):
        shop = a_shop(700 + seed, months=24)
        for month in sorted(shop.jobs["month"].unique())[12::EVERY]:
            alarms += len(review_month(shop.jobs, shop.log, knowledge, month=month).signals)
            reviews += 1
    # One a year is 80 / 12 = 6.7 alarms in these reviews; 3.3 is the spread of such a count.
    assert reviews == 80
    assert alarms <= 10


def test_a_defect_that_trebled_is_mostly_found_within_three_months() -> None:
    def plant(parts, chance) -> None:  # type: ignore[no-untyped-def]
        chance["sticking"][(parts["date"] >= "2023-01-01").to_numpy()] *= 3

    knowledge, found = some_knowledge(), 0
    for seed in range(10):
        shop = a_shop(800 + seed, months=15, plant=plant)
        answers = (
            review_month(shop.jobs, shop.log, knowledge, month=month)
            for month in ("2023-01", "2023-02", "2023-03")
        )
        found += any(
            signal.defect == "sticking" and not signal.fell
            for answer in answers
            for signal in answer.signals
        )
    assert found >= 8


def test_twenty_thousand_parts_are_reviewed_in_a_second() -> None:
    shop, knowledge = a_shop(900, months=20, parts_a_month=1000), some_knowledge()
    spent = []
    for _ in range(2):
        begun = process_time()
        review_month(shop.jobs, shop.log, knowledge, month="2023-08")
        spent.append(process_time() - begun)
    assert min(spent) < 1.0
