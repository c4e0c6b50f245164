"""The measuring command of the month measures what it says: tiny runs, no judgement of figures."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.benchmarks.month.__main__ import main
from tests.benchmarks.month.speed import all_cuts, one_cut
from tests.month.shops import a_shop


def test_everything_is_measured_and_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "told.json"
    asked = ["--years", "1", "--shops", "1", "--parts", "1200", "--labelled", str(tmp_path)]
    assert main([*asked, "--json", str(file)]) == 0
    told = json.loads(file.read_text("utf-8"))
    assert set(told) == {"quiet", "doubled", "speed", "planted"}
    assert told["quiet"]["years"] == 1
    assert told["quiet"]["new"] <= told["quiet"]["shown"]
    assert set(told["doubled"]) == {"one kind of fault", "five kinds of fault"}
    assert told["speed"]["parts"] == 1200
    assert "new false alarms a year" in capsys.readouterr().out


def test_the_plain_group_bys_count_every_fault() -> None:
    shop = a_shop(3, months=3)
    assert one_cut(shop).to_numpy().sum() == len(shop.log.defects)
    assert all_cuts(shop)[0].sum() == len(shop.log.defects)
