"""laylog's causes beside general-purpose rivals, on simulated and labelled logs, in one run."""

from __future__ import annotations

import argparse
import json
import sys
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import numpy as np
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from analytics.knowledge.loading import load_knowledge
from analytics.knowledge.model import Knowledge
from tests.benchmarks.diagnosis import behind, report
from tests.benchmarks.diagnosis.cases import Measured
from tests.benchmarks.diagnosis.innocence import Innocent, innocent_logs
from tests.benchmarks.diagnosis.labelled import labelled
from tests.benchmarks.diagnosis.other_mechanisms import stressed
from tests.benchmarks.diagnosis.perturbed import SHOPS as BENT_SHOPS
from tests.benchmarks.diagnosis.perturbed import perturbed
from tests.benchmarks.diagnosis.rivals import RIVALS
from tests.benchmarks.diagnosis.scores import Scored, scored, together
from tests.benchmarks.diagnosis.simulated import QUICK_SHOPS, SHOPS, simulated
from tests.benchmarks.diagnosis.tables import OURS, group_table
from tests.benchmarks.diagnosis.timing import Timed, timed

Looked = tuple[Measured, Mapping[str, Scored]]

INNOCENT_LOGS, QUICK_INNOCENT_LOGS = 100, 12
REPEATS, QUICK_REPEATS = 5, 3


def arguments() -> argparse.ArgumentParser:
    """What can be asked of the command."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.diagnosis",
                                     description=__doc__)  # fmt: skip
    parser.add_argument("--quick", action="store_true", help="fewer and smaller shops")
    parser.add_argument("--sizes", help="sizes of simulated shops, e.g. 60,700; 0 for none")
    parser.add_argument("--shops", type=int, help="simulated shops of each size")
    parser.add_argument("--labelled", type=Path, metavar="FOLDER", help="labelled logs, by shop")
    parser.add_argument("--failed", type=int, default=400, help="failed parts asked about per shop")
    parser.add_argument("--innocent", type=int, help="logs without guilt to look at")
    parser.add_argument("--bent", action="store_true",
                        help="also shops where the trade is half right: to choose on")  # fmt: skip
    parser.add_argument("--other-mechanisms", action="store_true",
                        help="also the simulator kept for last: do not tune to it")  # fmt: skip
    parser.add_argument("--seed", type=int, default=2024)
    parser.add_argument("--json", type=Path, metavar="FILE", help="write everything here as well")
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Measure, print the tables, and return the exit code."""
    given = arguments().parse_args(argv)
    # One thread for everybody: times then compare on any machine, busy or not.
    with threadpool_limits(limits=1):
        _measure(given)
    return 0


def _measure(given: argparse.Namespace) -> None:
    knowledge = load_knowledge()
    looked: list[Looked] = []
    times: dict[str, Timed] = {}
    for shop in _shops(given, knowledge):
        looked.append((shop, _asked(shop)))
        if shop.group not in times:
            times[shop.group] = timed(shop, QUICK_REPEATS if given.quick else REPEATS)
        print(f"{shop.name}: {len(shop.cases)} faults", file=sys.stderr, flush=True)
    default = QUICK_INNOCENT_LOGS if given.quick else INNOCENT_LOGS
    count = default if given.innocent is None else given.innocent
    logs = list(innocent_logs(count, knowledge, given.seed))
    _tell(looked, list(times.values()), logs, given.json)


def _shops(given: argparse.Namespace, knowledge: Knowledge) -> Iterator[Measured]:
    counts = QUICK_SHOPS if given.quick else SHOPS
    sizes = [int(s) for s in given.sizes.split(",")] if given.sizes else list(counts)
    for size in sizes:
        if size:
            shops = given.shops or counts.get(size, SHOPS[size])
            yield from simulated(size, shops, knowledge, most=given.failed, seed=given.seed)
    if given.labelled:
        yield from labelled(given.labelled, knowledge, most=given.failed, seed=given.seed)
    for size, shops in BENT_SHOPS.items() if given.bent else ():
        yield from perturbed(size, shops, knowledge, most=given.failed, seed=given.seed)
    if given.other_mechanisms:
        yield from stressed(knowledge, most=given.failed, seed=given.seed)


def _asked(shop: Measured) -> Mapping[str, Scored]:
    visible = np.append(shop.model.trade.recorded, False)
    return {
        name: scored(rival(shop), shop.ids, shop.cases, visible) for name, rival in RIVALS.items()
    }


def _tell(
    looked: Sequence[Looked], times: Sequence[Timed], logs: Sequence[Innocent], file: Path | None
) -> None:
    groups: dict[str, list[Mapping[str, Scored]]] = defaultdict(list)
    for shop, methods in looked:
        groups[shop.group].append(methods)
    pooled = {
        group: {name: together([one[name] for one in many]) for name in RIVALS}
        for group, many in groups.items()
    }
    tables = {group: group_table(methods) for group, methods in pooled.items()}
    ahead = {group: behind.losses(table) for group, table in tables.items()}
    for group, methods in pooled.items():
        print(report.group_text(group, methods, tables[group]))
        print(report.calibration_text(group, methods[OURS]))
    if looked:
        print(report.shops_text(looked))
        print(behind.losses_text(ahead))
        print(behind.weaknesses_text(behind.weaknesses(looked)))
    print(report.timing_text(times))
    print(report.innocence_text(logs))
    if file:
        told = report.to_json(tables, ahead, looked, times, logs)
        file.write_text(json.dumps(told, indent=1), encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
