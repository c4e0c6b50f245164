"""A sample of `python -m tests.hard.crash`: killed in the middle, a store loses nothing."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from analytics.records.store.connecting import store_url as address

ROOT = Path(__file__).parents[2]
MOMENTS = 6  # one in each act; with a server, one in each act on each database


def _killed(moments: int, *server: str) -> str:
    # a process of its own: it forks, which a process with threads must not
    done = subprocess.run(
        [sys.executable, "-m", "tests.hard.crash", "--moments", str(moments), *server],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_killed_in_the_middle_a_store_on_file_loses_nothing() -> None:
    assert "nothing lost" in _killed(MOMENTS)


@pytest.mark.postgresql
def test_killed_in_the_middle_a_store_on_a_server_loses_nothing(new_postgresql) -> None:
    url = address(new_postgresql())
    server = url.difference_update_query(["options"]).render_as_string(hide_password=False)
    assert "nothing lost" in _killed(2 * MOMENTS, "--server", server)
