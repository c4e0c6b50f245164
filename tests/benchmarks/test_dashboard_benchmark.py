"""The pages' benchmark judges by its goals, asks what it says, and ends by itself; no timing."""

from __future__ import annotations

import subprocess
import sys
from datetime import datetime
from pathlib import Path

import pytest

from analytics.shop import Shop
from tests.benchmarks.big_logs import log_files
from tests.benchmarks.dashboard.asking import asked_in_turn
from tests.benchmarks.dashboard.crowd import Waits
from tests.benchmarks.dashboard.goals import Figures, report
from tests.benchmarks.dashboard.visiting import Seen, Visit

QUICK = Visit("/", 0.4, 0.5, 0.1, 90_000, 400_000)
SLOW = Visit("/month", 0.4, 0.9, 0.7, 90_000, 400_000)


def figures(fresh: Visit, late_s: float = 0.2, failed: int = 0) -> Figures:
    seen = Seen((QUICK,), 3.0, (QUICK,), {"an old month": fresh}, ())
    return Figures(100, 10, seen, Waits([0.1] * 90 + [late_s] * 10, failed))


def test_every_goal_met_passes(capsys: pytest.CaptureFixture[str]) -> None:
    assert report(figures(QUICK)) == 0
    assert "FAIL" not in capsys.readouterr().out


@pytest.mark.parametrize(
    "missed", [figures(SLOW), figures(QUICK, late_s=1.1), figures(QUICK, failed=1)]
)
def test_a_goal_missed_fails(missed: Figures, capsys: pytest.CaptureFixture[str]) -> None:
    assert report(missed) == 1
    assert capsys.readouterr().out.count("FAIL") == 1


def test_fresh_questions_are_each_asked_once_only(tmp_path: Path) -> None:
    shop = Shop.open(str(tmp_path / "a.laylog"), now=lambda: datetime(2026, 11, 1), environ={})
    shop.import_files(log_files(tmp_path, 400, logger=False))
    asked = asked_in_turn(shop)
    shop.close()
    every = [path for paths in asked.fresh.values() for path in paths]
    assert len(set(every) - set(asked.pages)) == len(every)


def test_a_measurement_that_hangs_is_ended() -> None:
    hangs = (
        "import time; from tests.benchmarks.dashboard.serving import ends_by_itself\n"
        "with ends_by_itself(0.2): time.sleep(60)"
    )
    done = subprocess.run([sys.executable, "-c", hangs], capture_output=True, timeout=30)
    assert done.returncode == 2
    assert b"ended" in done.stdout
