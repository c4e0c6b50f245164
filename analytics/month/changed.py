"""A change dated and counted: how many before and after the day it most likely began."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from analytics.month.answer import Share, Signal, SignalKind
from analytics.month.results import Bools, Results
from analytics.month.spells import EPOCH, began, share_of

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Changed:
    """Counts either side of the day a change began, and what was to be expected after it."""

    since: date
    earliest: date
    latest: date
    now: Share
    before: Share
    expected: float
    part_ids: tuple[str, ...]
    rose: bool = True

    @property
    def plain(self) -> bool:
        """True where the bare shares go the same way as found against expected does."""
        return self.rose == ((self.now.share or 0.0) >= (self.before.share or 0.0))

    def signal(self, kind: SignalKind, subject: str, text: str, defect: str | None) -> Signal:
        """The change as a signal whose strength is still to be told."""
        return Signal(
            kind=kind, subject=subject, since=self.since, text=text, strength="",
            jobs=self.now.out_of, p_value=1.0, q_value=1.0, since_earliest=self.earliest,
            since_latest=self.latest, defect=defect, now=self.now, before=self.before,
            part_ids=self.part_ids, direction="up" if self.rose else "down",
        )  # fmt: skip


def changed_at_window(
    results: Results, scope: Bools, found: Bools, chance: Floats, window: int, rise: bool
) -> Changed:
    """The change in the clearest `window` of half months among the parts in `scope`."""
    dates = began(
        results.day[scope], found[scope], chance[scope], results.spells_back[scope], window, rise
    )
    return replace(changed_on(results, scope, found, chance, dates), rose=rise)


def changed_on(
    results: Results,
    scope: Bools,
    found: Bools,
    chance: Floats,
    dates: tuple[date, date, date],
    against: Bools | None = None,
) -> Changed:
    """The change on a day known: parts in `scope` since then against those before.

    `against` names other parts to compare with, where the thing itself has no before.
    """
    since, earliest, latest = dates
    after = scope & (results.day >= (since - EPOCH).days)
    other = scope & ~after if against is None else against
    return Changed(
        since=since, earliest=earliest, latest=latest, now=share_of(found[after]),
        before=share_of(found[other]), expected=float(chance[after].sum()),
        part_ids=ids(results.jobs["part_id"][after & found]),
    )  # fmt: skip


def ids(parts: Iterable[object]) -> tuple[str, ...]:
    """Part numbers as text, in the order given."""
    return tuple(str(part) for part in parts)
