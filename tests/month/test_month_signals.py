"""What stands out: planted changes are found, dated and named; where none is, none is."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import numpy as np
import pandas as pd
import pytest

from analytics.month import MonthReview, review_month
from analytics.month.answer import Signal
from tests.month.shops import PEOPLE, Shop, a_shop, some_knowledge

KNOWLEDGE = some_knowledge()
Chance = dict[str, np.ndarray]
Found = Callable[[MonthReview], Signal]


def review(shop: Shop, month: str) -> MonthReview:
    return review_month(shop.jobs, shop.log, KNOWLEDGE, month=month)


def the(answer: MonthReview, kind: str, subject: str, defect: str | None = None) -> Signal:
    found = [
        one
        for one in answer.signals
        if (one.kind, one.subject) == (kind, subject) and defect in (None, one.defect)
    ]
    assert found, [(one.kind, one.subject, one.defect) for one in answer.signals]
    return found[0]


def near(signal: Signal, day: str) -> bool:
    assert signal.since is not None
    return abs((signal.since - date.fromisoformat(day)).days) <= 30


def since(parts: pd.DataFrame, day: str) -> np.ndarray:
    return (parts["date"] >= day).to_numpy()


def test_a_defect_that_trebled_is_found_and_dated() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        chance["pinholes"][since(parts, "2023-03-10")] *= 4

    answer = review(a_shop(1, plant=plant), "2023-05")
    found = the(answer, "defect", "pinholes")
    assert near(found, "2023-03-10")
    assert found.text.startswith("More pinholes: ")
    assert found.now is not None
    assert found.jobs == found.now.out_of
    assert len(found.part_ids) == found.now.count
    assert found.since_earliest <= found.since <= found.since_latest


def test_a_defect_that_went_away_is_good_news_with_a_date() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        chance["sticking"][:] = 0.25
        chance["sticking"][since(parts, "2023-02-01")] = 0.02

    found = the(review(a_shop(2, plant=plant), "2023-05"), "defect", "sticking")
    assert found.fell
    assert found.text.startswith("Fewer parts with sticking: ")
    assert near(found, "2023-02-01")


def test_a_mould_gone_bad_is_named_with_its_counts_and_date() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        chance["sticking"][since(parts, "2023-03-14") & (parts["mould_id"] == "M02")] = 0.45

    found = the(review(a_shop(103, plant=plant), "2023-05"), "mould", "M02", "sticking")
    assert near(found, "2023-03-14")
    assert found.text.startswith("Sticking on mould M02: ")
    assert ", before " in found.text
    assert found.now.share > 5 * found.before.share


def test_a_rise_that_is_all_on_one_mould_says_so() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        chance["sticking"][since(parts, "2023-03-14") & (parts["mould_id"] == "M02")] = 0.6

    answer = review(a_shop(103, plant=plant), "2023-05")
    shopwide = the(answer, "defect", "sticking")
    assert shopwide.text.endswith("Leave out parts on mould M02 and nothing is left of it.")


def test_a_bad_lot_is_named_since_its_first_part() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        # Two drums open at a time, so that the shop has something to compare the bad one with.
        odd = since(parts, "2023-03-06") & (np.arange(len(parts)) % 2 == 0)
        parts.loc[odd, "gc_lot"] = "G99"
        chance["pinholes"][odd] = 0.3

    answer = review(a_shop(4, plant=plant), "2023-05")
    found = the(answer, "gelcoat_lot", "G99", "pinholes")
    assert found.since == date(2023, 3, 6)
    assert "with gel-coat lot G99" in found.text
    assert "the others" in found.text


def test_a_lot_is_not_blamed_for_the_mould_it_was_used_on() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        bad_mould = (parts["mould_id"] == "M03").to_numpy()
        chance["sticking"][bad_mould] = 0.4
        parts.loc[since(parts, "2023-02-01") & bad_mould, "gc_lot"] = "G77"

    answer = review(a_shop(5, plant=plant), "2023-05")
    assert not [one for one in answer.signals if one.subject == "G77"]


def test_a_lot_the_whole_shop_works_from_is_not_blamed_for_what_the_shop_changed() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        changed = since(parts, "2023-04-01")
        chance["sticking"][changed] = 0.3
        parts.loc[changed & (np.arange(len(parts)) % 10 > 0), "rs_lot"] = "R77"

    answer = review(a_shop(19, plant=plant), "2023-05")
    assert not [one for one in answer.signals if one.subject == "R77"]
    rise = the(answer, "defect", "sticking")
    assert any(one.startswith("resin lot R77") for one in rise.confounded_with)


def test_a_new_hand_and_a_new_lot_in_the_same_weeks_are_named_together() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        both = since(parts, "2023-03-01") & (parts["operator"] == PEOPLE[1])
        parts.loc[both, "operator"] = "Gus"
        parts.loc[both, "gc_lot"] = "G55"
        chance["pinholes"][both] = 0.4

    answer = review(a_shop(6, plant=plant), "2023-05")
    person = the(answer, "operator", "Gus", "pinholes")
    lot = the(answer, "gelcoat_lot", "G55", "pinholes")
    assert any(one.startswith("gel-coat lot G55") for one in person.confounded_with)
    assert any(one.startswith("person Gus") for one in lot.confounded_with)


def test_a_bystander_is_not_blamed() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        changed = since(parts, "2023-03-01")
        chance["print-through"][changed] = 0.2
        parts.loc[changed & (np.arange(len(parts)) % 4 == 0), "operator"] = "Gus"

    answer = review(a_shop(7, plant=plant), "2023-05")
    assert not [one for one in answer.signals if one.kind == "operator"]
    rise = the(answer, "defect", "print-through")
    assert any(one.startswith("person Gus") for one in rise.confounded_with)


def test_a_condition_that_came_up_and_goes_with_a_defect_is_named() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        stretched = since(parts, "2023-05-01")
        parts.loc[stretched, "pulls_since_renewal"] += 4
        chance["sticking"][(parts["pulls_since_renewal"] >= 6).to_numpy()] = 0.35

    answer = review(a_shop(8, plant=plant), "2023-05")
    found = the(answer, "condition", "pulls_since_renewal", "sticking")
    assert "parts this month, before" in found.text
    assert "Sticking when so" in found.text


def test_two_conditions_on_the_same_parts_are_named_together() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        stretched = since(parts, "2023-05-01")
        parts.loc[stretched, "pulls_since_renewal"] += 5
        parts.loc[stretched, "pva_dry_min"] = 8.0
        chance["sticking"][stretched] = 0.5

    answer = review(a_shop(8, plant=plant), "2023-05")
    pulls = the(answer, "condition", "pulls_since_renewal", "sticking")
    film = the(answer, "condition", "pva_dry_min", "sticking")
    assert any("film drying" in one.lower() for one in pulls.confounded_with)
    assert any("pulls since" in one.lower() for one in film.confounded_with)


def test_a_condition_as_common_as_ever_does_not_stand_out() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        chance["sticking"][(parts["pulls_since_renewal"] >= 5).to_numpy()] = 0.4

    answer = review(a_shop(9, plant=plant), "2023-05")
    assert not [one for one in answer.signals if one.kind == "condition"]


def test_a_dose_that_drifted_is_found_and_dated() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        parts.loc[since(parts, "2023-03-01"), "gc_dose"] += 0.3

    found = the(review(a_shop(10, plant=plant), "2023-05"), "process", "gelcoat_catalyst_pct")
    assert near(found, "2023-03-01")
    assert found.defect is None
    assert found.text.startswith("Gel-coat catalyst has moved: middle 2.13 % by mass since ")


def test_a_dose_that_follows_the_season_is_no_drift() -> None:
    answer = review(a_shop(11, months=24), "2023-07")
    assert not [one for one in answer.signals if one.kind == "process"]


def test_results_no_longer_written_are_a_signal_of_their_own() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        rng = np.random.default_rng(1)
        parts["unwritten"] = since(parts, "2023-04-01") & (rng.random(len(parts)) < 0.4)

    answer = review(a_shop(12, plant=plant), "2023-05")
    found = the(answer, "reporting", "result")
    assert near(found, "2023-04-01")
    assert "missing on" in found.text
    assert not [one for one in answer.signals if one.kind == "defect"]


def test_faults_no_longer_written_are_not_taken_for_better_work() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        for defect in chance:
            chance[defect][since(parts, "2023-03-01")] = 0.0

    answer = review(a_shop(13, plant=plant), "2023-05")
    found = the(answer, "reporting", "faults")
    assert near(found, "2023-03-01")
    assert "no longer written down" in found.text
    assert not [one for one in answer.signals if one.kind == "defect"]


def test_a_person_who_stops_writing_faults_is_named() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        quiet = since(parts, "2023-02-01") & (parts["operator"] == "Ann")
        for defect in chance:
            chance[defect] *= 2
            chance[defect][quiet] = 0.0

    answer = review(a_shop(14, plant=plant), "2023-05")
    assert near(the(answer, "reporting", "Ann"), "2023-02-01")


def test_a_reading_no_longer_taken_is_told() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        parts.loc[since(parts, "2023-04-01"), "gelcoat_wet_mm"] = np.nan

    found = the(review(a_shop(15, plant=plant), "2023-05"), "reporting", "gelcoat_wet_mm")
    assert near(found, "2023-04-01")


def test_what_used_to_go_wrong_and_no_longer_does_is_not_news() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        spell = since(parts, "2022-03-01") & ~since(parts, "2022-06-01")
        chance["pinholes"][spell] = 0.3

    answer = review(a_shop(16, months=24, plant=plant), "2023-11")
    assert not [one for one in answer.signals if one.defect == "pinholes" and not one.fell]


def test_few_parts_are_said_to_be_too_few() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        last = np.flatnonzero(since(parts, "2023-05-25"))[:2]
        parts.loc[parts.index[last], "mould_id"] = "M09"

    answer = review(a_shop(17, plant=plant), "2023-05")
    assert "mould M09: not enough jobs to tell." in answer.not_enough


def test_the_only_mould_has_nothing_to_be_compared_with() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        parts["mould_id"] = "M01"

    answer = review(a_shop(17, plant=plant), "2023-05")
    said = "mould M01: on nearly every part, so nothing to compare with."
    assert said in answer.not_enough


def test_strength_says_how_often_luck_alone_would_do_it() -> None:
    def plant(parts: pd.DataFrame, chance: Chance) -> None:
        chance["pinholes"][since(parts, "2023-03-10")] *= 6

    found = the(review(a_shop(18, plant=plant), "2023-05"), "defect", "pinholes")
    assert found.strength.startswith("strong: luck alone would show as much in ")
    assert found.p_value <= found.q_value < 0.001


@pytest.mark.parametrize("seed", range(20, 26))
def test_where_nothing_is_planted_nothing_strong_is_blamed(seed: int) -> None:
    answer = review(a_shop(seed), "2023-05")
    assert not [one for one in answer.signals if one.strength.startswith("strong")]
