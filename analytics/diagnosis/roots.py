"""The first cause, not the last: a wait long enough by the clock that the cold made too short.

The trade's root chain: cold, long gel, backed up or pulled too early by the clock. Of the blame a
wait has at its worth at 20 °C, the cold gets the part that the same wait by the clock would not
have had.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.diagnosis.exposure import SHAPES, grades
from analytics.diagnosis.trade import Trade
from analytics.knowledge.model import Evidence

Floats = NDArray[np.float64]
# The shape that sees the least harm, so that there is a share wherever there is any harm at all.
EARLY = SHAPES.index("early")


@dataclass(frozen=True)
class Behind:
    """One cause that another one may be behind: their rows, and the evidence that tells."""

    cause: int
    root: int
    evidence: Evidence

    def share(self, jobs: pd.DataFrame) -> Floats:
        """(n,) part of the cause's blame that is the root's, 0 where nothing tells."""
        plain = replace(self.evidence, field=self.evidence.plain_field)
        harm, by_clock = (grades(one, jobs)[:, EARLY] for one in (self.evidence, plain))
        told = (harm > 0) & (by_clock < harm)
        return np.where(told, 1 - by_clock / np.where(told, harm, 1.0), 0.0)

    def sentence(self, job: pd.DataFrame) -> str:
        """What the root did, in the words of the trade."""
        value, plain = (
            f"{job[field].iloc[0]:.3g}"
            for field in (self.evidence.field, self.evidence.plain_field)
        )
        return self.evidence.root_says.format(value=value, plain=plain)


def behind(trade: Trade, family: int) -> Iterator[Behind]:
    """The causes of a defect with a root behind them that brings this defect too."""
    kin = trade.families[family]
    brought = kin.members or (kin.id,)
    for row, cause in enumerate(trade.causes):
        for evidence in cause.evidence:
            if evidence.root:
                root = trade.cause_index(evidence.root)
                if any(trade.causes[root].levels.get(defect) for defect in brought):
                    yield Behind(row, root, evidence)


def to_the_root(trade: Trade, family: int, chances: Floats, jobs: pd.DataFrame) -> Floats:
    """(n, K or more) chances of a defect's causes, each root given what is its own."""
    told = chances.copy()
    for one in behind(trade, family):
        moved = told[:, one.cause] * one.share(jobs)
        told[:, one.cause] -= moved
        told[:, one.root] += moved
    return told
