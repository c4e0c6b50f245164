"""The measuring command measures what it says: a tiny run, no judgement of the figures."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from tests.benchmarks.catalyst.__main__ import main
from tests.benchmarks.catalyst.shops import DOSES, KNOWN, SEASONS_C, chances, drawn, true_chances


def test_smallest_run_reports_every_way_and_season(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = tmp_path / "told.json"
    assert main(["--shops", "2", "--most", "5", "--json", str(told)]) == 0
    text, measured = capsys.readouterr().out, json.loads(told.read_text(encoding="utf-8"))
    assert {row["season"] for row in measured["hits"]} == set(SEASONS_C)
    assert all(0 <= row["laylog"] <= row["best"] <= 1 for row in measured["hits"])
    assert "| 0, data sheet | gel coat | winter |" in text
    assert [row["gel times"] for row in measured["coverage"]] == [0, 5]


def test_best_possible_is_that_of_the_law_counted_by_drawing_mixes() -> None:
    shop, _ = drawn(3, 0)
    truth = true_chances(shop, 19.0, (15.0, 30.0))
    dose = DOSES[int(np.argmax(truth))]
    rng = np.random.default_rng(5)
    law = shop.true_min(np.array(19.0), np.array(dose), np.array(29))
    gel = law * np.exp(rng.normal(0.0, 0.15, 40_000) + rng.normal(0.0, shop.noise_sd, 40_000))
    assert np.mean((gel >= 15) & (gel <= 30)) == pytest.approx(truth.max(), abs=0.01)


def test_nobody_beats_the_one_who_knows_the_law() -> None:
    for seed in range(5):
        found = chances(seed, KNOWN[4], 19.0, (15.0, 30.0))
        assert np.all(found <= found[0] + 1e-12)
