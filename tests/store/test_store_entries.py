"""Journal entries: kept with their day, one of a name at a time, never lost when taken back."""

from __future__ import annotations

from datetime import datetime

from analytics.records.store import Store

NOW = datetime(2026, 3, 2, 9, 30)


def test_an_entry_is_kept_and_read_back_on_both_databases(store_url: str) -> None:
    with Store.open(store_url, now=NOW) as store:
        assert store.add_entry("action", "a1", {"what": "heater in", "jobs": [1, 2]}, now=NOW)
        (found,) = store.entries("action")
    assert (found.name, found.at) == ("a1", NOW)
    assert found.content == {"what": "heater in", "jobs": [1, 2]}


def test_a_second_entry_of_the_same_name_is_refused_until_the_first_is_taken_back(
    store_url: str,
) -> None:
    with Store.open(store_url, now=NOW) as store:
        assert store.add_entry("way", "B1", {"way": "one"}, now=NOW)
        assert not store.add_entry("way", "B1", {"way": "two"}, now=NOW)
        assert [e.content["way"] for e in store.entries("way")] == ["one"]
        assert store.withdraw_entry("way", "B1", now=NOW)
        assert not store.withdraw_entry("way", "B1", now=NOW)
        assert store.add_entry("way", "B1", {"way": "two"}, now=NOW)
        assert [e.content["way"] for e in store.entries("way")] == ["two"]


def test_kinds_do_not_mix_and_entries_do_not_count_as_changed_records(store_url: str) -> None:
    with Store.open(store_url, now=NOW) as store:
        before = store.fingerprint()
        store.add_entry("action", "x", {}, now=NOW)
        assert store.entries("trial") == ()
        assert store.fingerprint() == before
