"""What the shop told laylog: columns, settings, confirmed causes, bench results, cached models."""

from __future__ import annotations

from datetime import datetime

import pytest

from analytics.records.fields import Placement
from analytics.records.store import Store

LATER = datetime(2024, 4, 2, 8, 0)


def test_placed_column_is_remembered_with_its_unit(store):
    store.place_column("Temp (shed)", "air_c", "°F")
    store.place_column("Remark 2", "ignore")
    assert store.placements() == {
        "Temp (shed)": Placement("air_c", "°F"),
        "Remark 2": Placement("ignore", None),
    }


def test_column_placed_again_moves(store):
    store.place_column("Temp", "air_c", "°C")
    store.place_column("Temp", "mould_c")
    assert store.placements() == {"Temp": Placement("mould_c", None)}


def test_placement_can_be_forgotten(store):
    store.place_column("Temp", "air_c")
    assert store.forget_column("Temp") is True
    assert store.forget_column("Temp") is False
    assert store.placements() == {}


@pytest.mark.parametrize("value", ["imperial", 3, 1.16, True, ["a", 1], {"low": 1.5}, "°C – ½"])
def test_setting_comes_back_as_it_was(store, value):
    store.set_setting("thing", "before")
    store.set_setting("thing", value)
    assert store.setting("thing") == value
    assert type(store.setting("thing")) is type(value)


def test_setting_nobody_made_gives_the_default(store):
    assert store.setting("density") is None
    assert store.setting("density", 1.16) == 1.16


def test_setting_set_to_none_is_forgotten(store):
    store.set_setting("density", 1.1)
    store.set_setting("density", None)
    assert store.settings() == {}


def test_confirmed_cause_is_kept_until_withdrawn(store, now):
    store.confirm("P1", "pinholes", "poor-mixing", now=now)
    (kept,) = store.confirmations()
    assert (kept.part_id, kept.defect, kept.cause, kept.at) == (
        "P1",
        "pinholes",
        "poor-mixing",
        now,
    )
    assert store.withdraw_confirmation("P1", "pinholes", now=LATER) is True
    assert store.withdraw_confirmation("P1", "pinholes", now=LATER) is False
    assert store.confirmations() == ()


def test_another_cause_for_the_same_defect_replaces_the_first(store, now):
    store.confirm("P1", "pinholes", "poor-mixing", now=now)
    store.confirm("P1", "sticking", "wax-worn", now=now)
    store.confirm("P1", "pinholes", "thick-coat", now=LATER)
    kept = [(c.defect, c.cause) for c in store.confirmations("P1")]
    assert kept == [("sticking", "wax-worn"), ("pinholes", "thick-coat")]


def test_confirmations_of_one_part_leave_others_out(store, now):
    store.confirm("P1", "pinholes", "poor-mixing", now=now)
    store.confirm("P10", "pinholes", "poor-mixing", now=now)
    assert [c.part_id for c in store.confirmations("P1")] == ["P1"]


def test_bench_result_is_kept_until_withdrawn(store, now):
    store.add_observation("P1", "acetone-wipe", "softens", now=now)
    store.add_observation("P1", "barcol", "low", now=now)
    store.add_observation("P1", "barcol", "as usual", now=LATER)
    kept = [(o.check, o.result, o.at) for o in store.observations("P1")]
    assert kept == [("acetone-wipe", "softens", now), ("barcol", "as usual", LATER)]
    assert store.withdraw_observation("P1", "barcol", now=LATER) is True
    assert [o.check for o in store.observations()] == ["acetone-wipe"]


def marks(store: Store) -> tuple[str, str]:
    return store.fingerprint(), store.confirmed_mark()


def changed(store: Store, act) -> tuple[bool, bool]:
    """Whether doing this changed the mark of the records, and that of the confirmations."""
    before = marks(store)
    act()
    records, confirmed = (a != b for a, b in zip(before, marks(store), strict=True))
    return records, confirmed


def test_fingerprint_follows_records_alone(store, read, now):
    acts = [
        lambda: store.save(read(part=[{"part_id": "P1"}]), now=now),
        lambda: store.save(read(part=[{"part_id": "P1", "air_c": 1.0}], file="b.csv"), now=now),
        lambda: store.undo_import(2, now=now),
    ]
    assert [changed(store, act) for act in acts] == [(True, False)] * len(acts)


def test_confirmations_have_a_mark_of_their_own(store, now):
    acts = [
        lambda: store.confirm("P1", "pinholes", "poor-mixing", now=now),
        lambda: store.confirm("P1", "pinholes", "cold-shop", now=now),
        lambda: store.withdraw_confirmation("P1", "pinholes", now=now),
        lambda: store.confirm("P1", "pinholes", "cold-shop", now=now),
    ]
    assert [changed(store, act) for act in acts] == [(False, True)] * len(acts)


def test_marks_stay_when_nothing_was_learnt_from_the_log(store, now):
    store.confirm("P1", "pinholes", "poor-mixing", now=now)
    acts = [
        lambda: store.confirm("P1", "pinholes", "poor-mixing", now=LATER),
        lambda: store.withdraw_confirmation("P9", "pinholes", now=LATER),
        lambda: store.add_observation("P1", "barcol", "low", now=now),
        lambda: store.withdraw_observation("P1", "barcol", now=now),
        lambda: store.add_entry("action", "new brush", {}, now=now),
        lambda: store.set_setting("density", 1.2),
        lambda: store.place_column("Temp", "air_c"),
        lambda: store.cache_put("model", b"x", store.fingerprint()),
    ]
    assert [changed(store, act) for act in acts] == [(False, False)] * len(acts)


def test_fingerprint_is_another_one_in_another_store(store, tmp_path):
    with Store.open(tmp_path / "other.laylog", now=LATER) as other:
        assert other.fingerprint() != store.fingerprint()


def test_cached_bytes_come_back_for_the_same_fingerprint_only(store):
    store.cache_put("gel model", bytes(range(256)), "one")
    assert store.cache_get("gel model", "one") == bytes(range(256))
    assert store.cache_get("gel model", "two") is None
    assert store.cache_get("other", "one") is None


def test_newer_cached_bytes_replace_the_older(store):
    store.cache_put("gel model", b"old", "one")
    store.cache_put("gel model", b"new", "two")
    assert store.cache_get("gel model", "one") is None
    assert store.cache_get("gel model", "two") == b"new"


def test_all_is_there_after_closing_and_opening(store_url, read, now):
    with Store.open(store_url, now=now) as store:
        store.save(read(part=[{"part_id": "0042"}]), now=now)
        store.place_column("Temp", "air_c")
        store.set_setting("density", 1.1)
        store.confirm("0042", "pinholes", "poor-mixing", now=now)
        fingerprint = store.fingerprint()
    with Store.open(store_url, now=LATER) as store:
        assert store.read_log().parts["part_id"].tolist() == ["0042"]
        assert list(store.placements()) == ["Temp"]
        assert store.setting("density") == 1.1
        assert len(store.confirmations()) == 1
        assert store.fingerprint() == fingerprint
