"""Which gel times the model gets to see, at which temperature, and which it does not."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pandas as pd
import pytest

from analytics.catalyst.readings import gel_readings, last_temperature
from analytics.records.log import Log
from tests.builders import a_log

DAY = pd.Timestamp("2025-03-04")


def a_mix(**facts: Any) -> dict[str, Any]:
    usual = {"material": "resin", "date": DAY, "time": "10:00", "catalyst_pct": 1.5, "gel_min": 25}
    return {**usual, **facts}


def temperature_of(log: Log) -> float:
    return float(gel_readings(log, "resin").records.temperature_c[0])


def test_temperature_is_the_mean_of_material_and_mould() -> None:
    assert temperature_of(a_log(batches=[a_mix(material_c=20, mould_c=16, air_c=25)])) == 18.0


def test_temperature_is_the_air_beside_the_mix_where_that_is_all() -> None:
    assert temperature_of(a_log(batches=[a_mix(air_c=19)])) == 19.0


def test_temperature_is_the_part_s_air_where_the_mix_has_none() -> None:
    log = a_log(parts=[{"resin_batch_id": "B1", "air_c": 17}], batches=[a_mix()])
    assert temperature_of(log) == 17.0


def test_temperature_is_the_logger_s_within_an_hour() -> None:
    logger = [
        {"timestamp": DAY + pd.Timedelta("9h10min"), "air_c": 15.0},
        {"timestamp": DAY + pd.Timedelta("15h"), "air_c": 21.0},
    ]
    assert temperature_of(a_log(batches=[a_mix()], logger=logger)) == 15.0
    late = gel_readings(a_log(batches=[a_mix(time="12:30")], logger=logger), "resin")
    assert (len(late.records), late.incomplete) == (0, 1)


def test_logger_is_not_guessed_for_a_mix_without_a_clock_time() -> None:
    logger = [{"timestamp": DAY + pd.Timedelta("12h"), "air_c": 15.0}]
    untimed = gel_readings(a_log(batches=[a_mix(time=None)], logger=logger), "resin")
    assert (len(untimed.records), untimed.incomplete) == (0, 1)


def test_gel_coat_times_do_not_teach_resin() -> None:
    log = a_log(batches=[a_mix(material="gelcoat", air_c=20), a_mix(air_c=20)])
    assert gel_readings(log, "resin").records.name == ("mix B2",)


def test_gel_time_without_a_dose_is_counted_not_guessed() -> None:
    seen = gel_readings(a_log(batches=[a_mix(air_c=20, catalyst_pct=None)]), "resin")
    assert (len(seen.records), seen.incomplete) == (0, 1)


@pytest.mark.parametrize(
    ("slip", "reason"),
    [
        ({"air_c": 175.4}, "175.4 °C is no temperature to mix at (0 to 45 °C)"),
        ({"air_c": 20, "catalyst_pct": 13.5}, "13.5 % is no catalyst dose by mass (0.5 to 5 %)"),
        ({"air_c": 20, "gel_min": 900}, "900 min is no gel time (1 to 300 min)"),
    ],
)
def test_impossible_record_is_set_aside_by_name(slip: dict[str, Any], reason: str) -> None:
    log = a_log(parts=[{"part_id": "P7", "resin_batch_id": "B1"}], batches=[a_mix(**slip)])
    seen = gel_readings(log, "resin")
    assert len(seen.records) == 0
    assert [(a.record, a.reason) for a in seen.set_aside] == [("mix B1 (part P7)", reason)]


def test_record_without_a_mix_number_is_named_by_its_row() -> None:
    log = a_log(batches=[a_mix(batch_id=None, air_c=99, row=14, sheet="Mixes")])
    assert gel_readings(log, "resin").set_aside[0].record == "row 14 of Mixes"


def test_product_comes_from_the_lot_where_the_mix_does_not_say() -> None:
    lots = [{"lot": "R1", "material": "resin", "product": "GP"}]
    seen = gel_readings(a_log(batches=[a_mix(air_c=20, lot="R1")], lots=lots), "resin")
    assert (seen.records.product, seen.last_product) == (("GP",), "GP")


def test_film_is_told_from_cup_and_pot() -> None:
    mixes = [a_mix(air_c=20, gel_where=where) for where in ("cup", "pot", "film", None)]
    seen = gel_readings(a_log(batches=mixes), "resin")
    assert seen.records.film.tolist() == [False, False, True, False]


def test_data_sheet_point_needs_minutes_temperature_and_dose() -> None:
    whole = {"material": "resin", "product": "GP", "sheet_gel_min": 18, "sheet_gel_c": 25,
             "sheet_gel_pct": 1.5}  # fmt: skip
    lots = [{"lot": "R1", **whole}, {"lot": "R2", **whole}, {"lot": "R3", **whole,
             "sheet_gel_c": None, "sheet_gel_min": 99}]  # fmt: skip
    points = gel_readings(a_log(lots=lots), "resin").sheet
    assert [(p.product, p.gel_min, p.temperature_c, p.catalyst_pct) for p in points] == [
        ("GP", 18.0, 25.0, 1.5)
    ]


def test_last_temperature_is_the_newest_logger_reading_not_from_tomorrow() -> None:
    logger = [
        {"timestamp": DAY + pd.Timedelta("8h"), "air_c": 14.0},
        {"timestamp": DAY + pd.Timedelta("9h"), "air_c": 16.0},
        {"timestamp": DAY + pd.Timedelta("33h"), "air_c": 22.0},
    ]
    read = last_temperature(a_log(logger=logger), DAY.date())
    assert read is not None
    assert (read.temperature_c, read.where, read.when.hour) == (16.0, "logger", 9)


def test_last_temperature_falls_back_on_what_was_written_by_hand() -> None:
    log = a_log(
        parts=[{"date": DAY, "start_time": "07:30", "air_c": 12.0}],
        batches=[a_mix(air_c=13.0, time="11:00")],
    )
    read = last_temperature(log, DAY.date())
    assert read is not None
    assert (read.temperature_c, read.where) == (13.0, "job log")


def test_no_temperature_anywhere_is_none() -> None:
    assert last_temperature(Log.empty(), date(2025, 3, 4)) is None


def test_shuffled_rows_are_the_same_readings() -> None:
    mixes = [a_mix(batch_id=f"B{i}", air_c=10 + i, gel_min=20 + i) for i in range(8)]
    turned = [mixes[i] for i in np.random.default_rng(0).permutation(8)]
    one, other = (gel_readings(a_log(batches=rows), "resin").records for rows in (mixes, turned))
    assert one.name == other.name
    assert one.gel_min.tolist() == other.gel_min.tolist()
