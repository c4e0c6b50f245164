"""One part, one way: whoever asks, however often, and at the same moment."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from pathlib import Path

import pytest

from analytics.errors import QuestionError
from analytics.records.store import Store
from analytics.settling.drawing import slot
from analytics.settling.giving import SLOT, give_way, given_parts
from analytics.shop import Shop
from tests.settling.test_trial import a_trial

NOW = datetime(2026, 3, 2, 9, 30)


@pytest.fixture
def shop(tmp_path: Path):
    opened = Shop.open(str(tmp_path / "s.laylog"), now=lambda: NOW, environ={})
    yield opened
    opened.close()


def test_a_part_asked_for_twice_gets_the_same_way(store_url: str) -> None:
    with Store.open(store_url, now=NOW) as store:
        first = give_way(store, a_trial(), "B12", "TL-1", now=NOW)
        again = give_way(store, a_trial(), "b-12", "HL-1", now=NOW)
        assert again == first
        assert len(given_parts(store, "wax")) == 1
        assert len(store.entries(SLOT)) == 1


def test_parts_of_a_mould_take_its_queue_in_order(store_url: str) -> None:
    with Store.open(store_url, now=NOW) as store:
        given = [give_way(store, a_trial(), f"B{n}", "TL-1", now=NOW) for n in range(8)]
        assert [g.position for g in given] == list(range(8))
        assert [g.way for g in given] == [slot(11, "TL-1", n).way for n in range(8)]
        assert give_way(store, a_trial(), "B99", "HL-1", now=NOW).position == 0


def test_many_at_once_never_give_one_part_two_ways(store_url: str) -> None:
    with Store.open(store_url, now=NOW) as store:
        asked = [f"B{n % 6}" for n in range(24)]
        with ThreadPoolExecutor(8) as pool:
            given = list(pool.map(lambda p: give_way(store, a_trial(), p, "TL-1", now=NOW), asked))
        ways = {(g.part_id, g.way, g.position) for g in given}
        assert len(ways) == 6
        assert sorted(g.position for g in given_parts(store, "wax")) == sorted(
            {g.position for g in given}
        )
        assert len(store.entries(SLOT)) == 6


def test_a_place_left_over_by_a_machine_that_stopped_is_taken_up_again(store_url: str) -> None:
    with Store.open(store_url, now=NOW) as store:
        store.add_entry(SLOT, "wax/tl1/0", {"part": "b7"}, now=NOW)
        assert give_way(store, a_trial(), "B8", "TL-1", now=NOW).position == 1
        assert give_way(store, a_trial(), "B7", "TL-1", now=NOW).position == 0


def test_a_shop_plans_gives_looks_and_stops(shop: Shop) -> None:
    shop.new_trial("Mat first", "300 first", "450 first", defects=["print-through"], seed=4)
    given = shop.assign("mat-first", "K1", "WC-1")
    assert given.said in ("300 first", "450 first")
    assert not given.before
    assert shop.assign("mat first", "k1").before
    assert shop.way_of("mat-first", "K1") == shop.assign("mat-first", "K1")
    assert shop.way_of("mat-first", "K2") is None
    assert shop.look_at_trial("mat-first").waiting == 1
    assert shop.stop_trial("mat-first", "out of mat").verdict == "stopped"
    with pytest.raises(QuestionError, match="was stopped: out of mat"):
        shop.assign("mat-first", "K3", "WC-1")
    with pytest.raises(QuestionError, match="stopped before"):
        shop.stop_trial("mat-first")


def test_a_name_is_taken_once(shop: Shop) -> None:
    shop.new_trial("wax", "x", "y", defects=["sticking"], seed=1)
    with pytest.raises(QuestionError, match="there already"):
        shop.new_trial("Wax", "x", "z", defects=["sticking"], seed=2)
    assert [t.way_b for t in shop.trials()] == ["y"]


def test_an_unknown_trial_names_those_there_are(shop: Shop) -> None:
    with pytest.raises(QuestionError, match="There is none yet"):
        shop.look_at_trial("wax")
    shop.new_trial("wax", "x", "y", defects=["sticking"], seed=1)
    with pytest.raises(QuestionError, match="There are: wax"):
        shop.look_at_trial("waxx")


def test_the_mould_must_be_said_for_a_part_not_yet_in_the_log(shop: Shop) -> None:
    shop.new_trial("wax", "x", "y", defects=["sticking"], seed=1)
    with pytest.raises(QuestionError, match="which mould"):
        shop.assign("wax", "K1")
    with pytest.raises(QuestionError, match="number of the part"):
        shop.assign("wax", "  ", "M1")


def test_a_part_with_a_result_is_made_already(shop: Shop, tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log.write_text(
        "Part,Date,Mould,Wax coats,Result\nK1,2026-01-05,TL-1,2,good\nK2,2026-01-06,TL-1,,\n"
        "K3,2026-01-06,TL-1,3,\n",
        "utf-8",
    )
    shop.import_files([log])
    shop.new_trial("wax", "1", "3+", defects=["sticking"], seed=1, field="wax_coats")
    for part in ("K1", "k-3"):
        with pytest.raises(QuestionError, match="made already"):
            shop.assign("wax", part)
    assert shop.assign("wax", "k2").mould == "TL-1"
