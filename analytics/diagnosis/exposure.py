"""How far each job stood exposed to each recorded cause, graded from the trade's thresholds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.knowledge.model import Cause, Evidence

Floats = NDArray[np.float64]

# Three shapes of "how bad from where on", so that a shop's log can say which fits its own work:
# harm that begins before the trade's limit, the trade's own ramp, and harm only well beyond it.
SHAPES = ("early", "trade", "late")
TRADE = SHAPES.index("trade")


@dataclass(frozen=True)
class Exposure:
    """Graded exposures of n jobs to K causes.

    grade : (n, K, 3) in 0..1 for each shape of SHAPES, NaN where nothing recorded bears on it.
    known : (n, K) True where at least one recorded value bears on the cause.
    impossible : (n, K) True where the record says the cause cannot have been there at all.
    """

    grade: Floats
    known: NDArray[np.bool_]
    impossible: NDArray[np.bool_]

    def of(self, rows: NDArray[np.intp] | slice) -> Exposure:
        """The exposures of some of the jobs."""
        return Exposure(self.grade[rows], self.known[rows], self.impossible[rows])


def grades(evidence: Evidence, jobs: pd.DataFrame) -> Floats:
    """(n, 3) grade of one piece of evidence, NaN where the value is unknown."""
    if evidence.field not in jobs:
        return np.full((len(jobs), len(SHAPES)), np.nan)
    column = jobs[evidence.field]
    if evidence.harm == "is":
        return _matches(column, evidence.values)
    value = column.to_numpy(dtype=np.float64, na_value=np.nan)
    # both edges are checked when the knowledge is loaded
    none, full = cast(float, evidence.none), cast(float, evidence.full)
    step = (value - none) / (full - none)
    return np.stack(
        [np.clip((step + 0.5) / 1.5, 0, 1), np.clip(step, 0, 1), np.clip(2 * step - 1, 0, 1)],
        axis=1,
    )


def _matches(column: pd.Series, values: Sequence[str]) -> Floats:
    codes, names = pd.factorize(column)
    wanted = {value.lower() for value in values}
    # each word is looked up once; unknown has code -1 and so the last place
    hit = np.array([*(float(_word(name) in wanted) for name in names), np.nan])
    return np.repeat(hit[codes][:, None], len(SHAPES), axis=1)


def _word(value: object) -> str:
    if isinstance(value, bool | np.bool_):
        return "yes" if value else "no"
    return str(value).lower()


def exposures(causes: Sequence[Cause], jobs: pd.DataFrame) -> Exposure:
    """Exposure of every job to every cause; unknown pieces stand at this log's own mean."""
    shape = (len(jobs), len(causes))
    grade = np.full((*shape, len(SHAPES)), np.nan)
    known = np.zeros(shape, dtype=bool)
    for position, cause in enumerate(causes):
        if cause.evidence:
            grade[:, position], known[:, position] = _combined(cause, jobs)
    impossible = np.stack([_impossible(cause, jobs) for cause in causes], axis=1)
    grade[impossible], known[impossible] = 0.0, True
    return Exposure(grade, known, impossible)


def _impossible(cause: Cause, jobs: pd.DataFrame) -> NDArray[np.bool_]:
    out = np.zeros(len(jobs), dtype=bool)
    for field, values in cause.only_if.items():
        if field in jobs:
            out |= _matches(jobs[field], values)[:, TRADE] == 0
    return out


def _combined(cause: Cause, jobs: pd.DataFrame) -> tuple[Floats, NDArray[np.bool_]]:
    """Grade and knowledge of one cause: the worst of its evidence, or the least of what it needs.

    Only pieces that were written down count: a blank is neither harm nor comfort. Pieces that are
    alternatives of each other count as one, at the worst of them.
    """
    pieces = np.stack([grades(evidence, jobs) for evidence in cause.evidence])
    known = np.asarray((~np.isnan(pieces[:, :, TRADE])).any(axis=0))
    harm = np.where(np.isnan(pieces), -np.inf, pieces)
    if cause.needs == "any":
        whole = harm.max(axis=0)
    else:
        names = [e.alternative or str(i) for i, e in enumerate(cause.evidence)]
        sets = [[i for i, n in enumerate(names) if n == name] for name in dict.fromkeys(names)]
        worst = np.stack([harm[own].max(axis=0) for own in sets])
        whole = np.where(np.isinf(worst), np.inf, worst).min(axis=0)
    whole[~known] = np.nan
    return whole, known
