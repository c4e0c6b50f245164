"""The figures in a table, each beside its goal."""

from __future__ import annotations

import os
from dataclasses import dataclass
from statistics import median

from tests.benchmarks.dashboard.crowd import Waits
from tests.benchmarks.dashboard.visiting import Seen, Visit

USEFUL_S, ANSWER_S, LATE_S, OWN_MB = 1.5, 0.5, 1.0, 1.5


@dataclass(frozen=True)
class Figures:
    """What was measured on a log of so many parts."""

    parts: int
    people: int
    seen: Seen
    waits: Waits

    def goals(self) -> list[tuple[str, float, str, float]]:
        """(what, figure, unit, goal: at most) of everything promised."""
        everything = (*self.seen.again, *self.seen.fresh.values())
        opened, again = self.seen.started, self.seen.again
        paint = max(v.useful_s for v in opened)
        asked, fresh = (max(v.answer_s for v in some) for some in (again, everything))
        size = max(v.own_bytes for v in opened) / 1e6
        return [
            ("first useful paint, slowest page", paint, "s", USEFUL_S),
            ("slowest answer, asked before", asked, "s", ANSWER_S),
            ("slowest answer, asked the first time", fresh, "s", ANSWER_S),
            ("first load beyond Dash's and plotly's scripts, compressed", size, "MB", OWN_MB),
            (f"{self.people} people at once, 95th percentile", self.waits.late_s, "s", LATE_S),
            ("presses not answered", float(self.waits.failed), "", 0.0),
        ]  # fmt: skip


def report(figures: Figures) -> int:
    """Print everything; 0 where every goal is met, else 1."""
    seen = figures.seen
    cores = os.cpu_count() or 1
    print(f"\n{figures.parts:,} parts, {cores} cores, laptop size. Times in seconds.")
    print(f"The server worked ahead for {seen.ready_s:.0f} s after its first visitor.\n")
    _table("just after the server's start", seen.started)
    _table("asked before, medians", seen.again)
    _table("asked the first time, medians", tuple(seen.fresh.values()), tuple(seen.fresh))
    waits = figures.waits.seconds
    middle = median(waits) if waits else float("nan")
    print(f"{figures.people} people: {len(waits)} presses, median {middle:.2f} s\n")
    return _judged(figures)


def _table(title: str, visits: tuple[Visit, ...], names: tuple[str, ...] = ()) -> None:
    print(f"{title:36} | useful paint | all there | slowest answer | own kB | Dash kB")
    for name, v in zip(names or [v.path for v in visits], visits, strict=True):
        print(
            f"{name[:36]:36} | {v.useful_s:12.2f} | {v.whole_s:9.2f} | {v.answer_s:14.2f} | "
            f"{v.own_bytes / 1e3:6.0f} | {v.their_bytes / 1e3:7.0f}"
        )
    print()


def _judged(figures: Figures) -> int:
    missed = 0
    print(f"{'goal':60} | figure    | at most | ")
    for what, figure, unit, most in figures.goals():
        met = figure <= most
        missed += not met
        print(f"{what:60} | {figure:6.2f} {unit:2} | {most:7.2f} | {'pass' if met else 'FAIL'}")
    return 1 if missed else 0
