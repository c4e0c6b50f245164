"""Import, ranking, review and start-up as the log grows, beside named baselines in the same run.

    python -m tests.benchmarks.scale [--sizes 1000 10000 100000] [--plot FILE.svg]

Every figure is a median of fresh processes, in processor seconds; commands from the shell are by
the clock. Baselines: pandas read_csv + to_sql of the same files,
and pandas group-bys of the same tables. Ends with 1 where a promise is broken: an import of over
100,000 rows costs more than 3 times pandas or 1 GB, or a step grows faster than n log n.
"""

from __future__ import annotations

import argparse
import platform
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.big_logs import log_files
from tests.benchmarks.scale.growth import Points, as_svg, growth, too_steep
from tests.benchmarks.scale.measuring import alone, shell

JUDGED_ROWS = 100_000
MOST_TIMES = 3.0
MOST_MB = 1024

STEPS = {
    "import": "reading and keeping the files",
    "pandas": "pandas read_csv + to_sql",
    "jobs": "the jobs table, from the store",
    "fit": "fitting the cause model",
    "why": "one part's causes, model fitted",
    "month": "reviewing a month, log loaded",
    "groupby": "pandas group-bys of the same tables",
}


@dataclass(frozen=True)
class Size:
    """One size of log: rows in its files, seconds by step, memory of the import [MB]."""

    parts: int
    rows: int
    seconds: dict[str, float]
    import_mb: float


def main(argv: Sequence[str] | None = None) -> int:
    """Print the table and what is promised of it; 0 where all of it holds, else 1."""
    given = argparse.ArgumentParser(prog="tests.benchmarks.scale")
    given.add_argument("--sizes", type=int, nargs="+", default=[1_000, 10_000, 100_000])
    given.add_argument("--runs", type=int, default=3)
    given.add_argument("--plot", type=Path)
    asked = given.parse_args(argv)
    print(f"{platform.machine()}, Python {platform.python_version()}, medians of {asked.runs}")
    sizes = []
    for parts in asked.sizes:
        with tempfile.TemporaryDirectory() as folder:
            sizes.append(_size(Path(folder), parts, asked.runs))
        _tell(sizes[-1], sizes[-2] if len(sizes) > 1 else None)
    print(f"laylog --help: {shell('--help'):.2f} s")
    points = {
        words: [(size.parts, size.seconds[step]) for size in sizes] for step, words in STEPS.items()
    }
    if asked.plot:
        asked.plot.write_text(as_svg(points), encoding="utf-8")
    return 0 if all([_promised(sizes), _grows_fairly(points)]) else 1


def _promised(sizes: Sequence[Size]) -> bool:
    kept = True
    for size in sizes:
        if size.rows >= JUDGED_ROWS:
            times = size.seconds["import"] / size.seconds["pandas"]
            good = times <= MOST_TIMES and size.import_mb <= MOST_MB
            told = (
                f"import of {size.rows:,} rows: {times:.2f} times pandas, {size.import_mb:.0f} MB"
            )
            print(f"{'pass' if good else 'FAIL'}: {told}")
            kept &= good
    return kept


def _grows_fairly(points: Points) -> bool:
    own = {words: found for words, found in points.items() if not words.startswith("pandas")}
    steep = too_steep(own)
    for step in steep:
        print(f"FAIL: {step}")
    if not steep:
        print("pass: no step grows faster than n log n")
    return not steep


def _size(folder: Path, parts: int, runs: int) -> Size:
    files = [str(file) for file in log_files(folder, parts)]
    rows = sum(Path(file).read_bytes().count(b"\n") - 1 for file in files)
    store = str(folder / "shop.laylog")
    costs = {
        "import": alone("import", store, *files, runs=runs),
        "pandas": alone("pandas", str(folder / "plain.db"), *files, runs=runs),
    }
    costs |= {step: alone(step, store, runs=runs) for step in STEPS if step not in costs}
    seconds = {step: cost.seconds for step, cost in costs.items()}
    seconds["cold why"] = shell("why", _failed(store), "--store", store)
    return Size(parts, rows, seconds, costs["import"].memory_mb)


def _failed(store: str) -> str:
    from datetime import datetime

    from analytics.shop import Shop

    shop = Shop.open(store, now=datetime.now, environ={})
    try:
        return shop.failed_parts()[0].part_id
    finally:
        shop.close()


def _tell(size: Size, smaller: Size | None) -> None:
    """The figures of one size; growth against the size before, as a multiple of n log n."""
    print(f"\n{size.parts} parts, {size.rows} rows; import took {size.import_mb:.0f} MB at most")
    for step, words in {**STEPS, "cold why": "laylog why from the shell, all told"}.items():
        line = f"  {words:40} {size.seconds[step]:8.3f} s"
        if smaller is not None:
            pair = [(s.parts, s.seconds[step]) for s in (smaller, size)]
            line += f"   {growth(pair[0], pair[1]):5.2f} x n log n"
        print(line)
    print(f"  import against pandas: {size.seconds['import'] / size.seconds['pandas']:.2f} times")
    against = size.seconds["month"] / size.seconds["groupby"]
    print(f"  review against group-by: {against:.2f} times", flush=True)


if __name__ == "__main__":
    sys.exit(main())
