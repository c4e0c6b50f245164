"""The timing of large logs runs, and its files are what it says they are; nothing is timed here."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from analytics.shop import Shop
from tests.benchmarks.big_logs import log_files
from tests.benchmarks.scale.__main__ import main


def test_a_big_log_has_the_parts_asked_for_and_reads_cleanly(tmp_path: Path) -> None:
    now = datetime(2026, 11, 1)
    shop = Shop.open(str(tmp_path / "shop.laylog"), now=lambda: now, environ={})
    answer = shop.import_files(log_files(tmp_path, 2500, logger=False))
    assert len(shop.log().parts) == 2500
    assert not answer.has_problems
    shop.close()


def test_every_step_is_measured(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    plot = tmp_path / "growth.html"
    assert main(["--sizes", "300", "--runs", "1", "--plot", str(plot)]) == 0
    told = capsys.readouterr().out
    for step in ("reading and keeping", "pandas read_csv", "cause model", "review", "shell"):
        assert step in told
    assert plot.stat().st_size > 10_000
