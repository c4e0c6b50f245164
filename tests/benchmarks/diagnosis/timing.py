"""How long it takes, beside scikit-learn's LogisticRegression on the same matrix."""

from __future__ import annotations

import time
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median

import numpy as np
from sklearn.exceptions import ConvergenceWarning
from sklearn.linear_model import LogisticRegression

from analytics.diagnosis.diagnose import diagnose
from analytics.diagnosis.judging import case_of, judge
from analytics.diagnosis.model import fit_shop
from tests.benchmarks.diagnosis.attribution import Floats, filled
from tests.benchmarks.diagnosis.cases import Measured

ASKED = 9


@dataclass(frozen=True)
class Timed:
    """Median seconds on one shop: the whole fit, LogisticRegression one-vs-rest over the same
    defects on the same exposures, one part's chances, and one part's full answer.
    """

    name: str
    parts: int
    fit_s: float
    logistic_s: float
    judge_s: float
    why_s: float

    @property
    def ratio(self) -> float:
        return self.fit_s / self.logistic_s


def timed(shop: Measured, repeats: int) -> Timed:
    """Medians of `repeats` runs, the two fits taking turns so that both meet the same load."""
    fits, others = [], []
    for _ in range(repeats):
        fits.append(_seconds(lambda: fit_shop(shop.knowledge, shop.jobs, shop.defects)))
        others.append(_logistic_seconds(shop))
    parts = list(dict.fromkeys(case.part for case in shop.cases))[:ASKED]
    model, jobs, defects = shop.model, shop.jobs, shop.defects

    def chances(part: str) -> object:
        return judge(model, case_of(model, jobs, defects, part, {}, ()))

    def answer(part: str) -> object:
        return diagnose(model, jobs, defects, part)

    return Timed(
        shop.name,
        len(jobs),
        median(fits),
        median(others),
        median(_seconds(lambda p=p: chances(p)) for p in parts),  # type: ignore[misc]
        median(_seconds(lambda p=p: answer(p)) for p in parts),  # type: ignore[misc]
    )


def _logistic_seconds(shop: Measured) -> float:
    """Seconds to fit every defect laylog learns, on the columns it learns it from.

    The matrix is made outside the clock, laylog's own inside: the comparison is against laylog.
    """
    trade, model = shop.model.trade, shop.model
    taught = np.flatnonzero(shop.jobs["looked"].fillna(False).astype(bool))
    names = shop.jobs["part_id"].iloc[taught]
    spent = 0.0
    for family, kin in enumerate(trade.families):
        columns = np.flatnonzero((trade.share[:, family] > 0) & model.recorded)
        matrix = _matrix(model.exposure.grade[taught][:, columns])
        seen = shop.defects.loc[shop.defects["defect"].isin({kin.id, *kin.members}), "part_id"]
        shown = names.isin(set(seen)).to_numpy(dtype=bool)
        if columns.size and 0 < shown.sum() < len(shown):
            spent += _seconds(lambda x=matrix, y=shown: _fit(x, y))  # type: ignore[misc]
    return spent


def _matrix(grade: Floats) -> Floats:
    return filled(grade.reshape(len(grade), -1))


def _fit(matrix: Floats, shown: Floats) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ConvergenceWarning)
        LogisticRegression().fit(matrix, shown)


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start
