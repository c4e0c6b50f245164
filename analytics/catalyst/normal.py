"""The algebra of many small normal regressions at once, quick where most columns are lots.

A row belongs to one lot at most, so the lots' own block of the equations is diagonal and drops
out (Schur complement): a shop with hundreds of lots costs little more than one with ten.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Sums:
    """Weighted sums of some rows: all a normal regression needs of them."""

    gram: Floats
    cross: Floats
    square: Floats
    rows: float

    @staticmethod
    def of(x: Floats, y: Floats, weights: Floats) -> Sums:
        """Sums of rows `x` (rows, columns) and `y` (rows,) under `weights` (rows,)."""
        weighted = x * weights[:, None]
        return Sums(
            weighted.T @ x, weighted.T @ y, np.asarray(weights @ y**2), float(weights.sum())
        )


@dataclass(frozen=True)
class Fits:
    """Solutions at many settings (the first axis): law columns first, then lots.

    `shift` is how far each coefficient moves from its prior mean, `score` the part of the log
    evidence that depends on the solution; `law_cov`, `carry`, `lot_var` hold the covariance in
    pieces.
    """

    shift: Floats
    score: Floats
    law_cov: Floats
    carry: Floats
    lot_var: Floats

    @staticmethod
    def of(law: Floats, between: Floats, lots: Floats, cross: Floats) -> Fits:
        """Solve at every setting.

        Parameters
        ----------
        law : array (settings, law, law)
            Precision of the law's coefficients, prior included.
        between : array (settings, law, lots)
            Precision between law and lots.
        lots : array (settings, lots)
            Precision of each lot's offset, prior included.
        cross : array (settings, law + lots)
            The right-hand side.
        """
        size = law.shape[1]
        carry = between / lots[:, None, :]
        reduced = law - carry @ np.swapaxes(between, 1, 2)
        law_cov = np.asarray(np.linalg.inv(reduced), dtype=np.float64)
        to_law = cross[:, :size] - np.einsum("kij,kj->ki", carry, cross[:, size:])
        law_shift = np.einsum("kij,kj->ki", law_cov, to_law)
        lot_shift = cross[:, size:] / lots - np.einsum("kij,ki->kj", carry, law_shift)
        shift = np.concatenate([law_shift, lot_shift], axis=1)
        log_det = np.linalg.slogdet(reduced)[1] + np.log(lots).sum(axis=1)
        score = 0.5 * (np.sum(shift * cross, axis=1) - log_det)
        return Fits(shift, score, law_cov, carry, 1.0 / lots)

    def averaged(self, weights: Floats) -> tuple[Floats, Floats]:
        """Mean shift and whole covariance when each setting counts by its weight (summing to 1)."""
        shift = weights @ self.shift
        apart = self.shift - shift
        weighted = weights[:, None, None] * self.law_cov
        pulled = weighted @ self.carry
        law = weighted.sum(axis=0)
        between = -pulled.sum(axis=0)
        lots = np.diag(weights @ self.lot_var) + np.tensordot(
            self.carry, pulled, axes=([0, 1], [0, 1])
        )
        within = np.block([[law, between], [between.T, lots]])
        return shift, within + (apart.T * weights) @ apart
