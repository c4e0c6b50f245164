"""A reading or an import that is stopped ends at its next step, and nothing of it is kept."""

from __future__ import annotations

import threading
from datetime import datetime
from pathlib import Path

import pytest

from analytics.shop import Shop
from analytics.stopping import StoppedError, Watch, step, watched

NOW = datetime(2026, 3, 2, 9, 0)
PARTS = "Job,Date,Mould,Result\nP1,03/02/2026,M1,ok\nP2,04/02/2026,M1,pinholes\n"
MIXES = "Mix,Date,Material,Catalyst %,Gel min\nB1,03/02/2026,resin,1.5,14\n"


class StopsAt(Watch):
    """Stops the work at the step of this number, counted from 0."""

    def __init__(self, last: int) -> None:
        super().__init__()
        self.left, self.said = last, list[str]()

    def go_on(self, step: str) -> None:
        if self.left == 0:
            self.stop()
        self.left -= 1
        super().go_on(step)
        self.said.append(step)


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop.open(str(tmp_path / "a.laylog"), now=lambda: NOW, environ={})


@pytest.fixture
def files(tmp_path: Path) -> list[Path]:
    paths = [tmp_path / "jobs.csv", tmp_path / "mixes.csv"]
    for path, text in zip(paths, (PARTS, MIXES), strict=True):
        path.write_text(text, encoding="utf-8")
    return paths


def test_a_reading_told_to_stop_ends_at_its_next_step(shop: Shop, files: list[Path]) -> None:
    watch = Watch()
    watch.stop()
    with watched(watch), pytest.raises(StoppedError, match="nothing was kept"):
        shop.preview(files)


def test_an_import_stopped_at_any_step_keeps_nothing(shop: Shop, files: list[Path]) -> None:
    steps = StopsAt(-1)
    with watched(steps):
        shop.check_files(files)
    reading = len(steps.said)
    for last in range(reading + 40):
        try:
            with watched(StopsAt(last)):
                shop.import_files(files)
        except StoppedError:
            assert shop.imports() == ()
            assert shop.log().parts.empty
        else:
            break
    assert last > reading + 3, "keeping has steps of its own"
    assert len(shop.log().parts) == 2
    assert len(shop.log().batches) == 1


def test_each_step_names_its_file(shop: Shop, files: list[Path]) -> None:
    steps = StopsAt(-1)
    with watched(steps):
        shop.import_files(files)
    named = [said for said in steps.said if said]
    for said in ("opening jobs.csv", "reading mixes.csv", "keeping jobs.csv", "keeping mixes.csv"):
        assert said in named
    assert steps.step == "keeping mixes.csv"


def test_stopping_one_piece_of_work_leaves_that_of_others_alone() -> None:
    stopped = Watch()
    stopped.stop()
    went_through = []

    def other() -> None:
        step("something else")
        went_through.append(True)

    with watched(stopped):
        beside = threading.Thread(target=other)
        beside.start()
        beside.join(10)
        with pytest.raises(StoppedError):
            step()
    step()
    assert went_through == [True]
