"""The regression's algebra against plain dense formulas and scipy."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from analytics.catalyst.normal import Fits
from analytics.catalyst.regression import Design, PooledRegression, Spread

NOISE, LOT = 0.2, 0.3


def known(sd: float) -> Spread:
    """A spread that is not learnt: one value only."""
    return Spread(sd, 1.0, sd, sd, 1)


def a_design(seed: int = 0, rows: int = 40, lots: int = 6) -> Design:
    """Two law columns, then lots; every fifth row is of no known lot."""
    rng = np.random.default_rng(seed)
    no_lot = np.arange(rows) % 5 == 0
    of_lot = np.eye(lots)[rng.integers(0, lots, rows)] * ~no_lot[:, None]
    x = np.hstack([np.ones((rows, 1)), rng.normal(size=(rows, 1)), of_lot])
    mean = np.r_[3.0, 0.5, np.zeros(lots)]
    sd = np.r_[0.4, 0.7, np.full(lots, LOT)]
    unknown = no_lot * rng.normal(0, LOT, rows)
    y = x @ rng.normal(mean, sd) + unknown + rng.normal(0, NOISE, rows)
    return Design(x, y, mean, sd, lots, no_lot, np.full(rows, np.nan))


def fitted(design: Design) -> PooledRegression:
    return PooledRegression(known(NOISE), known(LOT), 0.0, 1.0).fit(design)


def dense_variance(design: Design) -> np.ndarray:
    own = np.where(np.isnan(design.known_sd), NOISE**2 + design.no_lot * LOT**2, 0.0)
    return own + np.nan_to_num(design.known_sd) ** 2


def test_posterior_is_that_of_the_dense_normal_equations() -> None:
    design = a_design()
    weight = 1.0 / dense_variance(design)
    covariance = np.linalg.inv((design.x.T * weight) @ design.x + np.diag(design.prior_sd**-2.0))
    mean = covariance @ ((design.x.T * weight) @ design.y + design.prior_mean / design.prior_sd**2)
    model = fitted(design)
    assert model.mean_ == pytest.approx(mean, rel=1e-9)
    assert model.covariance_ == pytest.approx(covariance, rel=1e-9)


def test_a_row_with_a_noise_of_its_own_counts_by_it() -> None:
    design = a_design()
    pinned = replace(design, known_sd=np.where(np.arange(40) == 0, 1e-4, np.nan))
    assert (pinned.x @ fitted(pinned).mean_)[0] == pytest.approx(pinned.y[0], abs=1e-4)


def test_evidence_differs_between_beliefs_as_scipy_says() -> None:
    def by_scipy(design: Design) -> float:
        spread = (design.x * design.prior_sd**2) @ design.x.T + np.diag(dense_variance(design))
        return float(multivariate_normal.logpdf(design.y, design.x @ design.prior_mean, spread))

    one = a_design()
    other = replace(one, prior_sd=np.r_[0.1, 2.0, one.prior_sd[2:]])
    gap = fitted(one).log_evidence_ - fitted(other).log_evidence_
    assert gap == pytest.approx(by_scipy(one) - by_scipy(other), rel=1e-9)


def test_averaging_two_settings_adds_the_spread_between_their_means() -> None:
    fits = Fits.of(
        law=np.array([[[4.0]], [[4.0]]]),
        between=np.zeros((2, 1, 1)),
        lots=np.ones((2, 1)),
        cross=np.array([[0.0, 0.0], [8.0, 0.0]]),
    )
    shift, covariance = fits.averaged(np.array([0.5, 0.5]))
    assert shift.tolist() == [1.0, 0.0]
    assert covariance.tolist() == [[0.25 + 1.0, 0.0], [0.0, 1.0]]


def test_lot_spread_is_learnt_from_many_lots() -> None:
    empty = PooledRegression(known(NOISE), Spread(0.15, 0.5, 0.03, 0.5, 15), 0.0, 1.0)
    learnt = [empty.fit(a_design(seed, rows=400, lots=40)).lot_sd_ for seed in range(20)]
    assert np.mean(learnt) == pytest.approx(LOT, abs=0.03)


def test_slip_is_told_from_the_rest() -> None:
    design = a_design()
    slipped = replace(design, y=design.y + 2.3 * (np.arange(40) == 11))
    model = PooledRegression(known(NOISE), known(LOT), 0.02, 1.0).fit(slipped)
    assert np.flatnonzero(model.sound_ < 0.5).tolist() == [11]
