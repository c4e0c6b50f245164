"""The timing of large logs runs, and its files are what it says they are; nothing is timed here."""

from __future__ import annotations

from datetime import datetime
from math import log
from pathlib import Path

import pytest

from analytics.shop import Shop
from tests.benchmarks.big_logs import log_files
from tests.benchmarks.scale.__main__ import STEPS, main
from tests.benchmarks.scale.growth import too_steep


def test_a_big_log_has_the_parts_asked_for_and_reads_cleanly(tmp_path: Path) -> None:
    now = datetime(2026, 11, 1)
    shop = Shop.open(str(tmp_path / "shop.laylog"), now=lambda: now, environ={})
    answer = shop.import_files(log_files(tmp_path, 2500, logger=False))
    assert len(shop.log().parts) == 2500
    assert not answer.has_problems
    shop.close()


def test_every_step_is_measured(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    plot = tmp_path / "growth.svg"
    assert main(["--sizes", "300", "--runs", "1", "--plot", str(plot)]) == 0
    told = capsys.readouterr().out
    for step in ("reading and keeping", "pandas read_csv", "cause model", "review", "shell"):
        assert step in told
    assert "no step grows faster than n log n" in told
    assert plot.read_text(encoding="utf-8").count("<polyline") == len(STEPS) + 1


def test_a_step_that_grows_with_the_square_is_named() -> None:
    sizes = (1_000, 10_000, 100_000)
    points = {
        "square": [(n, (n / 1_000) ** 2) for n in sizes],
        "fair": [(n, n * log(n) / 1e3) for n in sizes],
        "too short to judge": [(1_000, 0.001), (10_000, 0.09), (100_000, 0.5)],
    }
    steep = too_steep(points)
    assert len(steep) == 2
    assert all(line.startswith("square, ") for line in steep)
