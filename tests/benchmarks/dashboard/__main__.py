"""How quick the pages are on a big log: first paint, each answer, bytes, and many people at once.

    python -m tests.benchmarks.dashboard [--parts 20000] [--people 10] [--seconds 20]

Serves a simulated log with waitress, as a shop would, and looks at it with a real Chromium. Times
are of this machine with the browser on it too; run it on a machine that does nothing else. It takes
about three minutes and ends by itself after LONGEST_S whatever happens; 1 where a goal is missed.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from analytics.shop import Shop
from tests.benchmarks.big_logs import log_files
from tests.benchmarks.dashboard.asking import Asked, asked_in_turn
from tests.benchmarks.dashboard.crowd import crowd
from tests.benchmarks.dashboard.goals import Figures, report
from tests.benchmarks.dashboard.serving import at_rest, ends_by_itself, now_doing, serving
from tests.benchmarks.dashboard.visiting import visited

LONGEST_S = 295.0


def main(argv: Sequence[str] | None = None) -> int:
    """Print the figures beside the goals; 0 where all are met, 1 where one is not."""
    given = argparse.ArgumentParser(prog="tests.benchmarks.dashboard")
    given.add_argument("--parts", type=int, default=20_000)
    given.add_argument("--people", type=int, default=10)
    given.add_argument("--seconds", type=float, default=20.0)
    given.add_argument("--times", type=int, default=3, help="visits each warm figure is of")
    asked = given.parse_args(argv)
    with ends_by_itself(LONGEST_S), tempfile.TemporaryDirectory() as folder:
        now_doing(f"importing {asked.parts:,} parts")
        store, questions = _filled(Path(folder), asked.parts)
        with serving(store) as server:
            seen = visited(server.site, questions, asked.times, lambda: at_rest(server))
            now_doing(f"{asked.people} people at once")
            waits = crowd(server.site, seen.posts, asked.people, asked.seconds)
    return report(Figures(asked.parts, asked.people, seen, waits))


def _filled(folder: Path, parts: int) -> tuple[Path, Asked]:
    """A store with the simulated log in it, and what is asked of it."""
    store = folder / "shop.laylog"
    shop = Shop.open(str(store), now=datetime.now, environ={})
    try:
        shop.import_files(log_files(folder, parts))
        return store, asked_in_turn(shop)
    finally:
        shop.close()


if __name__ == "__main__":
    sys.exit(main())
