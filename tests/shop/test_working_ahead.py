"""What is likely to be asked is worked out beforehand, and nobody waits for what another asks."""

from __future__ import annotations

import threading
from datetime import datetime
from pathlib import Path

import pytest

from analytics.shop import Shop
from analytics.shop.ahead import make_ready, working_ahead

WAIT_S = 20.0
NOW = datetime(2026, 3, 2, 9, 0)


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    shop = Shop.open(str(tmp_path / "a.laylog"), now=lambda: NOW, environ={})
    shop.write_down("part", {"part_id": "P1", "date": "2026-02-03", "defects": "pinholes"})
    return shop


def test_one_answer_does_not_wait_for_another_one(shop: Shop) -> None:
    begun, go_on = threading.Event(), threading.Event()

    def slow() -> str:
        begun.set()
        assert go_on.wait(WAIT_S)
        return "slow"

    told: list[str] = []
    beside = threading.Thread(target=lambda: told.append(shop._worked_out("slow", slow)))
    beside.start()
    assert begun.wait(WAIT_S)
    assert shop._worked_out("quick", lambda: "quick") == "quick"
    go_on.set()
    beside.join(WAIT_S)
    assert told == ["slow"]


def test_what_two_people_ask_at_once_is_worked_out_once(shop: Shop) -> None:
    made, both = [], threading.Barrier(2, timeout=WAIT_S)

    def ask() -> None:
        both.wait()
        shop._worked_out("shared", lambda: made.append(1))

    people = [threading.Thread(target=ask) for _ in range(2)]
    for one in people:
        one.start()
    for one in people:
        one.join(WAIT_S)
    assert made == [1]


def test_an_answer_rests_on_one_state_of_the_records_even_if_they_change_meanwhile(
    shop: Shop,
) -> None:
    def make() -> int:
        before = len(shop.jobs())
        shop.write_down("part", {"part_id": "P2", "date": "2026-02-04", "defects": "none"})
        return before + len(shop.jobs())

    assert shop._worked_out("sum", make) == 2
    assert len(shop.jobs()) == 2


def test_usual_answers_are_ready_after_working_ahead(shop: Shop) -> None:
    make_ready(shop, threading.Event())
    held = shop._state().items
    for name in ("jobs", "failed", "cause-model", "gel-time resin", "month 2026-02"):
        assert held[name].mark is not None, name


def test_working_ahead_stops_when_told(shop: Shop) -> None:
    stop = threading.Event()
    stop.set()
    make_ready(shop, stop)
    assert "cause-model" not in shop._state().items


def test_records_that_change_are_worked_out_anew_in_the_background(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("analytics.shop.ahead.LOOK_S", 0.01)
    ready = threading.Semaphore(0)
    failed_parts = shop.failed_parts

    def told() -> object:
        ready.release()
        return failed_parts()

    monkeypatch.setattr(shop, "failed_parts", told)
    with working_ahead(shop):
        assert ready.acquire(timeout=WAIT_S)
        shop.write_down("part", {"part_id": "P3", "date": "2026-02-05", "defects": "pinholes"})
        assert ready.acquire(timeout=WAIT_S)


def test_a_large_log_is_asked_of_the_last_model_while_a_new_one_is_learnt(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = shop.cause_model()
    cause = shop.listed_causes("pinholes")[0]
    shop.confirm("P1", "pinholes", cause)
    assert shop.model_at_hand() is not before, "a small log is learnt anew at once"
    last = shop.cause_model()
    shop.withdraw("P1", "pinholes")
    monkeypatch.setattr("analytics.shop.base.LARGE", 1)
    shop.works_ahead = True
    assert shop.model_at_hand() is last
    assert shop.cause_model() is not last
    assert shop.model_at_hand() is shop.cause_model()
