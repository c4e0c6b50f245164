"""The catalyst advice beside the best possible dose, the shop's habit and a fixed 1.5 %."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from tests.benchmarks.catalyst.shops import KNOWN, SEASONS_C, WAYS, WINDOWS, chances, covered

SHOPS, QUICK_SHOPS = 200, 30
GOAL = 0.95
COUNTS = (0, 5, 20, 200)


def arguments() -> argparse.ArgumentParser:
    """What can be asked of the command."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.catalyst",
                                     description=__doc__)  # fmt: skip
    parser.add_argument("--quick", action="store_true", help="fewer shops")
    parser.add_argument("--shops", type=int, help="shops of each kind")
    parser.add_argument("--most", type=int, default=200, help="leave out logs longer than this")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write everything here as well")
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Measure, print the tables, and return the exit code."""
    given = arguments().parse_args(argv)
    shops = given.shops or (QUICK_SHOPS if given.quick else SHOPS)
    with threadpool_limits(limits=1):
        hits = _hits(shops, given.most)
        cover = _cover(shops, given.most)
    print(_hits_text(hits, shops))
    print(_cover_text(cover))
    if given.json:
        told = {"shops": shops, "hits": hits, "coverage": cover}
        given.json.write_text(json.dumps(told, indent=1), encoding="utf-8")
    return 0


def _hits(shops: int, most: int) -> list[dict[str, Any]]:
    """Mean chance of the window by each way of dosing, for every case and season."""
    found = []
    for known in KNOWN:
        if known.mixes > most:
            continue
        for window, minutes in WINDOWS.items():
            for season, at_c in SEASONS_C.items():
                each = [chances(seed, known, at_c, minutes) for seed in range(shops)]
                mean = dict(zip(WAYS, np.mean(each, axis=0).tolist(), strict=True))
                found.append({"known": known.name, "window": window, "season": season, **mean})
        print(f"{known.name}: done", file=sys.stderr, flush=True)
    return found


def _cover(shops: int, most: int) -> list[dict[str, Any]]:
    found = []
    for mixes in (count for count in COUNTS if count <= most):
        unseen, known = np.mean([covered(seed, mixes) for seed in range(shops)], axis=0)
        found.append(
            {"gel times": mixes, "unseen lots": float(unseen), "a known lot": float(known)}
        )
    return found


def _hits_text(hits: Sequence[dict[str, Any]], shops: int) -> str:
    """One line a case; a * where the goal of 95 % of the best is missed, ! where a habit wins."""
    lines = [
        f"Hits of the wanted gel time in 100, {shops} shops a line; laylog's also as share of the "
        "best possible dose's",
        "",
        "| gel times known | window | season | best | laylog | of best | habit | 1.5 % | |",
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    for row in hits:
        share = row["laylog"] / row["best"]
        marks = ("*" if share < GOAL else "") + (
            "!" if row["laylog"] < max(row["habit"], row["1.5 %"]) else ""
        )
        figures = [f"{100 * row[way]:.0f}" for way in WAYS]
        figures.insert(2, f"{100 * share:.0f} %")
        cells = [row["known"], row["window"], row["season"], *figures, marks]
        lines.append("| " + " | ".join(cells) + " |")
    return "\n".join([*lines, "", f"* under {100 * GOAL:.0f} % of the best, ! beaten by habit", ""])


def _cover_text(cover: Sequence[dict[str, Any]]) -> str:
    lines = ["90 % intervals hold", "", "| gel times | unseen lots | a known lot |",
             "| --- | --- | --- |"]  # fmt: skip
    for row in cover:
        told = (f"{100 * row[where]:.0f} %" for where in ("unseen lots", "a known lot"))
        lines.append(f"| {row['gel times']} | " + " | ".join(told) + " |")
    return "\n".join([*lines, ""])


if __name__ == "__main__":
    sys.exit(main())
