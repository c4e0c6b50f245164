"""A small Bayesian regression: partly pooled lots, slips of the pen, noise learnt from the data.

Closed form for the coefficients, a grid for the two spreads, a few rounds to weigh each record.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from analytics.catalyst.normal import Fits, Floats, Rows, Sums

Flags = NDArray[np.bool_]

ROUNDS = 30
SETTLED = 1e-3


@dataclass(frozen=True)
class Spread:
    """What is believed of a standard deviation before any data: log-normal about `middle`."""

    middle: float
    log_sd: float
    low: float
    high: float
    steps: int

    def grid(self) -> tuple[Floats, Floats]:
        """The values tried and the log of their prior weight."""
        values = np.geomspace(self.low, self.high, self.steps)
        return values, -0.5 * (np.log(values / self.middle) / self.log_sd) ** 2


@dataclass(frozen=True)
class Design:
    """The rows and columns of one fit.

    `x` (rows, columns) and `y` (rows,); `prior_mean`, `prior_sd` (columns,). The last `lots`
    columns are one per lot, 1 where the row is of that lot: their prior sd is the lot spread being
    learnt. `no_lot` marks rows from an unknown lot, which carry that spread as extra noise.
    `known_sd` is the noise of rows that have one of their own (data-sheet figures) and NaN for the
    shop's records, whose noise is learnt.
    """

    x: Floats
    y: Floats
    prior_mean: Floats
    prior_sd: Floats
    lots: int
    no_lot: Flags
    known_sd: Floats

    @cached_property
    def rows(self) -> Rows:
        """The rows of `x` in the form that is quick to sum over."""
        return Rows.of(self.x, self.lots)

    @cached_property
    def misfit(self) -> Floats:
        """(rows,) how far each `y` is from what was believed before."""
        return np.asarray(self.y - self.rows.times(self.prior_mean))


class PooledRegression:
    """Linear regression with normal priors, a spread between lots and a share of slips.

    A record is either sound (noise sd learnt) or a slip (sd `slip_sd`, share `slip_share`); its
    chance of being sound, `sound_`, is its weight (variational Bayes for the two-part normal
    mixture: Bishop, Pattern Recognition and Machine Learning, 2006, chapter 10).

    Learnt: `mean_` (columns,) and `covariance_` of the coefficients, over all settings of the two
    spreads; `noise_sd_`, `lot_sd_`, their root mean squares; `sound_` (rows,); `log_evidence_`
    (a lower bound, up to a constant).
    """

    def __init__(self, noise: Spread, lot: Spread, slip_share: float, slip_sd: float) -> None:
        self.noise = noise
        self.lot = lot
        self.slip_share = slip_share
        self.slip_sd = slip_sd

    def fit(self, design: Design) -> PooledRegression:
        """Learn from one design; returns itself."""
        self.sound_ = self._first_look(design)
        self._fit_grid(design)
        for _ in range(ROUNDS):
            before, self.sound_ = self.sound_, self._weigh(design)
            self._fit_grid(design)
            if np.max(np.abs(self.sound_ - before), initial=0.0) < SETTLED:
                break
        return self

    def coefficient(self, column: int) -> tuple[float, float]:
        """Mean and sd of one coefficient."""
        return float(self.mean_[column]), float(np.sqrt(self.covariance_[column, column]))

    def linear(self, x: Floats) -> tuple[Floats, Floats]:
        """Mean and variance of x @ coefficients for each row of `x`, without noise."""
        return x @ self.mean_, np.sum((x @ self.covariance_) * x, axis=1)

    def _first_look(self, design: Design) -> Floats:
        """Chance that each row is sound, judged by its distance from the middle of the others.

        Starting from full trust lets two slips that agree drag the fit along with them.
        """
        misfit = design.misfit
        records = np.isnan(design.known_sd)
        if records.any():
            misfit = misfit - np.median(misfit[records])
        usual = np.full(misfit.shape, self.noise.middle**2 + self.lot.middle**2)
        return self._chance_sound(misfit**2, usual, design)

    def _weigh(self, design: Design) -> Floats:
        mean, variance = design.rows.times(self.mean_), design.rows.variance(self.covariance_)
        usual = np.where(design.no_lot, self._scatter_no_lot, self._scatter_in_lot)
        return self._chance_sound((design.y - mean) ** 2 + variance, usual, design)

    def _chance_sound(self, squares: Floats, usual: Floats, design: Design) -> Floats:
        if self.slip_share == 0.0:
            return np.ones_like(squares)
        slip = self.slip_sd**2
        odds = np.log((1 - self.slip_share) / self.slip_share) - 0.5 * np.log(usual / slip)
        odds = odds - 0.5 * squares * (1 / usual - 1 / slip)
        chance = 1.0 / (1.0 + np.exp(-np.clip(odds, -50.0, 50.0)))
        return np.where(np.isnan(design.known_sd), chance, 1.0)

    def _fit_grid(self, design: Design) -> None:
        """Average the fits at every pair of spreads, each weighted by its evidence."""
        (noises, p), (lots, q) = self.noise.grid(), self.lot.grid()
        noise, lot = np.repeat(noises, lots.size), np.tile(lots, noises.size)
        fits = self._solve(design, noise, lot)
        scores = fits.score + np.repeat(p, lots.size) + np.tile(q, noises.size)
        top = scores.max()
        log_sum = float(top + np.log(np.exp(scores - top).sum()))
        weights = np.exp(scores - log_sum)
        self.log_evidence_ = log_sum + self._slip_evidence(design)
        shift, self.covariance_ = fits.averaged(weights)
        self.mean_ = design.prior_mean + shift
        # the mean precision is what the weights of a mixture rest on, not the mean variance
        self._scatter_in_lot = 1.0 / (weights @ noise**-2.0)
        self._scatter_no_lot = 1.0 / (weights @ (1.0 / (noise**2 + lot**2)))
        self.noise_sd_ = float(np.sqrt(weights @ noise**2))
        self.lot_sd_ = float(np.sqrt(weights @ lot**2))

    def _slip_evidence(self, design: Design) -> float:
        """What calling some rows slips costs, so that fits with other slips can be compared."""
        if self.slip_share == 0.0:
            return 0.0
        sound = np.clip(self.sound_[np.isnan(design.known_sd)], 1e-12, 1.0 - 1e-12)
        slip = 1.0 - sound
        as_sound = sound * np.log((1.0 - self.slip_share) / sound)
        as_slip = slip * np.log(self.slip_share / slip / self.slip_sd)
        return float(np.sum(as_sound + as_slip))

    def _solve(self, design: Design, noise: Floats, lot: Floats) -> Fits:
        """The fit at each pair of spreads."""
        sums = self._row_sums(design)
        for_lot, for_no_lot = noise**-2.0, 1.0 / (noise**2 + lot**2)
        scales = np.stack([for_lot, for_no_lot, np.ones_like(noise)], axis=1)

        def total(piece: str) -> Floats:
            return np.tensordot(scales, np.stack([getattr(one, piece) for one in sums]), axes=1)

        law = design.x.shape[1] - design.lots
        prior = design.prior_sd[:law] ** -2.0
        fits = Fits.of(
            total("law") + np.diag(prior),
            total("between"),
            total("lots") + lot[:, None] ** -2.0,
            total("cross"),
        )
        rows = sums[0].rows * np.log(for_lot) + sums[1].rows * np.log(for_no_lot)
        beliefs = np.log(prior).sum() - 2.0 * design.lots * np.log(lot)
        constant = rows + beliefs - total("square")
        return replace(fits, score=fits.score + 0.5 * constant)

    def _row_sums(self, design: Design) -> tuple[Sums, Sums, Sums]:
        """Sums over sound records of known lots, of unknown lots, and rows of a noise known."""
        records = np.isnan(design.known_sd)
        slips = np.where(records, (1 - self.sound_) / self.slip_sd**2, 0.0)
        sheets = np.where(records, 0.0, design.known_sd**-2.0)
        return (
            Sums.of(design.rows, design.misfit, self.sound_ * (records & ~design.no_lot)),
            Sums.of(design.rows, design.misfit, self.sound_ * (records & design.no_lot)),
            Sums.of(design.rows, design.misfit, slips + sheets),
        )
