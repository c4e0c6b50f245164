"""Saving what was read: nothing twice, nothing lost, every correction remembered."""

from __future__ import annotations

import json
from datetime import datetime
from typing import Any

import pandas as pd
import pytest

from analytics.errors import StoreError
from analytics.records.problems import Problem
from analytics.records.store import Counts, Store, saving

LATER = datetime(2024, 4, 2, 8, 0)


def value(store: Store, part_id: str, field: str) -> Any:
    parts = store.read_log().parts.set_index("part_id")
    found = parts.at[part_id, field]
    return None if pd.isna(found) else found


def told(store: Store, record: str = "part", key: str | None = None) -> list[tuple[Any, ...]]:
    return [(c.key, c.field, c.old, c.new) for c in store.history(record, key)]


def faults(store: Store) -> list[tuple[str, str]]:
    defects = store.read_log().defects
    return list(zip(defects["part_id"], defects["defect"], strict=True))


def test_what_was_saved_can_be_read(store, read, now):
    report = store.save(
        read(
            part=[{"part_id": "P1", "air_c": 18.5}],
            batch=[{"batch_id": "M7", "catalyst_pct": 1.8}],
            logger=[{"timestamp": "2024-03-01 08:15", "air_c": 17.0}],
        ),
        now=now,
    )
    log = store.read_log()
    assert report.total == Counts(new=3)
    assert log.parts["air_c"].tolist() == [18.5]
    assert log.batches["catalyst_pct"].tolist() == [1.8]
    assert log.logger["timestamp"].tolist() == [pd.Timestamp("2024-03-01 08:15")]


def test_same_file_again_changes_nothing(store, read, now):
    given = read(
        part=[
            {"part_id": "P1", "air_c": 18.5, "date": "2024-03-01", "pva_used": True},
            {"part_id": "P2", "defects": "pinholes", "looked": True},
        ],
        lot=[{"lot": "0042", "expires": "2024-09-30"}],
        logger=[{"timestamp": "2024-03-01 08:15", "air_c": 17.0}],
        faults=[{"part_id": "P2", "defect": "pinholes", "words": "pinholes"}],
    )
    store.save(given, now=now)
    before, fingerprint = store.read_log(), store.fingerprint()
    report = store.save(given, now=LATER)
    after = store.read_log()
    assert report.total == Counts(unchanged=4)
    assert store.fingerprint() == fingerprint
    assert store.history("part") == ()
    for name in ("parts", "lots", "logger", "defects"):
        pd.testing.assert_frame_equal(getattr(after, name), getattr(before, name))


def test_overlapping_file_adds_only_what_is_new(store, read, now):
    march = [{"part_id": f"P{n}", "air_c": 10.0 + n} for n in range(1, 6)]
    april = [{"part_id": f"P{n}", "air_c": 10.0 + n} for n in range(4, 9)]
    store.save(read(part=march), now=now)
    report = store.save(read(part=april, file="april.csv"), now=LATER)
    assert report.total == Counts(new=3, unchanged=2)
    assert store.read_log().parts["part_id"].tolist() == [f"P{n}" for n in range(1, 9)]


def test_correction_updates_the_record_and_keeps_the_old_value(store, read, now):
    typed_so = '{"part_id": "P1", "air_c": "81 C", "mould_c": "16"}'
    first = {"part_id": "P1", "air_c": 81.0, "mould_c": 16.0, "raw": typed_so}
    store.save(read(part=[first]), now=now)
    report = store.save(
        read(part=[{"part_id": "P1", "air_c": 18.0, "mould_c": 16.0}], file="again.csv"), now=LATER
    )
    (change,) = store.history("part", "P1")
    assert report.total == Counts(changed=1)
    assert value(store, "P1", "air_c") == 18.0
    assert (change.field, change.old, change.new) == ("air_c", "81.0", "18.0")
    assert change.old_raw == "81 C"
    assert (change.changed_at, change.import_id) == (LATER, report.files[0].import_id)


def test_corrected_record_names_the_file_it_was_corrected_from(store, read, now):
    store.save(read(part=[{"part_id": "P1", "air_c": 81.0}]), now=now)
    store.save(read(part=[{"part_id": "P1", "air_c": 18.0}], file="again.csv"), now=LATER)
    assert value(store, "P1", "file") == "again.csv"


