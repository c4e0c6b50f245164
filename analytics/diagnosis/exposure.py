"""How far each job stood exposed to each recorded cause, graded from the trade's thresholds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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
    """

    grade: Floats
    known: NDArray[np.bool_]

    def rows(self, index: NDArray[np.intp] | slice) -> Exposure:
        return Exposure(self.grade[index], self.known[index])


def grades(evidence: Evidence, jobs: pd.DataFrame) -> Floats:
    """(n, 3) grade of one piece of evidence, NaN where the value is unknown."""
    if evidence.field not in jobs:
        return np.full((len(jobs), len(SHAPES)), np.nan)
    column = jobs[evidence.field]
    if evidence.harm == "is":
        return _matches(column, evidence.values)
    value = column.to_numpy(dtype=np.float64, na_value=np.nan)
    none, full = evidence.none, evidence.full
    assert none is not None and full is not None  # checked when the knowledge is loaded
    step = (value - none) / (full - none)
    return np.stack(
        [np.clip((step + 0.5) / 1.5, 0, 1), np.clip(step, 0, 1), np.clip(2 * step - 1, 0, 1)],
        axis=1,
    )


def _matches(column: pd.Series, values: Sequence[str]) -> Floats:
    if column.dtype == "boolean":
        column = column.map({True: "yes", False: "no"})
    hit = column.astype("str").str.lower().isin([value.lower() for value in values])
    one = np.where(column.isna(), np.nan, hit.to_numpy(dtype=np.float64))
    return np.repeat(one[:, None], len(SHAPES), axis=1)


def exposures(causes: Sequence[Cause], jobs: pd.DataFrame) -> Exposure:
    """Exposure of every job to every cause; unknown pieces stand at this log's own mean."""
    shape = (len(jobs), len(causes))
    grade = np.full((*shape, len(SHAPES)), np.nan)
    known = np.zeros(shape, dtype=bool)
    for position, cause in enumerate(causes):
        if cause.evidence:
            grade[:, position], known[:, position] = _combined(cause, jobs)
    return Exposure(grade, known)


def _combined(cause: Cause, jobs: pd.DataFrame) -> tuple[Floats, NDArray[np.bool_]]:
    pieces = np.stack([grades(evidence, jobs) for evidence in cause.evidence])
    told = ~np.isnan(pieces[:, :, TRADE])
    known = told.any(axis=0)
    usual = _column_means(pieces)
    filled = np.where(np.isnan(pieces), usual[:, None, :], pieces)
    whole = filled.max(axis=0) if cause.needs == "any" else filled.prod(axis=0)
    whole[~known] = np.nan
    return whole, known


def _column_means(pieces: Floats) -> Floats:
    """(pieces, shapes) mean grade of each piece where known, 0 where it never was."""
    told = ~np.isnan(pieces)
    total = np.where(told, pieces, 0.0).sum(axis=1)
    return total / np.maximum(told.sum(axis=1), 1)
