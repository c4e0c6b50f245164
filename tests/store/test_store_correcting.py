"""One value put right by hand: history kept, nobody overwritten, undo possible."""

from __future__ import annotations

import json
from datetime import datetime

import pandas as pd
import pytest

from analytics.errors import StoreError
from analytics.records.problems import FileReport
from analytics.records.store import Correct, Store

LATER = datetime(2024, 4, 2, 8, 5)
P1 = {"part_id": "P1", "air_c": 18.0, "outcome": "good", "looked": True, "notes": "cold"}


def air(was: str | None, now: str | None, typed: str = "21", key: str = "P1") -> Correct:
    return Correct("part", key, "air_c", typed, was, {"air_c": now}, "by hand, x")


def part(store: Store) -> pd.Series:
    return store.read_log().parts.set_index("part_id").loc["P1"]


def test_corrected_value_is_kept_with_what_it_was(store, read, now):
    store.save(read(part=[P1]), now=now)
    assert store.correct(air("18.0", "21.0"), now=LATER) == 2
    assert part(store)["air_c"] == 21.0
    [change] = store.history("part", "P1")
    assert (change.old, change.new, change.old_raw) == ("18.0", "21.0", "18.0")
    assert change.changed_at == LATER
    assert json.loads(part(store)["raw"])["air_c"] == "21"


def test_correction_keeps_where_the_record_came_from(store, read, now):
    store.save(read(part=[P1]), now=now)
    store.correct(air("18.0", "21.0"), now=LATER)
    assert tuple(part(store)[["file", "sheet", "row"]]) == ("march.csv", "log", 2)


def test_value_somebody_changed_meanwhile_is_not_overwritten(store, read, now):
    store.save(read(part=[P1]), now=now)
    store.correct(air("18.0", "21.0"), now=LATER)
    with pytest.raises(StoreError, match=r'to "21\.0" at 08:05 on 2024-04-02; look again'):
        store.correct(air("18.0", "19.0"), now=LATER)
    assert part(store)["air_c"] == 21.0
    assert len(store.imports()) == 2


def test_emptied_value_is_unknown(store, read, now):
    store.save(read(part=[P1]), now=now)
    store.correct(air("18.0", None, typed=""), now=LATER)
    assert pd.isna(part(store)["air_c"])
    assert "air_c" not in json.loads(part(store)["raw"])


def test_unknown_value_can_be_filled_in(store, read, now):
    store.save(read(part=[{"part_id": "P1", "notes": "x"}]), now=now)
    store.correct(air(None, "21.0"), now=LATER)
    assert part(store)["air_c"] == 21.0


def test_same_value_again_is_no_change(store, read, now):
    store.save(read(part=[P1]), now=now)
    fingerprint = store.fingerprint()
    assert store.correct(air("18.0", "18.0"), now=LATER) is None
    assert store.fingerprint() == fingerprint
    assert len(store.imports()) == 1


def test_correction_tells_that_records_changed(store, read, now):
    store.save(read(part=[P1]), now=now)
    fingerprint = store.fingerprint()
    store.correct(air("18.0", "21.0"), now=LATER)
    assert store.fingerprint() != fingerprint


def test_correction_is_taken_back(store, read, now):
    store.save(read(part=[P1]), now=now)
    before = store.read_log()
    number = store.correct(air("18.0", "21.0"), now=LATER)
    store.undo_import(number, now=LATER)
    pd.testing.assert_frame_equal(store.read_log().parts, before.parts)
    assert store.history("part", "P1") == ()
    assert store.check() == ()


def test_file_under_a_correction_cannot_be_taken_back_first(store, read, now):
    store.save(read(part=[P1]), now=now)
    store.correct(air("18.0", "21.0"), now=LATER)
    with pytest.raises(StoreError, match="Take back 2"):
        store.undo_import(1, now=LATER)