def test_blank_cell_does_not_erase_a_known_value(store, read, now):
    known = {"part_id": "P1", "air_c": 18.0, "notes": "cold start", "pva_used": True}
    store.save(read(part=[known]), now=now)
    report = store.save(read(part=[{"part_id": "P1"}], file="short.csv"), now=LATER)
    assert report.total == Counts(unchanged=1)
    assert [value(store, "P1", f) for f in ("air_c", "notes", "pva_used")] == [
        18.0,
        "cold start",
        True,
    ]


def test_text_of_spaces_only_is_a_blank_cell(store, read, now):
    store.save(read(part=[{"part_id": "P1", "notes": "cold start"}]), now=now)
    store.save(read(part=[{"part_id": "P1", "notes": "  "}], file="b.csv"), now=LATER)
    assert value(store, "P1", "notes") == "cold start"


def test_blank_filled_in_later_is_told_in_the_history(store, read, now):
    store.save(read(part=[{"part_id": "P1"}]), now=now)
    report = store.save(read(part=[{"part_id": "P1", "barcol": 32}], file="b.csv"), now=LATER)
    assert report.total == Counts(changed=1)
    assert told(store) == [("P1", "barcol", None, "32.0")]


@pytest.mark.parametrize(
    ("field", "first", "second", "old", "new"),
    [
        ("air_c", 0.1, 0.30000000000000004, "0.1", "0.30000000000000004"),
        ("date", "2024-03-01", "2024-01-03", "2024-03-01", "2024-01-03"),
        ("pva_used", True, False, "yes", "no"),
        ("start_time", "07:30", "08:00", "07:30", "08:00"),
        ("outcome", "good", "scrap", "good", "scrap"),
    ],
)
def test_every_kind_of_value_can_be_corrected(store, read, now, field, first, second, old, new):
    store.save(read(part=[{"part_id": "P1", field: first}]), now=now)
    store.save(read(part=[{"part_id": "P1", field: second}], file="b.csv"), now=LATER)
    assert told(store) == [("P1", field, old, new)]
    assert store.save(read(part=[{"part_id": "P1", field: second}]), now=LATER).total == Counts(
        unchanged=1
    )


def test_record_spread_over_two_rows_of_a_file_is_one_record(store, read, now):
    given = read(part=[{"part_id": "P1", "air_c": 18.0}, {"part_id": "P1", "barcol": 30}])
    assert store.save(given, now=now).total == Counts(new=1)
    assert (value(store, "P1", "air_c"), value(store, "P1", "barcol")) == (18.0, 30.0)
    assert store.save(given, now=LATER).total == Counts(unchanged=1)


def test_two_files_of_one_import_are_counted_apart(store, read, now):
    first = read(part=[{"part_id": "P1", "air_c": 18.0}], file="a.csv")
    second = read(part=[{"part_id": "P1", "air_c": 19.0}, {"part_id": "P2"}], file="b.csv")
    report = store.save(first + second, now=now)
    assert [(file.file, file.total) for file in report.files] == [
        ("a.csv", Counts(new=1)),
        ("b.csv", Counts(new=1, changed=1)),
    ]
    assert report.files[1].records["part"] == Counts(new=1, changed=1)


def test_file_read_before_cannot_bring_back_a_corrected_value(store, read, now):
    wrong = read(part=[{"part_id": "P1", "air_c": 81.0}])
    right = read(part=[{"part_id": "P1", "air_c": 18.0}], file="right.csv")
    store.save(wrong, now=now, sha256={"march.csv": "aa"})
    store.save(right, now=now, sha256={"right.csv": "bb"})
    report = store.save(wrong, now=LATER, sha256={"march.csv": "aa"})
    assert report.total == Counts(unchanged=1)
    assert value(store, "P1", "air_c") == 18.0


def test_edited_file_may_bring_an_old_value_back(store, read, now):
    first = read(part=[{"part_id": "P1", "air_c": 18.0}])
    wrong = read(part=[{"part_id": "P1", "air_c": 81.0}], file="wrong.csv")
    store.save(first, now=now, sha256={"march.csv": "aa"})
    store.save(wrong, now=now, sha256={"wrong.csv": "bb"})
    store.save(first, now=LATER, sha256={"march.csv": "edited since"})
    assert value(store, "P1", "air_c") == 18.0


