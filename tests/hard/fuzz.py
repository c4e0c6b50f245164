"""`python -m tests.hard.fuzz --files 10000`: spoilt logs are read or refused, whatever they are.

No reading may end in anything but a report or one sentence, take over 10 seconds, or hold over
500 MB, the process of a workbook's reader included.
"""

from __future__ import annotations

import argparse
import json
import select
import subprocess
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from tests.hard.mutants import Mutant, mutant, seeds

ROOT = Path(__file__).parents[2]
SECONDS = 10.0
MEGABYTES = 500.0


@dataclass
class Tally:
    """How the files went: counts, the slowest and largest readings, and every fault."""

    counts: Counter[str] = field(default_factory=Counter)
    slowest: float = 0.0
    largest: float = 0.0
    faults: list[str] = field(default_factory=list)

    def add(self, told: str, outcome: dict[str, object]) -> None:
        """Count one file."""
        kind = str(outcome["kind"])
        seconds, megabytes = float(str(outcome["seconds"])), float(str(outcome["mb"]))
        self.counts[kind] += 1
        self.slowest, self.largest = max(self.slowest, seconds), max(self.largest, megabytes)
        if kind in ("crash", "died", "hang"):
            self.faults.append(f"{told}: {kind} {outcome['told']}\n{outcome.get('trace', '')}")
        elif seconds > SECONDS or megabytes > MEGABYTES:
            self.faults.append(f"{told}: {seconds:.1f} s, {megabytes:.0f} MB")


class Reader:
    """A child process that reads files, started again whenever it dies."""

    def __init__(self) -> None:
        self._child: subprocess.Popen[str] | None = None

    def read(self, path: Path) -> dict[str, object]:
        """How reading one file went."""
        child = self._running()
        assert child.stdin
        assert child.stdout
        start = time.monotonic()
        print(path, file=child.stdin, flush=True)
        ready, _, _ = select.select([child.stdout], [], [], 6 * SECONDS)
        line = child.stdout.readline() if ready else ""
        if line:
            return dict(json.loads(line))
        self.close()
        kind = "died" if ready else "hang"
        told = f"ended with {child.returncode}"
        return {"kind": kind, "told": told, "seconds": time.monotonic() - start, "mb": 0.0}

    def close(self) -> None:
        """End the child."""
        if self._child:
            self._child.kill()
            self._child.communicate()
            self._child = None

    def _running(self) -> subprocess.Popen[str]:
        if self._child is None:
            self._child = subprocess.Popen(
                [sys.executable, "-m", "tests.hard.reading_child"],
                cwd=ROOT,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                text=True,
            )
        return self._child


def fuzz(numbers: range, folder: Path, told_every: int = 0) -> Tally:
    """Read these mutants one by one; the files of faulty ones stay in the folder."""
    files, tally, reader = seeds(), Tally(), Reader()
    try:
        for number in numbers:
            one = mutant(number, files)
            tally_one(tally, reader, one, folder, f"{number} {one.told}")
            if told_every and (number + 1) % told_every == 0:
                print(number + 1, dict(tally.counts), len(tally.faults), "faults", flush=True)
    finally:
        reader.close()
    return tally


def tally_one(tally: Tally, reader: Reader, one: Mutant, folder: Path, told: str) -> None:
    """Read one file and count it."""
    path = folder / one.name
    path.write_bytes(one.data)
    before = len(tally.faults)
    tally.add(told, reader.read(path))
    if len(tally.faults) > before:
        path = path.rename(folder / f"fault-{before}-{one.name}")
    else:
        path.unlink()


def main() -> None:
    """Run and say what was found."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--files", type=int, default=10_000)
    asked.add_argument("--first", type=int, default=0)
    asked.add_argument("--keep", type=Path, help="where faulty files are left")
    given = asked.parse_args()
    folder = given.keep or Path(tempfile.mkdtemp(prefix="laylog-fuzz-"))
    folder.mkdir(parents=True, exist_ok=True)
    start = time.monotonic()
    tally = fuzz(range(given.first, given.first + given.files), folder, told_every=500)
    for fault in tally.faults:
        print(fault)
    print(
        f"{sum(tally.counts.values()):,} files in {time.monotonic() - start:.0f} s: "
        f"{dict(tally.counts)}; slowest {tally.slowest:.1f} s, largest {tally.largest:.0f} MB; "
        f"{len(tally.faults)} faults"
    )
    sys.exit(1 if tally.faults else 0)


if __name__ == "__main__":
    main()
