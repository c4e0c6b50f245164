"""The ranking's engine as scikit-learn estimators, so that others can use and compare it.

`NoisyOrClassifier` is the core on plain arrays: one fault, any exposures. `ShopCauses` is one
shop's whole model: every fault of the trade knowledge, from a jobs table.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray
from sklearn.base import BaseEstimator, ClassifierMixin
from sklearn.utils.multiclass import check_classification_targets
from sklearn.utils.validation import check_is_fitted, check_non_negative, validate_data

from analytics.diagnosis.model import Hazards, ShopModel, fit_shop
from analytics.diagnosis.planned import Plan, planned_exposure
from analytics.diagnosis.risk import cause_shares, planned_hazards, risk_of
from analytics.diagnosis.sharing import share_out
from analytics.knowledge.loading import load_knowledge
from analytics.knowledge.model import Knowledge

Floats = NDArray[np.float64]


class NoisyOrClassifier(ClassifierMixin, BaseEstimator):
    """A fault that shows when any of its causes fires; each can only make it likelier.

    P(fault) = 1 - exp(-(leak + sum of strength x exposure)), with Gamma priors on the strengths
    and on the leak, fitted by expectation-maximisation (`sharing.share_out`).

    Parameters
    ----------
    strength : float or (features,) array
        Prior mean of what full exposure (1) adds to the hazard.
    weight : float
        How many fully exposed jobs that prior counts for.
    leak, leak_weight : float
        Prior mean hazard of everything unrecorded, and how many jobs it counts for.

    Attributes
    ----------
    strength_ : (features,) posterior mean strengths.
    leak_ : posterior mean leak.
    classes_ : the two labels, the fault last.
    """

    def __init__(
        self,
        strength: float | ArrayLike = 0.3,
        weight: float = 15.0,
        leak: float = 0.02,
        leak_weight: float = 100.0,
    ) -> None:
        self.strength = strength
        self.weight = weight
        self.leak = leak
        self.leak_weight = leak_weight

    def fit(self, X: ArrayLike, y: ArrayLike) -> NoisyOrClassifier:  # noqa: N803
        """Learn from (jobs, features) exposures, none below 0, and (jobs,) labels of two kinds."""
        exposed, labels = validate_data(self, X, y, dtype=np.float64)
        check_classification_targets(labels)
        self.classes_, fault = np.unique(labels, return_inverse=True)
        if len(self.classes_) > 2:
            raise ValueError(
                "Only binary classification is supported. The type of the target is multiclass."
            )
        check_non_negative(exposed, type(self).__name__)
        terms = np.column_stack([exposed, np.ones(len(exposed))])
        mean = np.append(np.broadcast_to(self.strength, exposed.shape[1]), self.leak)
        rate = np.append(np.full(exposed.shape[1], self.weight), self.leak_weight)
        total = terms.sum(axis=0)
        got = share_out(terms[fault == 1], mean * rate, rate, total)
        posterior = (mean * rate + got) / (rate + total)
        self.strength_, self.leak_ = posterior[:-1], float(posterior[-1])
        return self

    def predict_proba(self, X: ArrayLike) -> Floats:  # noqa: N803
        """(jobs, classes) chances of no fault and of the fault; one column if only one was seen."""
        hazard = self._weights(X).sum(axis=1)
        if len(self.classes_) < 2:
            return np.ones((len(hazard), 1))
        return np.column_stack([np.exp(-hazard), -np.expm1(-hazard)])

    def predict(self, X: ArrayLike) -> NDArray[Any]:  # noqa: N803
        """(jobs,) the likelier label."""
        chances = self.predict_proba(X)
        return np.asarray(self.classes_[chances.argmax(axis=1)])

    def causes(self, X: ArrayLike) -> Floats:  # noqa: N803
        """(jobs, features + 1) whose doing a fault on each job would be; rows sum to 1.

        The last column is the leak: something unrecorded.
        """
        weights = self._weights(X)
        return np.asarray(weights / weights.sum(axis=1, keepdims=True))

    def _weights(self, X: ArrayLike) -> Floats:  # noqa: N803
        check_is_fitted(self)
        exposed = validate_data(self, X, reset=False, dtype=np.float64)
        leak = np.full(len(exposed), self.leak_)
        return np.column_stack([exposed * self.strength_, leak])

    def __sklearn_tags__(self) -> Any:
        tags = super().__sklearn_tags__()
        tags.input_tags.positive_only = True
        tags.classifier_tags.multi_class = False
        tags.classifier_tags.poor_score = True  # it cannot say that more of something helps
        return tags


class ShopCauses(BaseEstimator):
    """The risk of every defect on a job, and whose doing it would be, learnt from one shop's log.

    scikit-learn's own estimator checks do not apply: what it reads is a jobs table of numbers,
    words and blanks, not a matrix.

    Parameters
    ----------
    knowledge : the trade knowledge to start from; the built-in one if None.

    Attributes
    ----------
    model_ : the fitted `analytics.diagnosis.model.ShopModel`.
    defects_ : (D,) ids of the defects, in the order of `predict_proba`'s columns.
    causes_ : (K,) ids of the causes, in the order of `causes`' last axis; one more stands there.
    """

    def __init__(self, knowledge: Knowledge | None = None) -> None:
        self.knowledge = knowledge

    def fit(self, jobs: pd.DataFrame, defects: pd.DataFrame) -> ShopCauses:
        """Learn from a jobs table (`analytics.jobs.jobs_table`) and faults: part_id, defect."""
        self.jobs_ = jobs
        self.model_ = fit_shop(self.knowledge or load_knowledge(), jobs, defects)
        self.defects_ = np.array([family.id for family in self.model_.trade.families])
        self.causes_ = np.array([cause.id for cause in self.model_.trade.causes])
        return self

    def predict_proba(self, jobs: pd.DataFrame) -> Floats:
        """(n, D) chance of each defect on each planned job, as `risk.planned_risks` gives it.

        `jobs` has any of the jobs table's columns; a missing column or a blank is unknown. Each
        job stands as the next one after the log.
        """
        return np.stack([risk_of(self._fitted(), one) for one in self._hazards(jobs)])

    def causes(self, jobs: pd.DataFrame) -> Floats:
        """(n, D, K + 1) whose doing each defect would be, something else last; sums are 1."""
        return np.stack([cause_shares(self._fitted(), one) for one in self._hazards(jobs)])

    def _fitted(self) -> ShopModel:
        check_is_fitted(self)
        return self.model_

    def _hazards(self, jobs: pd.DataFrame) -> list[Hazards]:
        model = self._fitted()
        plans: list[Plan] = [
            {str(name): value for name, value in row.items() if not pd.isna(value)}
            for row in jobs.to_dict("records")
        ]
        return planned_hazards(model, planned_exposure(model, self.jobs_, plans), plans)