def test_file_read_better_than_last_time_does_change_the_record(store, read, now):
    store.save(read(part=[{"part_id": "P1", "air_c": 64.0}]), now=now, sha256={"march.csv": "aa"})
    in_fahrenheit = read(part=[{"part_id": "P1", "air_c": 17.8}])
    store.save(in_fahrenheit, now=LATER, sha256={"march.csv": "aa"})
    assert value(store, "P1", "air_c") == 17.8


def test_file_read_better_may_return_to_a_value_older_than_itself(store, read, now):
    for file, air_c in (("a.csv", 18.0), ("b.csv", 19.0)):
        store.save(read(part=[{"part_id": "P1", "air_c": air_c}], file=file), now=now)
    for air_c in (64.0, 18.0):
        given = read(part=[{"part_id": "P1", "air_c": air_c}])
        store.save(given, now=LATER, sha256={"march.csv": "aa"})
    assert value(store, "P1", "air_c") == 18.0


def test_file_taken_back_counts_as_never_read(store, read, now):
    given = read(part=[{"part_id": "P1", "air_c": 18.0}])
    store.save(given, now=now, sha256={"march.csv": "aa"})
    store.undo_import(1, now=now)
    for file, air_c in (("a.csv", 18.0), ("b.csv", 19.0)):
        store.save(read(part=[{"part_id": "P1", "air_c": air_c}], file=file), now=now)
    store.save(given, now=LATER, sha256={"march.csv": "aa"})
    assert value(store, "P1", "air_c") == 18.0


def test_overlapping_readings_are_recognised_one_by_one(store, read, now):
    def readings(first: int, last: int) -> list[dict[str, Any]]:
        return [{"timestamp": f"2024-03-{day:02}", "air_c": day} for day in range(first, last + 1)]

    store.save(read(logger=readings(5, 20)), now=now)
    report = store.save(read(logger=readings(1, 25), file="longer.csv"), now=LATER)
    assert report.total == Counts(new=9, unchanged=16)
    assert sorted(store.read_log().logger["air_c"]) == list(range(1, 26))


def test_faults_are_replaced_when_the_cell_is_corrected(store, read, now):
    store.save(
        read(
            part=[{"part_id": "P1", "defects": "pinholes", "looked": True}],
            faults=[{"part_id": "P1", "defect": "pinholes", "words": "pinholes"}],
        ),
        now=now,
    )
    store.save(
        read(
            part=[{"part_id": "P1", "defects": "stuck, warped", "looked": True}],
            faults=[{"part_id": "P1", "defect": d} for d in ("sticking", "warping")],
            file="b.csv",
        ),
        now=LATER,
    )
    assert faults(store) == [("P1", "sticking"), ("P1", "warping")]


def test_writing_none_clears_the_faults_a_blank_cell_does_not(store, read, now):
    store.save(
        read(
            part=[{"part_id": p, "defects": "pinholes", "looked": True} for p in ("P1", "P2")],
            faults=[{"part_id": p, "defect": "pinholes"} for p in ("P1", "P2")],
        ),
        now=now,
    )
    store.save(
        read(
            part=[
                {"part_id": "P1", "defects": "none", "looked": True},
                {"part_id": "P2", "outcome": "rework", "looked": True},
            ],
            file="b.csv",
        ),
        now=LATER,
    )
    assert faults(store) == [("P2", "pinholes")]


def test_result_once_written_down_stays_looked_at(store, read, now):
    store.save(read(part=[{"part_id": "P1", "outcome": "good", "looked": True}]), now=now)
    report = store.save(
        read(part=[{"part_id": "P1", "looked": False}, {"part_id": "P2", "looked": False}]),
        now=LATER,
    )
    assert store.read_log().parts["looked"].tolist() == [True, False]
    assert report.total == Counts(new=1, unchanged=1)


