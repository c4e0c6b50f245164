"""One measurement each, in a process of its own: seconds of work and the most memory it took.

Work is processor time, of all threads and of the kernel for this process: what a machine that does
other things besides would show too.
"""

from __future__ import annotations

import json
import os
import resource
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from statistics import median
from typing import Any

COMMAND = "from analytics.cli.main import main; main()"


@dataclass(frozen=True)
class Cost:
    """Median seconds over the runs, and the most memory any of them took [MB]."""

    seconds: float
    memory_mb: float


def alone(task: str, *words: str, runs: int = 3) -> Cost:
    """What a task of this module costs, each run in a fresh process."""
    told = [_once(task, *words) for _ in range(runs)]
    return Cost(median(t["seconds"] for t in told), max(t["memory_mb"] for t in told))


def shell(*words: str, runs: int = 5) -> float:
    """Median seconds of a whole `laylog` command, from the shell and back."""
    spent = []
    for _ in range(runs):
        started = time.perf_counter()
        done = subprocess.run([sys.executable, "-c", COMMAND, *words], capture_output=True)
        spent.append(time.perf_counter() - started)
        if done.returncode == 2:
            raise RuntimeError(done.stderr.decode())
    return median(spent)


def _once(task: str, *words: str) -> dict[str, float]:
    command = [sys.executable, "-m", "tests.benchmarks.scale.measuring", task, *words]
    # as the command does it; two threads waiting for each other would count as work
    env = os.environ | dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"), "1")
    done = subprocess.run(command, check=True, capture_output=True, text=True, env=env)
    told: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return told


def _shop(store: str) -> Any:
    from analytics.shop import Shop

    return Shop.open(store, now=datetime.now, environ={})


def task_import(store: str, *files: str) -> Callable[[], object]:
    """Files read into a new store."""
    for left in Path(store).parent.glob(Path(store).name + "*"):
        left.unlink()
    shop = _shop(store)
    import pandas as pd  # noqa: F401  both sides start with it loaded

    import analytics.records.reading

    assert analytics.records.reading
    return lambda: shop.import_files(files)


def task_pandas(store: str, *files: str) -> Callable[[], object]:
    """The same files by pandas' read_csv and to_sql into SQLite: no history, no undo, no doubt."""
    import pandas as pd

    Path(store).unlink(missing_ok=True)

    def work() -> None:
        with sqlite3.connect(store) as connection:
            for file in files:
                pd.read_csv(file).to_sql(Path(file).stem, connection, index=False)

    return work


def task_jobs(store: str) -> Callable[[], object]:
    """The jobs table from the store."""
    shop = _shop(store)
    return lambda: shop.jobs()


def task_fit(store: str) -> Callable[[], object]:
    """The cause model, from the jobs table."""
    from analytics.diagnosis.model import fit_shop

    shop = _shop(store)
    jobs, log = shop.jobs(), shop.log()
    return lambda: fit_shop(shop.knowledge, jobs, log.defects)


def task_why(store: str) -> Callable[[], object]:
    """One part's answer, model fitted."""
    shop = _shop(store)
    first, other = (row.part_id for row in shop.failed_parts()[:2])
    shop.why(first)
    return lambda: shop.why(other)


def task_month(store: str) -> Callable[[], object]:
    """The review of the latest month, log loaded."""
    shop = _shop(store)
    shop.jobs(), shop.cause_model()
    return lambda: shop.month()


def task_groupby(store: str) -> Callable[[], object]:
    """The baseline of a review: parts and faults by month, mould, lot and person with pandas."""
    shop = _shop(store)
    jobs, defects = shop.jobs(), shop.log().defects

    def work() -> None:
        wide = jobs.merge(defects[["part_id", "defect"]], on="part_id", how="left")
        for by in ("month", "mould_id", "gelcoat_lot", "resin_lot", "operator"):
            wide.groupby([by, "defect"], dropna=False).size()

    return work


TASKS = {
    name.removeprefix("task_"): task for name, task in globals().items() if name.startswith("task_")
}


def _measure(task: str, *words: str) -> None:
    work = TASKS[task](*words)
    started = time.process_time()
    work()
    seconds = time.process_time() - started
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps({"seconds": seconds, "memory_mb": peak}))


if __name__ == "__main__":
    _measure(*sys.argv[1:])
