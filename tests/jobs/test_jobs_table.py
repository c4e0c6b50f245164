"""The table every question reads: what is joined, what is filled and marked, what stays unknown."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pandas as pd
import pytest

from analytics.jobs import MIX_FIELDS, MIX_ROLES, jobs_table
from analytics.records.fields import dictionary
from analytics.records.log import Log
from tests.builders import a_log

DAY = "2024-03-04"


def table(log: Log) -> pd.DataFrame:
    return jobs_table(log).set_index("part_id")


def told(values: Iterable[Any]) -> list[Any]:
    """Values with None for whatever is missing."""
    return [None if pd.isna(value) else value for value in values]


def readings(*rows: tuple[str, float | None, float | None]) -> list[dict[str, Any]]:
    return [{"timestamp": when, "air_c": air, "humidity_pct": humid} for when, air, humid in rows]


# ---------------------------------------------------------------- shape


def test_an_empty_log_gives_an_empty_table_with_every_column() -> None:
    jobs = jobs_table(Log.empty())
    mixes = {f"{role}_{field}" for role in MIX_ROLES for field in MIX_FIELDS}
    assert len(jobs) == 0
    assert set(jobs) >= {field.id for field in dictionary().of("part")} | mixes
    assert set(jobs) >= {"dew_margin_c", "night_low_c", "backup_h20", "laying_over_gel", "month"}


def test_one_part_with_nothing_but_a_number_is_one_row_of_unknowns() -> None:
    job = jobs_table(a_log(parts=[{"part_id": "P1"}])).iloc[0]
    known = {name for name, value in job.items() if pd.notna(value)}
    assert known == {"part_id"}


def test_rows_come_by_day_then_start_then_number_whatever_the_order_in_the_log() -> None:
    parts = [
        {"part_id": "D", "date": "2024-03-05"},
        {"part_id": "C", "date": DAY, "start_time": "13:00"},
        {"part_id": "B", "date": DAY, "start_time": "09:00"},
        {"part_id": "A", "date": DAY, "start_time": "09:00"},
    ]
    assert list(jobs_table(a_log(parts=parts))["part_id"]) == ["A", "B", "C", "D"]
    pd.testing.assert_frame_equal(
        jobs_table(a_log(parts=parts)), jobs_table(a_log(parts=parts[::-1]))
    )


def test_the_log_itself_is_left_alone() -> None:
    log = a_log(parts=[{"date": DAY}], logger=readings((f"{DAY} 10:00", 18, 60)))
    before = log.parts.copy()
    jobs_table(log)
    pd.testing.assert_frame_equal(log.parts, before)


def test_a_blank_yes_or_no_stays_unknown() -> None:
    jobs = table(a_log(parts=[{"pva_used": None}, {"pva_used": False}]))
    assert told(jobs["pva_used"]) == [None, False]


def test_the_month_is_the_year_and_the_month() -> None:
    jobs = table(a_log(parts=[{"date": DAY}, {}]))
    assert told(jobs["month"]) == [None, "2024-03"]


# ---------------------------------------------------------------- mixes


def test_each_part_gets_its_gelcoat_and_its_resin_mix() -> None:
    log = a_log(
        parts=[{"gelcoat_batch_id": "G1", "resin_batch_id": "R1"}],
        batches=[
            {"batch_id": "R1", "catalyst_pct": 1.5, "lot": "0077"},
            {"batch_id": "G1", "catalyst_pct": 2.0, "gel_min": 14},
        ],
    )
    job = table(log).loc["P1"]
    assert (job["gelcoat_catalyst_pct"], job["gelcoat_gel_min"]) == (2.0, 14.0)
    assert (job["resin_catalyst_pct"], job["resin_lot"]) == (1.5, "0077")


def test_a_mix_nobody_wrote_down_is_unknown_not_another_one() -> None:
    log = a_log(parts=[{"gelcoat_batch_id": "G9"}, {}], batches=[{"batch_id": "G1", "gel_min": 9}])
    assert told(table(log)["gelcoat_gel_min"]) == [None, None]


# ---------------------------------------------------------------- air


def test_the_parts_own_air_comes_before_its_mixes_and_the_logger() -> None:
    log = a_log(
        parts=[
            {"part_id": "own", "air_c": 17, "gelcoat_batch_id": "G1"},
            {"part_id": "mix", "gelcoat_batch_id": "G1"},
            {"part_id": "logger"},
            {"part_id": "nowhere", "start_time": "20:00"},
        ],
        batches=[{"batch_id": "G1", "air_c": 18}],
        logger=readings((f"{DAY} 10:00", 19, None)),
    )
    log.parts["date"] = pd.Timestamp(DAY)
    jobs = table(log).loc[["own", "mix", "logger", "nowhere"]]
    assert told(jobs["air_c"]) == [17, 18, 19, None]
    assert told(jobs["air_c_from"]) == ["part", "mix", "logger", None]


@pytest.mark.parametrize(
    ("start", "air_c"),
    [("10:25", 18.0), ("10:35", 20.0), ("12:00", 20.0), ("12:01", None), ("08:59", None)],
)
def test_the_logger_reading_nearest_the_start_counts_within_an_hour(
    start: str, air_c: float | None
) -> None:
    log = a_log(
        parts=[{"date": DAY, "start_time": start}],
        logger=readings((f"{DAY} 11:00", 20, 50), (f"{DAY} 10:00", 18, 60)),
    )
    assert told(table(log)["air_c"]) == [air_c]


def test_without_a_start_time_the_mean_of_the_working_day_counts() -> None:
    log = a_log(
        parts=[{"date": DAY}],
        logger=readings(
            (f"{DAY} 02:00", 5, 90), (f"{DAY} 08:00", 15, 70), (f"{DAY} 12:00", 18, 60),
            (f"{DAY} 16:00", 21, 50), (f"{DAY} 22:00", 9, 85),
        ),
    )  # fmt: skip
    job = table(log).loc["P1"]
    assert (job["air_c"], job["humidity_pct"]) == (18.0, 60.0)
    assert (job["air_c_from"], job["humidity_pct_from"]) == ("logger", "logger")


def test_temperature_and_humidity_are_filled_each_for_itself() -> None:
    log = a_log(
        parts=[{"date": DAY, "start_time": "10:00", "air_c": 17}],
        logger=readings((f"{DAY} 10:00", 19, 62)),
    )
    job = table(log).loc["P1"]
    assert (job["air_c"], job["air_c_from"]) == (17, "part")
    assert (job["humidity_pct"], job["humidity_pct_from"]) == (62, "logger")


def test_a_day_the_logger_lost_stays_unknown() -> None:
    log = a_log(parts=[{"date": "2024-03-05"}], logger=readings((f"{DAY} 10:00", 18, 60)))
    assert told(table(log)["air_c"]) == [None]


def test_the_night_low_is_the_coldest_of_the_18_hours_after_the_start() -> None:
    log = a_log(
        parts=[{"date": DAY, "start_time": "15:00"}],
        logger=readings(
            (f"{DAY} 06:00", 2, None), (f"{DAY} 16:00", 18, None), (f"{DAY} 23:00", 8, None),
            ("2024-03-05 09:00", 12, None), ("2024-03-05 12:00", 1, None),
        ),
    )  # fmt: skip
    assert told(table(log)["night_low_c"]) == [8.0]


# ---------------------------------------------------------------- moulds and pulls


def pulls(*values: int | None, mould: str | None = "M1") -> list[Any]:
    parts = [
        {"mould_id": mould, "date": pd.Timestamp(DAY) + pd.Timedelta(days=n),
         "pulls_since_renewal": value}
        for n, value in enumerate(values)
    ]  # fmt: skip
    return told(table(a_log(parts=parts))["pulls_since_renewal"])


@pytest.mark.parametrize(
    ("written", "counted"),
    [
        ((3, None, 5), [3, 4, 5]),
        ((None, None, 5), [3, 4, 5]),
        ((3, None, None), [3, None, None]),
        ((9, None, None, 1), [9, 10, 0, 1]),
        ((8, None, 0), [8, 9, 0]),
        ((None, None), [None, None]),
    ],
)
def test_pulls_are_counted_through_blanks_but_never_past_the_last_reading(
    written: tuple[int | None, ...], counted: list[int | None]
) -> None:
    assert pulls(*written) == counted


def test_pulls_of_a_part_with_no_mould_are_not_guessed() -> None:
    assert pulls(3, None, 5, mould=None) == [3, None, 5]


def test_each_mould_counts_for_itself() -> None:
    parts = [
        {"mould_id": mould, "date": f"2024-03-0{day}", "pulls_since_renewal": value}
        for day, (mould, value) in enumerate(
            [("M1", 3), ("M2", 7), ("M1", None), ("M2", None), ("M1", 5), ("M2", 9)], start=1
        )
    ]
    jobs = jobs_table(a_log(parts=parts))
    assert told(jobs["pulls_since_renewal"]) == [3, 7, 4, 8, 5, 9]
    assert told(jobs["pulls_since_renewal_from"]) == [
        "part", "part", "neighbours", "neighbours", "part", "part",
    ]  # fmt: skip


def test_coats_of_wax_are_taken_over_where_all_of_one_waxing_agree() -> None:
    rows = [(0, 4), (1, None), (2, 4), (0, 3), (1, None), (2, 2)]
    parts = [
        {"mould_id": "M1", "date": f"2024-03-0{n}", "pulls_since_renewal": p, "wax_coats": coats}
        for n, (p, coats) in enumerate(rows, start=1)
    ]
    assert told(jobs_table(a_log(parts=parts))["wax_coats"]) == [4, 4, 4, 3, None, 2]


def test_the_mould_card_tells_what_the_part_does_not() -> None:
    log = a_log(
        parts=[{"part_id": "A", "mould_id": "M1"}, {"part_id": "B"}],
        moulds=[{"mould_id": "M1", "draft": "poor", "deep": True, "corner_radius_mm": 4}],
    )
    jobs = table(log)
    assert told(jobs["mould_draft"]) == ["poor", None]
    assert told(jobs["mould_draft_from"]) == ["mould", None]
    assert told(jobs["mould_deep"]) == [True, None]
    assert told(jobs["mould_corner_radius_mm"]) == [4, None]


def test_what_was_written_of_a_mould_once_holds_for_its_other_pulls() -> None:
    parts = [
        {"mould_id": "M1", "date": "2024-03-01"},
        {"mould_id": "M1", "date": "2024-03-02", "mould_condition": "fair"},
        {"mould_id": "M2", "date": "2024-03-03"},
    ]
    jobs = jobs_table(a_log(parts=parts))
    assert told(jobs["mould_condition"]) == ["fair", "fair", None]
    assert told(jobs["mould_condition_from"]) == ["neighbours", "part", None]


# ---------------------------------------------------------------- derived


@pytest.mark.parametrize(
    ("air_c", "humidity_pct", "mould_c", "margin"),
    # Dew points from the Magnus formula with the WMO constants: 20 °C at 60 % is 12.0 °C,
    # 15 °C at 80 % is 11.6 °C.
    [(20, 60, 15, 3.0), (15, 80, 13, 1.4), (20, 60, None, 8.0), (20, None, 15, None)],
)
def test_the_dew_margin_is_the_mould_above_the_dew_point(
    air_c: float, humidity_pct: float | None, mould_c: float | None, margin: float | None
) -> None:
    part = {"air_c": air_c, "humidity_pct": humidity_pct, "mould_c": mould_c}
    (found,) = told(table(a_log(parts=[part]))["dew_margin_c"])
    assert found == (None if margin is None else pytest.approx(margin, abs=0.05))


def test_hours_at_20_degrees_are_fewer_in_the_cold_and_more_in_the_heat() -> None:
    parts = [{"backup_hours": 2, "demould_hours": 20, "air_c": air} for air in (12, 20, 28, None)]
    jobs = table(a_log(parts=parts))
    for column, hours in (("backup_h20", 2), ("demould_h20", 20)):
        cold, usual, hot, not_written = told(jobs[column])
        assert cold < usual < hot
        # a wait whose air nobody wrote is taken as one in a fair shop
        assert usual == not_written == pytest.approx(hours)


def test_film_drying_counts_less_in_damp_air() -> None:
    parts = [{"pva_dry_min": 30, "air_c": 20, "humidity_pct": damp} for damp in (50, 85, None)]
    usual, damp, not_written = told(table(a_log(parts=parts))["pva_h_ref_min"])
    assert usual == not_written == pytest.approx(30)
    assert damp < 15


def test_a_wait_nobody_wrote_stays_unknown() -> None:
    job = table(a_log(parts=[{"air_c": 18, "humidity_pct": 60}])).loc["P1"]
    assert told(job[["backup_h20", "demould_h20", "pva_h_ref_min"]]) == [None, None, None]


def test_ratios_need_both_their_figures() -> None:
    parts = [
        {"glass_kg": 2, "resin_kg": 4.6, "gelcoat_wet_min_mm": 0.4, "gelcoat_wet_max_mm": 0.6},
        {"glass_kg": 2, "gelcoat_wet_max_mm": 0.6},
    ]
    jobs = table(a_log(parts=parts))
    assert told(jobs["resin_to_glass"]) == [pytest.approx(2.3), None]
    assert told(jobs["film_spread"]) == [pytest.approx(1.5), None]


def timed_mixes(*gel_min: float | None) -> Log:
    numbers = range(len(gel_min))
    return a_log(
        parts=[{"resin_batch_id": f"R{n}", "air_c": 20, "laying_min": 24} for n in numbers],
        batches=[
            {"batch_id": f"R{n}", "gel_min": gel, "catalyst_pct": 1.5, "air_c": 20}
            for n, gel in enumerate(gel_min)
        ],
    )  # fmt: skip


def test_a_gel_time_is_held_against_what_is_usual_here_at_that_heat_and_dose() -> None:
    ratios = told(table(timed_mixes(20, 20, 20, 30, None))["resin_gel_ratio"])
    assert ratios == [1, 1, 1, pytest.approx(1.5), None]


def test_laying_is_held_against_the_gel_time_seen_else_the_one_expected() -> None:
    ratios = told(table(timed_mixes(20, 20, 20, 30, None))["laying_over_gel"])
    assert ratios == pytest.approx([1.2, 1.2, 1.2, 0.8, 1.2])


def test_without_a_gel_time_in_the_log_nothing_is_expected() -> None:
    jobs = table(timed_mixes(None, None))
    assert told(jobs["resin_gel_ratio"]) == [None, None]
    assert told(jobs["laying_over_gel"]) == [None, None]


def test_thickness_not_measured_is_what_so_many_plies_usually_give_here() -> None:
    rows = [(3, 4.0), (3, 4.4), (3, None), (2, None)]
    parts = [{"plies_in_session": plies, "session_mm": mm} for plies, mm in rows]
    assert told(table(a_log(parts=parts))["session_mm"]) == [4.0, 4.4, pytest.approx(4.2), None]
