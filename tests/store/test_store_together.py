"""Two people at one store: two processes at once lose nothing."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from analytics.records.store import Store

ROOT = Path(__file__).parents[2]

# Waiting for the other's file makes both begin at the same moment.
IMPORTER = """
import sys, time
from datetime import datetime
from pathlib import Path
from types import SimpleNamespace

from analytics.records.log import typed
from analytics.records.problems import FileReport
from analytics.records.store import Store

url, me, other, folder = sys.argv[1:]
now = datetime(2024, 3, 1)
Path(folder, me).touch()
while not Path(folder, other).exists():
    time.sleep(0.001)
with Store.open(url, now=now) as store:
    for turn in range(6):
        rows = [
            {"part_id": f"{me}-{turn}", "air_c": 18.0},
            {"part_id": "shared", ("air_c" if me == "one" else "mould_c"): float(turn)},
        ]
        table = typed("part", [row | {"file": "a.csv"} for row in rows])
        given = SimpleNamespace(files=(FileReport("a.csv", (), ()),), tables={"part": table})
        store.save(given, now=now)
"""


def start(url: str, me: str, other: str, folder: Path) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", IMPORTER, url, me, other, str(folder)],
        cwd=ROOT,
        stderr=subprocess.PIPE,
        text=True,
    )


def test_two_processes_importing_at_once_lose_nothing(store_url, tmp_path, now):
    """Both also make the store: it does not exist when they begin."""
    both = [start(store_url, "one", "two", tmp_path), start(store_url, "two", "one", tmp_path)]
    said = [process.communicate(timeout=60)[1] for process in both]
    assert said == ["", ""]
    with Store.open(store_url, now=now) as store:
        parts = store.read_log().parts.set_index("part_id")
        assert set(parts.index) == {
            "shared",
            *(f"{me}-{turn}" for me in ("one", "two") for turn in range(6)),
        }
        assert parts.loc["shared", ["air_c", "mould_c"]].tolist() == [5.0, 5.0]
        assert len(store.history("part", "shared")) == 11
        assert len(store.imports()) == 12
        assert store.check() == ()
