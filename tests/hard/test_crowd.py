"""Two imports and ten people writing at one store: nothing lost, nobody told to wait."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

from analytics.records.store import Store
from tests.hard.crowd import PEOPLE, TURNS
from tests.hard.given import NOW, a_log

ROOT = Path(__file__).parents[2]
CROWD = [("importer", 0), ("importer", 1), ("writer", 0), ("writer", 1)]


def _come(url: str, folder: Path) -> list[subprocess.Popen[str]]:
    people = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.hard.crowd", url, role, str(number), str(folder)],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        for role, number in CROWD
    ]
    deadline = time.monotonic() + 60
    while not all((folder / f"{role}-{number}").exists() for role, number in CROWD):
        assert time.monotonic() < deadline
        time.sleep(0.01)
    return people


def test_two_imports_and_ten_writers_lose_nothing_and_are_told_nothing(
    store_url: str, tmp_path: Path
) -> None:
    barrier = tmp_path / "barrier"
    barrier.mkdir()
    with Store.open(store_url, now=NOW) as store:
        store.save(a_log("shared.csv", [0], air_c=0.0), now=NOW)
        shared = a_log("shared.csv", [1], air_c=0.0)
        shared.tables["part"]["part_id"] = "shared"
        shared.tables["defect"]["part_id"] = "shared"
        store.save(shared, now=NOW)
    people = _come(store_url, barrier)
    (barrier / "go").touch()
    said = [person.communicate(timeout=120)[0] for person in people]
    assert said == [""] * len(CROWD)
    with Store.open(store_url, now=NOW) as store:
        parts = store.read_log().parts.set_index("part_id")
        assert parts.index.is_unique
        assert len(parts) == 2 + 2 * TURNS * 20
        everybody = 2 * PEOPLE
        wanted = {f"P{who}-{turn}" for who in range(everybody) for turn in range(TURNS)}
        assert {c.part_id for c in store.confirmations()} == wanted
        assert {e.name for e in store.entries("note")} == {name[1:] for name in wanted}
        # ten people, each adding one degree each turn: one overwritten would be one degree short
        assert parts.loc["shared", "air_c"] == everybody * TURNS
        assert len(store.history("part", "shared")) == everybody * TURNS
        assert store.check() == ()
