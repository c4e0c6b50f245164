"""`python -m tests.hard.breaks`: break each promise once, in a copy, and see its tests fail.

`breaks.toml` holds a few characters to change for each promise, and the tests that must then fail
where they pass without the change.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
FAILED = 1
"""What pytest returns where tests ran and some failed; other codes mean that none could run."""


@dataclass(frozen=True)
class Break:
    """A promise, the text to change in a file so that it no longer holds, and its tests."""

    promise: str
    file: str
    old: str
    new: str
    tests: tuple[str, ...]


def breaks() -> tuple[Break, ...]:
    """All of them."""
    told = tomllib.loads(Path(__file__).with_suffix(".toml").read_text(encoding="utf-8"))
    return tuple(Break(**one | {"tests": tuple(one["tests"])}) for one in told["break"])


def seen(one: Break, copy: Path) -> str:
    """The first test that fails with the promise broken; "" where none does."""
    path = copy / one.file
    sound = path.read_text(encoding="utf-8")
    path.write_text(sound.replace(one.old, one.new), encoding="utf-8")
    try:
        done = _pytest(one.tests, copy)
    finally:
        path.write_text(sound, encoding="utf-8")
    failed = [line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
    return failed[0].split()[1] if done.returncode == FAILED and failed else ""


def _pytest(tests: Sequence[str], copy: Path) -> subprocess.CompletedProcess[str]:
    plain = ("-x", "-q", "-n0", "-rfE", "--tb=no", "-p", "no:cacheprovider")
    return subprocess.run(
        [sys.executable, "-m", "pytest", *plain, *tests],
        cwd=copy,
        env=os.environ | {"PYTHONPATH": str(copy)},
        capture_output=True,
        text=True,
    )


def main() -> None:
    """Break every promise in turn and print the test that saw it."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--only", default="", help="promises with these words in them")
    only = asked.parse_args().only
    unseen = 0
    with tempfile.TemporaryDirectory(prefix="laylog-breaks-") as folder:
        copy = Path(folder) / "laylog"
        left_out = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache")
        shutil.copytree(ROOT, copy, ignore=left_out)
        for one in breaks():
            if only in one.promise:
                found = seen(one, copy)
                unseen += not found
                print(f"{one.promise}: {found or 'NOBODY SAW IT'}", flush=True)
    sys.exit(1 if unseen else 0)


if __name__ == "__main__":
    main()
