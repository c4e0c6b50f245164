"""The stop buttons on the log's page: the work ends on the server, and the page says so."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator
from pathlib import Path

import pytest

from analytics.shop import Shop
from analytics.stopping import StoppedError
from dashboard import dropping
from dashboard.uploads import Waiting
from tests.dashboard.conftest import a_shop
from tests.dashboard.looking import words

LOG = "data:text/csv;base64," + b64encode(b"Job,Date,Result\nP1,03/02/2026,ok\n").decode()


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    with a_shop(tmp_path) as opened:
        yield opened


def test_forgetting_a_file_ends_the_reading_at_work_on_it() -> None:
    waiting = Waiting()
    name = waiting.put([LOG], ["log.csv"])
    with waiting.held(name) as upload:
        waiting.drop(name)
        assert upload.watch.stopped


def test_a_reading_that_was_stopped_shows_nothing(shop: Shop) -> None:
    waiting = Waiting()
    name = waiting.put([LOG], ["log.csv"])
    waiting.stop(name)
    with pytest.raises(StoppedError):
        dropping.look(shop, waiting, name)


def test_keeping_that_was_stopped_says_so_and_the_file_still_waits(shop: Shop) -> None:
    waiting = Waiting()
    name = waiting.put([LOG], ["log.csv"])
    before = len(shop.imports())
    waiting.stop(name)
    said = words(dropping.keep_or_stop(shop, waiting, name))
    assert "nothing was kept" in said
    assert len(shop.imports()) == before
    assert "1 new record" in dropping.keep(shop, waiting, name)


def test_how_far_a_reading_has_got_names_the_step_and_the_file() -> None:
    waiting = Waiting()
    name = waiting.put([LOG], ["log.csv"])
    assert dropping.how_far_words(waiting, name) == ""
    with waiting.held(name) as upload:
        upload.watch.go_on("reading log.csv")
    assert dropping.how_far_words(waiting, name) == "Reading log.csv …"
    assert dropping.how_far_words(waiting, None) == ""
