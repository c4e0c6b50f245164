"""The year's doses: from the shop's own hours of work, beside what was done the last time."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import numpy as np
import pandas as pd
import pytest

from analytics.catalyst.advice import advise
from analytics.catalyst.dose_range import SheetRange
from analytics.catalyst.last_year import gel_time_faults
from analytics.catalyst.season import SeasonTable, season
from analytics.catalyst.sheet_gel import SheetGel
from analytics.errors import QuestionError
from analytics.records.log import Log
from tests.builders import a_log
from tests.catalyst.test_advice import TEN
from tests.catalyst.trade import the_trade

TODAY = date(2025, 11, 20)
WORK_C = {1: 16.0, 4: 19.0, 7: 26.0}


def ask(log: Log | None = None, **facts: Any) -> SeasonTable:
    usual = {"material": "gelcoat", "window_min": (12.0, 20.0), "today": TODAY}
    return season(log or Log.empty(), the_trade(), **{**usual, **facts})


def a_logged_year(night_c: float = 5.0) -> list[dict[str, Any]]:
    """Hourly readings of ten weekdays in January, April and July; nights are cold."""
    rows = []
    for month, work_c in WORK_C.items():
        for day in pd.bdate_range(f"2024-{month:02d}-01", periods=10):
            for hour in range(24):
                warm = 7 <= hour < 17
                rows.append({"timestamp": day + pd.Timedelta(hours=hour),
                             "air_c": work_c if warm else night_c})  # fmt: skip
    return rows


def a_mix(day: str, **facts: Any) -> dict[str, Any]:
    return {"material": "gelcoat", "date": day, "catalyst_pct": 1.5, "gel_min": 25.0, **facts}


def test_months_without_a_temperature_say_so() -> None:
    months = ask(a_log(logger=a_logged_year())).months
    assert [m.month for m in months if m.warmth is not None] == [1, 4, 7]
    empty = months[1]
    assert (empty.catalyst_pct, empty.gel_min, empty.chance, empty.feasible) == (None,) * 4


def test_only_hours_of_work_count() -> None:
    months = ask(a_log(logger=a_logged_year(night_c=-8.0))).months
    assert {m.month: m.warmth.median for m in months if m.warmth} == WORK_C


def test_dose_follows_the_season() -> None:
    months = {m.month: m for m in ask(a_log(logger=a_logged_year())).months}
    doses = [months[m].catalyst_pct for m in (1, 4, 7)]
    assert doses == sorted(doses, reverse=True)
    assert doses[0] > doses[2]


def test_steady_month_gets_the_dose_of_a_day_like_it() -> None:
    log = a_log(logger=a_logged_year())
    april = ask(log).months[3]
    day = advise(log, the_trade(), material="gelcoat", today=TODAY, temperature_c=19.0,
                 window_min=(12.0, 20.0))  # fmt: skip
    assert april.catalyst_pct == pytest.approx(day.catalyst_pct)
    assert april.chance == pytest.approx(day.chance)
    assert april.gel_min is not None
    assert april.gel_min.median == pytest.approx(day.gel_min.median)


def test_restless_month_has_a_wider_interval_and_a_lower_chance() -> None:
    steady = a_logged_year()
    restless = [{**row, "air_c": row["air_c"] + 5 * (-1) ** i} for i, row in enumerate(steady)]
    one, other = (ask(a_log(logger=rows)).months[3] for rows in (steady, restless))
    assert one.gel_min is not None
    assert other.gel_min is not None
    assert other.gel_min.high / other.gel_min.low > one.gel_min.high / one.gel_min.low
    assert (other.chance or 0) < (one.chance or 0)


def test_hours_of_work_are_learnt_from_start_times() -> None:
    parts = [{"date": "2024-04-02", "start_time": f"{6 + i % 8:02d}:30"} for i in range(40)]
    hours = ask(a_log(parts=parts)).hours
    assert (hours.start, hours.end, hours.starts) == (6, 15, 40)
    assert "from 40 logged start times" in hours.text


def test_hours_of_work_are_7_to_17_where_few_starts_are_logged_and_said() -> None:
    hours = ask(a_log(parts=[{"date": "2024-04-02", "start_time": "06:00"}])).hours
    assert (hours.start, hours.end, hours.starts) == (7, 17, 0)
    assert "taken as usual" in hours.text


def test_without_a_logger_the_mixes_own_temperatures_count() -> None:
    mixes = [a_mix(f"2024-05-{d:02d}", air_c=17.0, material_c=19.0) for d in range(1, 8)]
    may = ask(a_log(batches=mixes)).months[4]
    assert may.warmth is not None
    assert (may.warmth.median, may.warmth.source, may.warmth.readings) == (19.0, "job log", 7)


def test_four_readings_are_too_few_for_a_month() -> None:
    mixes = [a_mix(f"2024-05-{d:02d}", air_c=17.0) for d in range(1, 5)]
    assert ask(a_log(batches=mixes)).months[4].warmth is None


def test_logger_is_moved_by_how_far_resin_and_mould_lie_from_it() -> None:
    mixes = [
        a_mix(str(day.date()), time=f"{hour:02d}:00", material_c=22.0, mould_c=22.0)
        for day in pd.bdate_range("2024-04-01", periods=10)
        for hour in (9, 11, 14)
    ]
    table = ask(a_log(batches=mixes, logger=a_logged_year()))
    april = table.months[3].warmth
    assert april is not None
    assert april.median == pytest.approx(22.0)
    assert any("3.0 degrees C warmer than the logger's air" in line for line in table.warnings)


def test_cold_month_is_told_to_warm_and_not_to_dose() -> None:
    mixes = [a_mix(f"2024-01-{d:02d}", air_c=9.0) for d in range(1, 12)]
    january = ask(a_log(batches=mixes)).months[0]
    assert january.feasible is False
    assert any(line.startswith("Warm resin, mould and shop") for line in january.instead)
    assert january.warmth is not None
    assert january.warmth.outside == 1.0


@pytest.mark.parametrize("window", [(5.0, 8.0), (12.0, 20.0), (40.0, 60.0)])
def test_no_month_leaves_the_range(window: tuple[float, float]) -> None:
    table = ask(a_log(logger=a_logged_year()), window_min=window)
    doses = [m.catalyst_pct for m in table.months if m.catalyst_pct is not None]
    assert doses
    assert all(table.limits.low <= pct <= table.limits.high for pct in doses)


def a_january() -> Log:
    """Last January: four mixes, two gel times in 12 to 20 min, parts with and without a fault."""
    mixes = [
        a_mix("2025-01-10", batch_id="J1", gel_min=15.0, air_c=18),
        a_mix("2025-01-11", batch_id="J2", gel_min=18.0, air_c=18),
        a_mix("2025-01-12", batch_id="J3", gel_min=35.0, catalyst_pct=1.1, air_c=18),
        a_mix("2025-01-13", batch_id="J4", gel_min=None, catalyst_pct=1.3, air_c=18),
        a_mix("2024-01-13", batch_id="OLD", gel_min=99.0, air_c=18),
        a_mix("2025-01-14", batch_id="CUP-20250114-080000", gel_min=50.0, air_c=18),
    ]
    parts = [
        {"date": "2025-01-10", "gelcoat_batch_id": "J1", "outcome": "good"},
        {"date": "2025-01-11", "gelcoat_batch_id": "J2", "faults": ["cracking"]},
        {"date": "2025-01-12", "gelcoat_batch_id": "J3", "faults": ["wrinkling"]},
        {"date": "2025-01-13", "gelcoat_batch_id": "J4"},
    ]
    return a_log(parts=parts, batches=mixes)


def test_last_time_says_dose_gel_time_share_in_window_and_faults() -> None:
    last = ask(a_january()).months[0].last_time
    assert last is not None
    assert (last.month, last.mixes) == ("2025-01", 4)
    assert last.catalyst_pct == pytest.approx(1.4)
    assert last.gel_min == 18.0
    assert (last.in_window.count, last.in_window.out_of) == (2, 3)
    assert (last.faults.count, last.faults.out_of) == (1, 3)


def test_faults_are_counted_inside_and_outside_the_window() -> None:
    followed = ask(a_january()).followed
    assert (followed.inside.count, followed.inside.out_of) == (0, 2)
    assert (followed.outside.count, followed.outside.out_of) == (1, 1)


def test_running_month_is_not_last_time() -> None:
    mixes = [a_mix("2025-11-03"), a_mix("2024-11-03")]
    last = ask(a_log(batches=mixes)).months[10].last_time
    assert last is not None
    assert last.month == "2024-11"


def test_faults_that_follow_are_those_the_trade_lists_under_dose_and_gel_time() -> None:
    assert set(gel_time_faults(the_trade(), "gelcoat")) >= {"wrinkling", "pinholes", "tacky-face"}
    assert "wrinkling" not in gel_time_faults(the_trade(), "resin")
    assert "tacky-back" in gel_time_faults(the_trade(), "resin")


@pytest.mark.parametrize("logged", [True, False])
@pytest.mark.parametrize("material", ["gelcoat", "resin"])
def test_all_ten_points_stand_on_the_sheet(logged: bool, material: str) -> None:
    log = a_log(logger=a_logged_year()) if logged else Log.empty()
    table = ask(log, material=material)
    assert len(table.cautions) == 10
    own = {"ml for this pot of 1.5 kg", "should gel in about"}
    for words, caution in zip(TEN, table.cautions, strict=True):
        assert all(word in caution for word in words if word not in own), caution
    assert "1.16 g/ml" in table.cautions[1]


def test_data_sheet_gel_time_is_asked_for_first_and_used() -> None:
    log = a_log(logger=a_logged_year())
    blind, told = ask(log), ask(log, sheet_gel=SheetGel(30.0, 25.0, 1.8))
    assert blind.ask_first is not None
    assert told.ask_first is None
    assert (told.months[6].catalyst_pct or 0) > (blind.months[6].catalyst_pct or 0)


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"material": "paint"}, "no catalyst figure"),
        ({"window_min": (20.0, 12.0)}, "upside down"),
        ({"sheet_range": SheetRange(1.0, 3.0)}, "needs the supplier's data sheet"),
        ({"use": "structural"}, "without its data sheet"),
        ({"density_g_ml": 1160.0}, "no density of MEKP"),
    ],
)
def test_bad_question_gets_a_sentence(facts: dict[str, Any], words: str) -> None:
    with pytest.raises(QuestionError) as refused:
        ask(**facts)
    assert words in str(refused.value)


def test_answer_is_plain_json_with_every_month() -> None:
    answer = ask(a_january()).to_json()
    assert json.loads(json.dumps(answer)) == answer
    assert [month["month"] for month in answer["months"]] == list(range(1, 13))
    assert "taken as usual" in answer["hours"]["text"]


def test_chance_of_a_month_is_what_its_days_give() -> None:
    log = a_log(logger=a_logged_year())
    july = ask(log, window_min=(8.0, 14.0)).months[6]
    assert july.gel_min is not None
    assert july.chance is not None
    sd = np.log(july.gel_min.high / july.gel_min.low) / (2 * 1.645)
    drawn = np.exp(np.random.default_rng(1).normal(np.log(july.gel_min.median), sd, 50_000))
    assert np.mean((drawn >= 8) & (drawn <= 14)) == pytest.approx(july.chance, abs=0.02)
