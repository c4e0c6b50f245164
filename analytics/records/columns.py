"""A column of a table and where it went: what the readers of headings and of cells share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from analytics.records.coded import Coded
from analytics.records.spellings import RESULT

IGNORED = "ignore"
FaultNamed = Callable[[str], str | None]
FAULT_COLUMN = "defects: "
FAULTY = "defects?"
COMBINED = frozenset({"defects", "notes", RESULT})
STRENGTHS = {
    "placed": 5,
    "exact": 4,
    "close": 3,
    "side": 2,
    "spelling": 2,
    "position": 2,
    "pattern": 1,
    "likeness": 1,
}


@dataclass(frozen=True)
class Column:
    """One column of a table: where it is, its heading, the mix named above it, its cells.

    `above` is the wider heading it stands under, as typed.
    """

    index: int
    header: str
    group: str
    cells: Coded
    above: str = ""


@dataclass(frozen=True)
class Match:
    """Where a column went: a target or None, the unit its heading states, and how decided.

    `strength` is one of STRENGTHS, or none. `rival` is the heading that already holds the target;
    `guesses` are fields it may be.
    """

    column: Column
    target: str | None
    unit: str | None
    strength: str
    how: str
    guesses: tuple[str, ...] = ()
    rival: str | None = None


def may_share(target: str) -> bool:
    """Whether several columns of a table may hold the target."""
    return target in (*COMBINED, IGNORED, FAULTY) or target.startswith(FAULT_COLUMN)
