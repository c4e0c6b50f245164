"""A shop owner hands over their own books and asks the three questions, in one sitting."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.running import run
from tests.stories.untidy import STUCK, write_books

ROOT = Path(__file__).parents[2]


def test_untidy_books_give_a_cause_a_month_and_a_dose(bench: Path) -> None:
    books = write_books(bench)
    read = run("import", *books, "--json")
    problems = [problem for file in read.json["files"] for problem in file["problems"]]
    assert read.code in (0, 1)
    assert [problem for problem in problems if problem["kind"] != "assumed"] == []

    (why,) = run("why", STUCK, "--json").lines
    assert why["causes"][0]["cause"] == "release-worn-out"
    assert why["causes"][0]["probability"] > 0.5
    assert any("9 pulls" in clue for clue in why["causes"][0]["for"])

    month = run("month", "2024-02", "--json").json
    assert month["parts"] == 21
    assert month["good"]["count"] + month["good"]["unknown"] < 21

    dose = run("catalyst", "--temperature", "18", "--gel", "12-20", "--pot", "1.2", "--json").json
    assert dose["jobs_used"] > 100
    assert dose["feasible"]
    assert dose["gel_min"]["low"] < 16 < dose["gel_min"]["high"]


def test_every_row_of_the_untidy_books_is_accounted_for(bench: Path) -> None:
    files = run("check", *write_books(bench), "--json").json["files"]
    sheets = [sheet for file in files for sheet in file["sheets"]]
    read = [sheet["parts"] + sheet["batches"] + sheet["logger"] for sheet in sheets]
    assert read == [130, 130, 1440]
    for sheet in sheets:
        rest = sheet["duplicates"] + sheet["not_records"]
        assert sheet["rows"] == sheet["parts"] + sheet["batches"] + sheet["logger"] + rest


def test_the_logger_fills_missing_air_and_the_part_says_so(bench: Path) -> None:
    jobs, _mixes, logger = write_books(bench)
    run("import", jobs)
    before = {p["part_id"]: p for p in run("records", "--json").json["parts"]}
    assert before["T-004"]["air_c"] is None
    run("import", logger)
    after = {p["part_id"]: p for p in run("records", "--json").json["parts"]}
    assert after["T-004"]["filled"]["air_c"] == "logger"
    assert after["T-004"]["air_c"] == pytest.approx(16.4, abs=0.3)
    assert "air_c" not in after["T-005"]["filled"]


def test_the_first_sitting_works_from_a_shell(bench: Path) -> None:
    """As installed: one process a command, the store found through LAYLOG_STORE."""

    def laylog(*arguments: str) -> subprocess.CompletedProcess[str]:
        code = "from analytics.cli.main import main; main()"
        return subprocess.run(
            [sys.executable, "-c", code, *arguments],
            capture_output=True, text=True, check=False, cwd=bench,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )  # fmt: skip

    write_books(bench)
    assert laylog("import", "job book.csv", "mixes.csv").returncode in (0, 1)
    why = laylog("why", STUCK)
    assert why.returncode == 0
    assert why.stderr == ""
    assert re.search(r"\d+ %  #+\.*  Release worn out", why.stdout)
    assert laylog("why", "nobody").returncode == 2
