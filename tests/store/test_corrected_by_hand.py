"""A value put right by hand stays right when the log that has it wrong grows and is read again."""

from __future__ import annotations

from datetime import datetime

import pytest

from analytics.records.store import Correct
from analytics.records.store.loading import FEW, known_table
from analytics.records.store.tables import BY_HAND

LATER = datetime(2024, 3, 5, 10, 0)
WRONG = {"part_id": "P1", "air_c": 8.5, "mould_id": "M1"}
MORE = {"part_id": "P2", "air_c": 18.0, "mould_id": "M1"}


@pytest.fixture
def corrected(store, read, now):
    store.save(read(part=[WRONG]), now=now, sha256={"march.csv": "aa"})
    given = Correct("part", "P1", "air_c", "18.5", "8.5", {"air_c": "18.5"}, f"{BY_HAND}x")
    number = store.correct(given, now=LATER)
    return store, number


def air(store):
    return store.read_log().parts.set_index("part_id")["air_c"].to_dict()


def test_grown_log_does_not_bring_a_corrected_value_back_under_its_name(corrected, read):
    store, _ = corrected
    report = store.save(read(part=[WRONG, MORE]), now=LATER, sha256={"march.csv": "bb"})
    assert air(store) == {"P1": 18.5, "P2": 18.0}
    counts = report.files[0].records["part"]
    assert (counts.new, counts.unchanged, counts.changed) == (1, 1, 0)


def test_grown_log_does_not_bring_a_corrected_value_back_under_any_name(corrected, read):
    store, _ = corrected
    store.save(read(file="april.csv", part=[WRONG, MORE]), now=LATER, sha256={"april.csv": "cc"})
    store.save(read(file="may.csv", part=[WRONG, MORE]), now=LATER)
    assert air(store)["P1"] == 18.5


def test_a_value_nobody_had_written_before_is_news_after_a_correction_too(corrected, read):
    store, _ = corrected
    store.save(read(file="april.csv", part=[WRONG | {"air_c": 17.0}]), now=LATER)
    assert air(store)["P1"] == 17.0


def test_a_correction_taken_back_holds_no_file_off(corrected, read):
    store, number = corrected
    store.undo_import(number, now=LATER)
    assert air(store)["P1"] == 8.5
    store.save(read(file="april.csv", part=[WRONG | {"air_c": 17.0}]), now=LATER)
    store.save(read(file="may.csv", part=[WRONG]), now=LATER)
    assert air(store)["P1"] == 8.5


def test_a_hand_may_put_back_what_a_hand_put_right(corrected, read):
    store, _ = corrected
    store.write_down(read(file=f"{BY_HAND}y", part=[WRONG]), now=LATER)
    assert air(store)["P1"] == 8.5


def test_what_was_written_over_by_hand_stays_written_over(corrected, read):
    store, _ = corrected
    store.write_down(
        read(file=f"{BY_HAND}y", part=[{"part_id": "P1", "mould_id": "M7"}]), now=LATER
    )
    store.save(read(file="april.csv", part=[WRONG]), now=LATER)
    assert store.read_log().parts["mould_id"].tolist() == ["M7"]


def test_few_rows_are_compared_with_their_own_records_alone(store, read, now):
    parts = [{"part_id": f"P{n}", "defects": "stuck"} for n in range(FEW + 1)]
    faults = [{"part_id": part["part_id"], "defect": "sticking"} for part in parts]
    store.save(read(part=parts, faults=faults), now=now)
    with store._reading() as connection:
        few = known_table(connection, "part", read(part=parts[7:9]).tables["part"])
        many = known_table(connection, "part", read(part=parts).tables["part"])
    assert few["part_id"].tolist() == ["P7", "P8"]
    assert few["findings"].tolist() == many["findings"].tolist()[7:9]
    assert len(many) == FEW + 1


def test_everything_is_known_by_its_number_in_the_order_it_was_read(store, read, now):
    store.save(
        read(
            part=[{"part_id": "P9", "mould_id": "M2"}, {"part_id": "P1", "mould_id": "M1"}],
            batch=[{"batch_id": "G7", "lot": "B", "catalyst_lot": "C"}],
            lot=[{"lot": "A"}],
            mould=[{"mould_id": "M1"}],
        ),
        now=now,
    )
    assert store.numbers() == {
        "part": ["P9", "P1"],
        "batch": ["G7"],
        "lot": ["A", "B", "C"],
        "mould": ["M1", "M2"],
    }
    assert store.part_ids() == ["P9", "P1"]