def test_failure_in_the_middle_leaves_the_store_as_it_was(store, read, now, monkeypatch):
    store.save(read(part=[{"part_id": "P1", "air_c": 18.0}]), now=now)
    before, fingerprint = store.read_log(), store.fingerprint()
    save_file = saving.save_file

    def fails_on_the_second(connection: Any, report: Any, *rest: Any, **named: Any) -> Any:
        if report.file == "c.csv":
            raise KeyboardInterrupt
        return save_file(connection, report, *rest, **named)

    monkeypatch.setattr(saving, "save_file", fails_on_the_second)
    two = read(part=[{"part_id": "P1", "air_c": 5.0}, {"part_id": "P2"}], file="b.csv") + read(
        part=[{"part_id": "P3"}], file="c.csv"
    )
    with pytest.raises(KeyboardInterrupt):
        store.save(two, now=LATER)
    pd.testing.assert_frame_equal(store.read_log().parts, before.parts)
    assert [i.file for i in store.imports()] == ["march.csv"]
    assert store.history("part") == ()
    assert store.fingerprint() == fingerprint


def test_record_without_a_number_is_refused_with_its_place(store, read, now):
    given = read(part=[{"part_id": "P1"}, {"part_id": None, "air_c": 18.0}])
    with pytest.raises(StoreError, match=r"march\.csv, sheet log, row 3: a part without a number"):
        store.save(given, now=now)
    assert store.read_log().parts.empty


def test_cells_as_typed_are_kept_from_both_files(store, read, now):
    first = '{"air_c": "18 C", "barcol": "?", "other": {"Remark": "wet", "Shed": "2"}}'
    second = '{"barcol": "32", "other": {"Remark": "dry"}}'
    store.save(read(part=[{"part_id": "P1", "air_c": 18.0, "raw": first}]), now=now)
    store.save(read(part=[{"part_id": "P1", "barcol": 32.0, "raw": second}]), now=LATER)
    assert json.loads(value(store, "P1", "raw")) == {
        "air_c": "18 C",
        "barcol": "32",
        "other": {"Remark": "dry", "Shed": "2"},
    }


def test_two_files_of_one_name_are_refused_not_mixed_up(store, read, now):
    given = read(part=[{"part_id": "P1"}]) + read(part=[{"part_id": "P2"}])
    with pytest.raises(StoreError, match=r"two files are called march\.csv"):
        store.save(given, now=now)
    assert store.imports() == ()


def test_rows_of_a_file_nobody_reported_are_a_mistake(store, read, now):
    given = read(part=[{"part_id": "P1", "file": "elsewhere.csv"}])
    with pytest.raises(ValueError, match=r"elsewhere\.csv"):
        store.save(given, now=now)


def test_two_loggers_may_read_at_the_same_moment(store, read, now):
    moment = "2024-03-01 08:15"
    given = read(
        logger=[
            {"logger_id": "east", "timestamp": moment, "air_c": 17.0},
            {"logger_id": "west", "timestamp": moment, "air_c": 19.0},
            {"timestamp": moment, "air_c": 18.0},
        ]
    )
    assert store.save(given, now=now).total == Counts(new=3)
    assert store.save(given, now=LATER).total == Counts(unchanged=3)
    logger = store.read_log().logger
    assert logger["air_c"].tolist() == [17.0, 19.0, 18.0]
    assert logger["logger_id"].isna().tolist() == [False, False, True]


def test_import_is_remembered_with_what_it_had_to_say(store, read, now):
    problem = Problem("date", "march.csv", "log", 7, "Date", "31/02/2024", "a date", "correct it")
    store.save(
        read(part=[{"part_id": "P1"}], problems=(problem,)), now=now, sha256={"march.csv": "ab12"}
    )
    (kept,) = store.imports()
    assert (kept.id, kept.file, kept.sha256, kept.at) == (1, "march.csv", "ab12", now)
    assert kept.counts == Counts(new=1)
    assert kept.problems == (problem.to_json(),)
    assert kept.report["file"] == "march.csv"
    assert kept.undone_at is None


def test_order_of_records_is_the_order_they_were_first_read(store, read, now):
    store.save(read(part=[{"part_id": p} for p in ("P9", "P1", "P5")]), now=now)
    store.save(read(part=[{"part_id": "P1", "air_c": 3.0}, {"part_id": "P0"}]), now=LATER)
    assert store.read_log().parts["part_id"].tolist() == ["P9", "P1", "P5", "P0"]
