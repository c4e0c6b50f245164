"""The month in review, measured: false alarms, power, planted changes, speed, in one run."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from analytics.knowledge.loading import load_knowledge
from tests.benchmarks.month.alarms import ONE_KIND, doubled, quiet
from tests.benchmarks.month.planted import blamed_alone, planted
from tests.benchmarks.month.speed import timed
from tests.month.shops import RATES, some_knowledge


def arguments() -> argparse.ArgumentParser:
    """What can be asked of the command."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.month",
                                     description=__doc__)  # fmt: skip
    parser.add_argument("--years", type=int, default=100, help="quiet years to look at")
    parser.add_argument("--shops", type=int, default=100, help="shops with a doubled defect")
    parser.add_argument("--parts", type=int, default=100_000, help="parts of the year timed")
    parser.add_argument("--labelled", type=Path, metavar="FOLDER", help="labelled logs, by shop")
    parser.add_argument("--seed", type=int, default=40_000)
    parser.add_argument("--json", type=Path, metavar="FILE", help="write everything here as well")
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Measure, print, and return the exit code."""
    given = arguments().parse_args(argv)
    with threadpool_limits(limits=1):
        told = _measured(given)
    if given.json:
        given.json.write_text(json.dumps(told, indent=1, default=str), encoding="utf-8")
    return 0


def _measured(given: argparse.Namespace) -> dict[str, Any]:
    told: dict[str, Any] = {}
    if given.years:
        told["quiet"] = _quiet(given)
    if given.shops:
        told["doubled"] = _doubled(given)
    if given.parts:
        told["speed"] = _speed(given)
    if given.labelled:
        told["planted"] = _planted(given)
    return told


def _quiet(given: argparse.Namespace) -> dict[str, Any]:
    found = quiet(given.years, some_knowledge(), seed=given.seed)
    print(
        f"{found.years:.0f} quiet years, 60 parts a month, five kinds of fault: "
        f"{found.new_a_year:.2f} new false alarms a year (give or take {found.spread:.2f}); "
        f"{found.shown} signals shown in all, by kind {dict(found.kinds)}"
    )
    return asdict(found)


def _doubled(given: argparse.Namespace) -> dict[str, Any]:
    told = {}
    for name, rates in (("one kind of fault", ONE_KIND), ("five kinds of fault", RATES)):
        found = doubled(given.shops, some_knowledge(), seed=given.seed + 1000, rates=rates)
        one, two, three = found.within
        print(
            f"5 % doubled, 60 parts a month, {name}: found within 1, 2, 3 months in "
            f"{one}, {two}, {three} of {found.shops} ({100 * found.share:.0f} %)"
        )
        told[name] = asdict(found)
    return told


def _speed(given: argparse.Namespace) -> dict[str, Any]:
    found = timed(given.parts, load_knowledge(), seed=given.seed)
    print(
        f"{found.parts:,} parts: review {found.review_s:.2f} s; {found.ratio_one_cut:.1f} times "
        f"one group-by of faults by month, {found.ratio_all_cuts:.1f} times group-bys of "
        "everything the review looks at"
    )
    return asdict(found)


def _planted(given: argparse.Namespace) -> list[dict[str, Any]]:
    knowledge, told = load_knowledge(), []
    for one in planted(given.labelled, knowledge):
        named = f"named in {one.month}, {one.days_off} days off" if one.month else "not named"
        fault = f"its fault shown in {one.defect_month}, {one.defect_days_off} days off"
        beside = ", named as changed together" if one.together else ""
        print(f"{one.change.shop}, {one.change.words} ({one.change.day}): {named}; "
              f"{fault if one.defect_month else 'its fault not shown'}{beside}")  # fmt: skip
        told.append(asdict(one))
    alone = blamed_alone(given.labelled, knowledge)
    print(f"the bystander blamed alone in {len(alone)} reviews")
    return told


if __name__ == "__main__":
    sys.exit(main())
