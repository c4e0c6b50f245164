"""Taking an import back."""

from __future__ import annotations

from datetime import datetime

import pandas as pd
import pytest

from analytics.errors import StoreError

LATER = datetime(2024, 4, 2, 8, 0)


def same(first, second):
    for name in ("parts", "batches", "lots", "moulds", "logger", "defects"):
        pd.testing.assert_frame_equal(getattr(first, name), getattr(second, name))


def test_undo_removes_what_the_import_added(store, read, now):
    store.save(read(part=[{"part_id": "P1"}]), now=now)
    before = store.read_log()
    store.save(
        read(
            part=[{"part_id": "P2", "defects": "pinholes"}],
            lot=[{"lot": "0042"}],
            logger=[{"timestamp": "2024-03-01 08:15"}],
            faults=[{"part_id": "P2", "defect": "pinholes"}],
            file="wrong.csv",
        ),
        now=now,
    )
    report = store.undo_import(2, now=LATER)
    assert (report.file, report.removed, report.restored) == ("wrong.csv", 3, 0)
    same(store.read_log(), before)


def test_undo_puts_changed_values_back(store, read, now):
    first = {
        "part_id": "P1",
        "air_c": 18.5,
        "date": "2024-03-01",
        "pva_used": True,
        "defects": "pinholes, dull",
        "looked": True,
    }
    found = [
        {"part_id": "P1", "defect": "pinholes", "place": "corner", "severity": "slight"},
        {"part_id": "P1", "defect": "dull-surface"},
    ]
    store.save(read(part=[first], faults=found, logger=[{"timestamp": "2024-03-01"}]), now=now)
    before = store.read_log()
    changed = {
        "part_id": "P1",
        "air_c": 81.0,
        "date": "2024-01-03",
        "pva_used": False,
        "defects": "warped",
        "barcol": 30,
    }
    store.save(
        read(
            part=[changed],
            faults=[{"part_id": "P1", "defect": "warping"}],
            logger=[{"timestamp": "2024-03-01", "air_c": 12.0}],
            file="wrong.csv",
        ),
        now=now,
    )
    report = store.undo_import(2, now=LATER)
    assert (report.removed, report.restored) == (0, 2)
    same(store.read_log(), before)
    assert store.history("part") == ()


def test_undone_import_stays_listed_as_undone(store, read, now):
    store.save(read(part=[{"part_id": "P1"}]), now=now)
    store.undo_import(1, now=LATER)
    assert [(i.id, i.undone_at) for i in store.imports()] == [(1, LATER)]


def test_import_taken_back_can_be_imported_again(store, read, now):
    given = read(part=[{"part_id": "P1", "air_c": 18.0}])
    store.save(given, now=now, sha256={"march.csv": "aa"})
    store.undo_import(1, now=LATER)
    report = store.save(given, now=LATER, sha256={"march.csv": "aa"})
    assert report.total.new == 1


def test_imports_apart_can_be_taken_back_in_any_order(store, read, now):
    store.save(read(part=[{"part_id": "P1"}], file="a.csv"), now=now)
    store.save(read(part=[{"part_id": "P2"}], file="b.csv"), now=now)
    store.undo_import(1, now=LATER)
    assert store.read_log().parts["part_id"].tolist() == ["P2"]


@pytest.mark.parametrize("later_value", [18.0, 19.0], ids=["repeats it", "corrects it"])
def test_import_another_builds_on_is_not_taken_back(store, read, now, later_value):
    store.save(read(part=[{"part_id": "P1", "air_c": 18.0}], file="a.csv"), now=now)
    store.save(read(part=[{"part_id": "P1", "air_c": later_value}], file="b.csv"), now=now)
    before = store.read_log()
    with pytest.raises(StoreError, match=r"Take back 2 \(b\.csv\) first"):
        store.undo_import(1, now=LATER)
    same(store.read_log(), before)


def test_newest_first_everything_can_be_taken_back(store, read, now):
    for number, air_c in enumerate([18.0, 19.0, 20.0, 20.0], start=1):
        given = read(part=[{"part_id": "P1", "air_c": air_c}], file=f"{number}.csv")
        store.save(given, now=now)
    seen = []
    for number in (4, 3, 2, 1):
        store.undo_import(number, now=LATER)
        seen.append(store.read_log().parts["air_c"].tolist())
    assert seen == [[20.0], [19.0], [18.0], []]


@pytest.mark.parametrize("between", [2, 3])
def test_correction_between_others_waits_for_the_later_ones(store, read, now, between):
    for number, air_c in enumerate([18.0, 19.0, 20.0, 20.0], start=1):
        given = read(part=[{"part_id": "P1", "air_c": air_c}], file=f"{number}.csv")
        store.save(given, now=now)
    with pytest.raises(StoreError, match="newest first"):
        store.undo_import(between, now=LATER)


def test_undo_of_an_unknown_import_says_which_there_are(store, read, now):
    with pytest.raises(StoreError, match="Nothing was imported yet"):
        store.undo_import(1, now=LATER)
    store.save(read(part=[{"part_id": "P1"}]), now=now)
    with pytest.raises(StoreError, match=r"no import 7\. The last one is 1"):
        store.undo_import(7, now=LATER)


def test_undo_twice_says_when_it_was_done(store, read, now):
    store.save(read(part=[{"part_id": "P1"}]), now=now)
    store.undo_import(1, now=LATER)
    with pytest.raises(StoreError, match="already taken back on 2024-04-02"):
        store.undo_import(1, now=LATER)


def test_confirmed_cause_outlives_the_import_of_its_part(store, read, now):
    store.save(read(part=[{"part_id": "P1"}]), now=now)
    store.confirm("P1", "pinholes", "poor-mixing", now=now)
    store.undo_import(1, now=LATER)
    assert [c.cause for c in store.confirmations()] == ["poor-mixing"]
    assert store.check() == ()
