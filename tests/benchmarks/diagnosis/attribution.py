"""General-purpose learners on the same graded exposures, and what each exposure adds."""

from __future__ import annotations

import warnings
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from sklearn.ensemble import HistGradientBoostingClassifier
from sklearn.exceptions import ConvergenceWarning
from sklearn.linear_model import LogisticRegression

from analytics.diagnosis.exposure import TRADE
from tests.benchmarks.diagnosis.cases import Case, Measured

Floats = NDArray[np.float64]
Parts = dict[tuple[str, str], Floats]

BACKGROUND = 16
SEED = 7


@dataclass(frozen=True)
class _Task:
    """One defect to learn: exposures (n, C) of its recorded causes, who shows it, who is asked.

    `columns` (C,) are the causes' places among all K, `taught` the jobs with a result.
    """

    graded: Floats
    columns: NDArray[np.intp]
    shown: NDArray[np.bool_]
    taught: NDArray[np.intp]
    asked: NDArray[np.intp]
    cases: list[Case]

    def parts(self, causes: int, added: Floats, rest: Floats) -> Iterator[tuple[Case, Floats]]:
        """(K + 1,) shares per case: `added` (cases, C) scaled to 1 - `rest`, and `rest` last."""
        total = np.maximum(added.sum(axis=1, keepdims=True), 1e-12)
        rest = np.where(added.sum(axis=1) > 0, np.clip(rest, 0, 1), 1.0)
        scaled = added / total * (1 - rest)[:, None]
        for case, own, left in zip(self.cases, scaled, rest, strict=True):
            whole = np.zeros(causes + 1)
            whole[self.columns] = own
            whole[-1] = left
            yield case, whole


def logistic_parts(shop: Measured) -> Parts:
    """Attributable parts from one logistic regression per defect.

    A condition's part is the share of the chance that goes when it alone is put right; what is
    left when all are put right is owed to none of them. Unknown exposures stand at their mean.
    """
    return _attributed(shop, _by_logistic)


def boosting_parts(shop: Measured) -> Parts:
    """Single-feature Shapley-style parts from gradient boosting of each defect.

    A condition's part is the mean of what it adds as the first and as the last to be put in, over
    a background of jobs without the defect. Unknown exposures are left to the learner.
    """
    return _attributed(shop, _by_boosting)


def _attributed(shop: Measured, explain: Callable[[_Task], tuple[Floats, Floats]]) -> Parts:
    causes = len(shop.model.trade.causes)
    found: Parts = {}
    for task in _tasks(shop):
        for case, whole in task.parts(causes, *explain(task)):
            found[case.part, case.defect] = whole
    return found


def _tasks(shop: Measured) -> Iterator[_Task]:
    trade = shop.model.trade
    place = {part: row for row, part in enumerate(shop.jobs["part_id"])}
    taught = np.flatnonzero(shop.jobs["looked"].fillna(False).astype(bool))
    by_family = defaultdict(list)
    for case in shop.cases:
        by_family[trade.family_index(case.defect)].append(case)
    for family, cases in by_family.items():
        kin = trade.families[family]
        columns = np.flatnonzero((trade.share[:, family] > 0) & shop.model.recorded)
        grade = shop.model.exposure.grade[:, columns, TRADE]
        seen = shop.defects.loc[shop.defects["defect"].isin({kin.id, *kin.members}), "part_id"]
        yield _Task(
            graded=grade,
            columns=columns,
            shown=shop.jobs["part_id"].isin(set(seen)).to_numpy(dtype=bool),
            taught=taught,
            asked=np.array([place[case.part] for case in cases]),
            cases=cases,
        )


def filled(graded: Floats) -> Floats:
    """The exposures with unknown ones at the mean of their column, 0 where never known."""
    told = ~np.isnan(graded)
    mean = np.where(told, graded, 0.0).sum(axis=0) / np.maximum(told.sum(axis=0), 1)
    return np.where(told, graded, mean)


def _nothing(task: _Task) -> tuple[Floats, Floats]:
    return np.zeros((len(task.asked), len(task.columns))), np.ones(len(task.asked))


def _one_sided(task: _Task) -> bool:
    """True where there is nothing to learn from: no conditions, or all parts alike."""
    return not task.columns.size or bool(task.shown[task.taught].all())


def _by_logistic(task: _Task) -> tuple[Floats, Floats]:
    if _one_sided(task):
        return _nothing(task)
    graded = filled(task.graded)
    model = LogisticRegression(max_iter=500)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ConvergenceWarning)
        model.fit(graded[task.taught], task.shown[task.taught])
    pull = graded[task.asked] * model.coef_[0]
    whole = pull.sum(axis=1) + model.intercept_[0]
    chance = _logistic(whole)
    added = 1 - _logistic(whole[:, None] - pull) / chance[:, None]
    rest = _logistic(whole - np.maximum(pull, 0.0).sum(axis=1)) / chance
    return np.maximum(added, 0.0), rest


def _logistic(odds: Floats) -> Floats:
    return np.asarray(1 / (1 + np.exp(-odds)))


def _by_boosting(task: _Task) -> tuple[Floats, Floats]:
    if _one_sided(task):
        return _nothing(task)
    model = HistGradientBoostingClassifier(
        max_iter=60, max_leaf_nodes=15, learning_rate=0.1, random_state=SEED
    )
    model.fit(task.graded[task.taught], task.shown[task.taught])
    clean = task.taught[~task.shown[task.taught]]
    rng = np.random.default_rng(SEED)
    base = task.graded[rng.choice(clean, size=min(BACKGROUND, len(clean)), replace=False)]
    asked = task.graded[task.asked]
    chance = model.predict_proba(asked)[:, 1]
    usual = float(model.predict_proba(base)[:, 1].mean())
    added = np.zeros_like(asked)
    for column in range(asked.shape[1]):
        last = chance - _swapped(model, asked, base, column)
        first = _swapped(model, base, asked, column, by_donor=True) - usual
        added[:, column] = np.maximum((first + last) / 2, 0.0)
    return added, usual / chance


def _swapped(
    model: HistGradientBoostingClassifier,
    rows: Floats,
    donors: Floats,
    column: int,
    *,
    by_donor: bool = False,
) -> Floats:
    """Mean chance of each row (or of each donor) with the donor's value in one column."""
    mixed = np.repeat(rows, len(donors), axis=0)
    mixed[:, column] = np.tile(donors[:, column], len(rows))
    chance = model.predict_proba(mixed)[:, 1].reshape(len(rows), len(donors))
    return np.asarray(chance.mean(axis=0 if by_donor else 1))
