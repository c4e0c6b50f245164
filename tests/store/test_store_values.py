"""Values come back as they went in: every column, every dtype, every awkward text."""

from __future__ import annotations

from datetime import datetime

import pandas as pd
import pytest

from analytics.records.log import Log, typed
from analytics.records.store import Counts

LATER = datetime(2024, 4, 2, 8, 0)


def test_every_column_keeps_its_dtype(store, read, now):
    store.save(
        read(
            part=[
                {"part_id": "P1", "date": "2024-03-01", "pva_used": False, "start_time": "07:30"},
                {"part_id": "P2", "air_c": 18.0},
            ],
            mould=[{"mould_id": "M1", "deep": True, "made": "2019-05-06"}],
            logger=[{"logger_id": "east", "timestamp": "2024-03-31 01:30:15"}],
        ),
        now=now,
    )
    log, empty = store.read_log(), Log.empty()
    for name in ("parts", "batches", "lots", "moulds", "logger", "defects"):
        assert getattr(log, name).dtypes.to_dict() == getattr(empty, name).dtypes.to_dict()
        assert isinstance(getattr(log, name).index, pd.RangeIndex)
    assert log.parts["pva_used"].tolist() == [False, pd.NA]
    assert log.parts["date"].tolist() == [pd.Timestamp("2024-03-01"), pd.NaT]


def test_empty_store_gives_an_empty_log_with_every_column(store):
    log, empty = store.read_log(), Log.empty()
    for name in ("parts", "batches", "lots", "moulds", "logger", "defects"):
        pd.testing.assert_frame_equal(getattr(log, name), getattr(empty, name))


def test_every_field_comes_back_as_it_was(store, read, now):
    """One value in every column of every record, so that no column can be forgotten."""
    samples = {"float64": 0.1 + 0.2, "boolean": True, "datetime64[ns]": "2024-02-29"}
    given = read(
        **{
            record: [
                {
                    name: samples.get(str(dtype), f"text in {name}")
                    for name, dtype in typed(record, ()).dtypes.items()
                    if name not in ("file", "sheet", "row", "raw")
                }
            ]
            for record in ("part", "batch", "lot", "mould", "logger")
        }
    )
    store.save(given, now=now)
    log = store.read_log()
    for record, name in (
        ("part", "parts"),
        ("batch", "batches"),
        ("lot", "lots"),
        ("mould", "moulds"),
        ("logger", "logger"),
    ):
        pd.testing.assert_frame_equal(getattr(log, name), given.tables[record])


@pytest.mark.parametrize(
    "text",
    [
        "0042",
        "'; DROP TABLE part; --",
        'he said "stuck"',
        "50 % (%s) :name {curly} \\ back",
        "naïve – 25 °C ½ 裂纹 🧤",
        "two\nlines\tand a tab",
        "=1+1",
    ],
)
def test_text_is_kept_as_data(store, read, now, text):
    given = read(
        part=[{"part_id": text, "notes": text}],
        faults=[{"part_id": text, "defect": "pinholes", "place": text}],
    )
    store.save(given, now=now)
    log = store.read_log()
    assert log.parts[["part_id", "notes"]].to_numpy().tolist() == [[text, text]]
    assert log.defects["place"].tolist() == [text]
    assert store.save(given, now=LATER).total == Counts(unchanged=1)


def test_characters_no_database_can_hold_are_left_out(store, read, now):
    given = read(part=[{"part_id": "P1", "notes": "wax\0 on"}])
    store.save(given, now=now)
    assert store.read_log().parts["notes"].tolist() == ["wax on"]
    assert store.save(given, now=LATER).total == Counts(unchanged=1)
