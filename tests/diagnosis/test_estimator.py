"""The engine as a scikit-learn classifier: its conventions, and what it must get right."""

from __future__ import annotations

import numpy as np
import pytest
from sklearn.utils.estimator_checks import parametrize_with_checks

from analytics.diagnosis.estimator import NoisyOrClassifier


@parametrize_with_checks([NoisyOrClassifier()])
def test_it_keeps_scikit_learns_conventions(estimator, check) -> None:  # type: ignore[no-untyped-def]
    """scikit-learn's own estimator checks, all that its tags say apply."""
    check(estimator)


def a_shop(jobs: int, strengths: list[float], leak: float, seed: int = 1):  # type: ignore[no-untyped-def]
    rng = np.random.default_rng(seed)
    exposed = rng.uniform(0, 1, (jobs, len(strengths))) * (rng.random((jobs, len(strengths))) < 0.4)
    chance = 1 - np.exp(-(leak + exposed @ np.array(strengths)))
    return exposed, (rng.random(jobs) < chance).astype(int), chance


def test_it_finds_the_strengths_of_a_noisy_or() -> None:
    exposed, fault, _ = a_shop(20_000, [1.0, 0.3, 0.0], 0.05)
    fitted = NoisyOrClassifier(leak_weight=10).fit(exposed, fault)
    np.testing.assert_allclose(fitted.strength_, [1.0, 0.3, 0.0], atol=0.05)
    assert fitted.leak_ == pytest.approx(0.05, abs=0.015)


def test_its_chances_mean_what_they_say() -> None:
    exposed, fault, _ = a_shop(4000, [1.2, 0.4], 0.05)
    risk = NoisyOrClassifier().fit(exposed[:3000], fault[:3000]).predict_proba(exposed[3000:])[:, 1]
    high = risk > np.median(risk)
    for part in (high, ~high):
        assert risk[part].mean() == pytest.approx(fault[3000:][part].mean(), abs=0.05)


def test_more_exposure_never_lowers_the_risk() -> None:
    exposed, fault, _ = a_shop(300, [0.8, 0.1], 0.05)
    fitted = NoisyOrClassifier().fit(exposed, fault)
    ladder = np.column_stack([np.linspace(0, 1, 9), np.full(9, 0.3)])
    assert (np.diff(fitted.predict_proba(ladder)[:, 1]) >= 0).all()


def test_causes_share_out_one() -> None:
    exposed, fault, _ = a_shop(300, [0.8, 0.1], 0.05)
    shares = NoisyOrClassifier().fit(exposed, fault).causes(exposed)
    np.testing.assert_allclose(shares.sum(axis=1), 1.0)
    assert shares.shape == (300, 3)
