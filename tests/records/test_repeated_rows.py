"""Rows that repeat a record are merged where they agree and kept apart where they do not."""

from __future__ import annotations

import json

import numpy as np
import pandas as pd

from analytics.records.repeats import merge_repeats


def parts(*rows: dict[str, object]) -> pd.DataFrame:
    """A wide table of parts with these cells typed; numbers are read, marks are unknown."""
    made = []
    for number, row in enumerate(rows):
        read = {k: np.nan if v in ("?", "") else v for k, v in row.items()}
        typed = {k: f"{v}" for k, v in row.items()}
        made.append({**read, "sheet_no": 0, "row": number, "raw": json.dumps(typed)})
    return pd.DataFrame(made)


def test_same_row_twice_is_one_record() -> None:
    done = merge_repeats(
        "part", parts({"part_id": "A", "air_c": 18}, {"part_id": "A", "air_c": 18})
    )
    assert (len(done.frame), done.dropped, done.clashes) == (1, (1,), ())


def test_repeat_fills_the_gaps_of_the_first() -> None:
    done = merge_repeats(
        "part", parts({"part_id": "A", "air_c": "?"}, {"part_id": "A", "air_c": 18.0})
    )
    assert done.frame["air_c"].tolist() == [18.0]
    assert json.loads(done.frame["raw"].iloc[0])["air_c"] == "18.0"


def test_same_figure_written_another_way_agrees() -> None:
    table = parts({"part_id": "A", "air_c": 18.0}, {"part_id": "A", "air_c": 18.0})
    table.loc[1, "raw"] = json.dumps({"part_id": "A", "air_c": "64.4 F"})
    assert len(merge_repeats("part", table).frame) == 1


def test_contradiction_keeps_both_under_different_numbers() -> None:
    done = merge_repeats(
        "part", parts({"part_id": "A", "air_c": 18.0}, {"part_id": "A", "air_c": 22.0})
    )
    assert list(done.frame["part_id"]) == ["A", "A #2"]
    [clash] = done.clashes
    assert (clash.first, clash.second, clash.field) == (0, 1, "air_c")


def test_third_row_goes_to_the_one_it_agrees_with() -> None:
    done = merge_repeats(
        "part",
        parts(
            {"part_id": "A", "air_c": 18.0},
            {"part_id": "A", "air_c": 22.0},
            {"part_id": "A", "air_c": 22.0},
            {"part_id": "B", "air_c": 22.0},
        ),
    )
    assert list(done.frame["part_id"]) == ["A", "A #2", "B"]
    assert done.dropped == (2,)


def test_logger_keeps_readings_that_differ_at_one_time() -> None:
    when = pd.Timestamp("2024-10-27 01:00")
    table = pd.DataFrame(
        {
            "timestamp": [when, when, when],
            "air_c": [8.0, 9.0, 8.0],
            "sheet_no": 0,
            "row": [0, 1, 2],
            "raw": "{}",
        }
    )
    done = merge_repeats("logger", table)
    assert done.frame["air_c"].tolist() == [8.0, 9.0]


def test_unread_times_are_not_taken_for_repeats() -> None:
    table = pd.DataFrame(
        {"timestamp": [pd.NaT, pd.NaT], "air_c": [8.0, 8.0], "sheet_no": 0, "row": [0, 1],
         "raw": "{}"}
    )  # fmt: skip
    assert len(merge_repeats("logger", table).frame) == 2