@pytest.mark.parametrize(("new", "kept"), [("21.0", 21.0), (None, None)])
def test_correction_outlives_the_old_file_read_again(store, read, now, new, kept):
    digest = {"march.csv": "a" * 64}
    store.save(read(part=[P1]), now=now, sha256=digest)
    store.correct(air("18.0", new), now=LATER)
    assert store.save(read(part=[P1]), now=LATER, sha256=digest).total.changed == 0
    assert part(store)["air_c"] == kept if kept else pd.isna(part(store)["air_c"])


def test_lost_record_is_a_sentence(store, read, now):
    store.save(read(part=[P1]), now=now)
    with pytest.raises(StoreError, match="no part P9 any more"):
        store.correct(air(None, "1.0", key="P9"), now=LATER)


def test_faults_written_make_a_good_part_faulty(store, read, now):
    store.save(read(part=[P1]), now=now)
    found = json.dumps([["pinholes", None, None, "pinholes"]])
    values = {"defects": "pinholes", "findings": found}
    store.correct(
        Correct("part", "P1", "defects", "pinholes", None, values, "by hand, x"), now=LATER
    )
    assert part(store)["outcome"] == "faulty"
    assert store.read_log().defects["defect"].tolist() == ["pinholes"]


def test_result_emptied_is_a_part_nobody_looked_at(store, read, now):
    store.save(read(part=[P1]), now=now)
    store.correct(
        Correct("part", "P1", "outcome", "", "good", {"outcome": None}, "by hand, x"), now=LATER
    )
    assert not part(store)["looked"]
    store.undo_import(2, now=LATER)
    assert part(store)["looked"]


def test_logger_reading_is_found_by_its_moment(store, read, now):
    store.save(read(logger=[{"timestamp": "2024-03-01 08:15", "air_c": 12.0}]), now=now)
    key = "2024-03-01 08:15:00"
    asked = Correct("logger", key, "air_c", "13", "12.0", {"air_c": "13.0"}, "by hand, x")
    store.correct(asked, now=LATER)
    assert store.read_log().logger["air_c"].tolist() == [13.0]


def test_new_record_of_a_known_number_is_refused(store, read, now):
    store.save(read(part=[P1]), now=now)
    with pytest.raises(StoreError, match="has a part P1 already"):
        store.write_down(read(part=[{"part_id": "P1", "air_c": 3.0}]), now=LATER, new="part")
    assert part(store)["air_c"] == 18.0
    assert len(store.imports()) == 1


def test_further_fault_leaves_the_earlier_ones(store, read, now):
    first = {"part_id": "P1", "outcome": "rework", "defects": "dull", "looked": True}
    store.save(read(part=[first], faults=[{"part_id": "P1", "defect": "dull-surface"}]), now=now)
    more = read(
        part=[{"part_id": "P1", "outcome": "faulty", "defects": "pinholes", "looked": True}],
        faults=[{"part_id": "P1", "defect": "pinholes", "severity": "slight"}],
        file="by hand, x",
    )
    store.write_down(more, now=LATER, more_faults=True)
    assert store.read_log().defects["defect"].tolist() == ["dull-surface", "pinholes"]
    assert part(store)["outcome"] == "rework"
    assert part(store)["defects"] == "dull; pinholes"


def test_mended_file_is_kept_whole_or_not_at_all(store, read, now):
    files, bad = read(part=[P1]), read(part=[{"part_id": None, "air_c": 1.0}], file="by hand, x")
    with pytest.raises(StoreError, match="cannot be kept"):
        store.save_mended(files, bad, now=now, sha256={})
    assert store.read_log().parts.empty
    good = read(part=[{"part_id": "P1", "air_c": 21.0}], file="by hand, x")
    store.save_mended(files, good, now=now, sha256={})
    assert part(store)["air_c"] == 21.0
    assert [change.old for change in store.history("part", "P1")] == ["18.0"]


def test_report_of_a_correction_names_it(store, read, now):
    store.save(read(part=[P1]), now=now)
    store.correct(air("18.0", "21.0"), now=LATER)
    last = store.imports()[-1]
    assert last.file == "by hand, x"
    assert last.counts.changed == 1
    assert last.report == FileReport("by hand, x", (), ()).to_json()
