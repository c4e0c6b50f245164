"""A whole shop: models kept while nothing changes, cups and doses kept as records."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from analytics.catalyst import Cup
from analytics.errors import QuestionError
from analytics.shop import Shop
from tests.catalyst.test_advice import TEN

NOW = datetime(2025, 3, 4, 9, 30, 12)


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    opened = Shop.open(str(tmp_path / "shop.laylog"), now=lambda: NOW, environ={})
    yield opened
    opened.close()


def a_cup(minutes: float = 15.0, lot: str = "G-07") -> Cup:
    return Cup("gelcoat", lot, 19.0, 2.0, minutes)


def test_cup_test_is_kept_as_a_mix_and_teaches_the_model(shop: Shop) -> None:
    before = shop.catalyst(material="gelcoat", temperature_c=19.0, lot="G-07", dose_pct=2.0)
    answer = shop.cup_test(a_cup(26.0))
    mix = shop.log().batches.iloc[0]
    assert mix["batch_id"] == answer.kept == "CUP-20250304-093012"
    assert (mix["lot"], mix["material_c"], mix["catalyst_pct"]) == ("G-07", 19.0, 2.0)
    assert (mix["gel_min"], mix["gel_where"], mix["mass_kg"]) == (26.0, "cup", 0.1)
    since = shop.catalyst(material="gelcoat", temperature_c=19.0, lot="G-07", dose_pct=2.0)
    assert since.jobs_used == 1
    assert since.gel_min.median > before.gel_min.median
    assert since.gel_min.high / since.gel_min.low < before.gel_min.high / before.gel_min.low


def test_next_entry_begins_from_the_cup(shop: Shop) -> None:
    assert shop.last_mix("gelcoat") is None
    shop.cup_test(a_cup())
    last = shop.last_mix("gelcoat")
    assert last is not None
    assert (last.lot, last.temperature_c, last.catalyst_pct) == ("G-07", 19.0, 2.0)
    assert shop.last_mix("resin") is None


def test_bad_cup_keeps_nothing(shop: Shop) -> None:
    with pytest.raises(QuestionError, match="no gel time"):
        shop.cup_test(a_cup(900.0))
    assert shop.log().batches.empty


def test_model_is_learnt_once_for_one_state_of_the_store(shop: Shop) -> None:
    one = shop.gel_model("gelcoat")
    assert shop.gel_model("Gel coat") is one
    assert shop.gel_model("resin") is not one
    shop.cup_test(a_cup())
    assert shop.gel_model("gelcoat") is not one


def test_dose_set_is_written_down_once_and_can_be_taken_back(shop: Shop) -> None:
    advice = shop.catalyst(material="gelcoat", temperature_c=19.0, dose_pct=2.0)
    assert shop.set_dose(advice) is True
    assert shop.set_dose(advice) is False
    (one,) = shop.doses_set("gelcoat").decisions
    assert (one.catalyst_pct, one.at, one.outcome) == (2.0, NOW, None)
    assert shop.doses_set("resin").decisions == ()
    assert shop.unset_dose(one.name) is True
    assert shop.doses_set("gelcoat").decisions == ()


def test_gel_time_logged_after_setting_a_dose_stands_beside_it(shop: Shop) -> None:
    advice = shop.catalyst(material="gelcoat", temperature_c=19.0, dose_pct=2.0)
    shop.set_dose(advice)
    shop.cup_test(a_cup(advice.gel_min.median))
    outcome = shop.doses_set("gelcoat").decisions[0].outcome
    assert outcome is not None
    assert outcome.verdict == "as expected"


def test_all_ten_points_stand_beside_the_doses_set(shop: Shop) -> None:
    own = {"ml for this pot of 1.5 kg", "should gel in about"}
    told = shop.doses_set("gelcoat").cautions
    for words, caution in zip(TEN, told, strict=True):
        assert all(word in caution for word in words if word not in own), caution


def test_year_is_answered_for_an_empty_shop(shop: Shop) -> None:
    table = shop.season(material="gelcoat")
    assert len(table.months) == 12
    assert table.ask_first is not None
    assert all(month.warmth is None for month in table.months)
