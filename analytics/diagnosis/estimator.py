"""The ranking's engine as a scikit-learn classifier, so that others can use and compare it."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from sklearn.base import BaseEstimator, ClassifierMixin
from sklearn.utils.multiclass import check_classification_targets
from sklearn.utils.validation import check_is_fitted, check_non_negative, validate_data

from analytics.diagnosis.sharing import share_out

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
