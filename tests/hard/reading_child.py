"""Reads files in a process of its own, telling of each how it went, how long and how large.

Lines in: a path. Lines out: JSON with kind ("read", "refused" or "crash"), told, seconds, mb.
"""

from __future__ import annotations

import json
import resource
import sys
import time
import traceback
from datetime import date, datetime
from pathlib import Path
from typing import Any

from analytics.errors import LaylogError
from analytics.knowledge.loading import defect_words, load_knowledge
from analytics.records.book_process import memory_limit
from analytics.records.reading import read_files
from analytics.records.store import Store

_PROC = Path("/proc/self")
TODAY = date(2025, 6, 1)


def main() -> None:
    """Answer until the other end closes."""
    words = defect_words(load_knowledge())
    for number, line in enumerate(sys.stdin):
        path = Path(line.rstrip("\n"))
        (_PROC / "clear_refs").write_text("5")  # the peak counts from here
        start, readers = _busy_seconds(), _of_readers()
        answer = _outcome(path, words, number)
        seconds, peak = _busy_seconds() - start, _peak_mb(path, _of_readers() > readers)
        answer |= {"seconds": seconds, "mb": peak}
        print(json.dumps(answer), flush=True)


def _outcome(path: Path, words: dict[str, str], number: int) -> dict[str, Any]:
    try:
        result = read_files([path], defect_words=words, placed={}, settings=None, today=TODAY)
        if number % 4 == 0:
            _keep(result, path)
    except LaylogError as error:
        return {"kind": "refused", "told": str(error)}
    except BaseException as error:
        return {"kind": "crash", "told": f"{error!r}", "trace": traceback.format_exc()[-1500:]}
    if all(report.sheets for report in result.files):
        return {"kind": "read", "told": ""}
    told = [problem.found for report in result.files for problem in report.problems]
    return {"kind": "refused", "told": " ".join(told)}


def _keep(result: Any, path: Path) -> None:
    """What was read must also be fit for a store, twice, and come out of it again."""
    where = path.with_suffix(".laylog")
    now = datetime(2025, 6, 1)
    try:
        with Store.open(where, now=now) as store:
            store.save(result, now=now)
            again = store.save(result, now=now)
            store.read_log()
            assert not again.total.new, "kept twice"
    finally:
        for left in path.parent.glob(f"{where.name}*"):
            left.unlink()


def _busy_seconds() -> float:
    """Processor time, the workbook reader's included: a busy machine does not make a file bad."""
    return _of_readers() + time.process_time()


def _of_readers() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _peak_mb(path: Path, with_reader: bool) -> float:
    """This process, and the most a workbook's reader may take where one was started.

    The system counts a process as large as the one that started it, so its own figure misleads.
    """
    reader = memory_limit(path.stat().st_size) / 2**20 if with_reader else 0
    for line in (_PROC / "status").read_text().splitlines():
        if line.startswith("VmHWM"):
            return int(line.split()[1]) / 1024 + reader
    return 0.0


if __name__ == "__main__":
    main()
