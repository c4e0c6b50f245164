"""The algebra of many small normal regressions at once, quick where most columns are lots.

A row belongs to one lot at most, so the lots' own block of the equations is diagonal and drops
out (Schur complement): a shop with hundreds of lots costs little more than one with ten.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Places = NDArray[np.intp]

NOTHING = 1e-20
"""A setting of less weight than this adds nothing that a float can hold."""


@dataclass(frozen=True)
class Rows:
    """Rows of a regression: `law` (rows, law), and the place of each row's lot (`lots`: none)."""

    law: Floats
    lot: Places
    lots: int

    @staticmethod
    def of(x: Floats, lots: int) -> Rows:
        """The rows of `x`, whose last `lots` columns are one per lot, 1 where the row is of it."""
        law = x.shape[1] - lots
        of_lot = x[:, law:]
        lot = np.full(len(x), lots, dtype=np.intp)
        row, place = np.nonzero(of_lot)
        lot[row] = place
        return Rows(np.ascontiguousarray(x[:, :law]), lot, lots)

    def by_lot(self, values: Floats) -> Floats:
        """Sums of `values` (rows,) over the rows of each lot (lots,)."""
        sums = np.bincount(self.lot, weights=values, minlength=self.lots + 1)[: self.lots]
        return np.asarray(sums, dtype=np.float64)

    def times(self, coefficients: Floats) -> Floats:
        """(rows,) the rows times these coefficients, law first."""
        law = self.law.shape[1]
        return self.law @ coefficients[:law] + np.r_[coefficients[law:], 0.0][self.lot]

    def variance(self, covariance: Floats) -> Floats:
        """(rows,) variance of the rows times coefficients that have this covariance."""
        law = self.law.shape[1]
        between = np.pad(covariance[law:, :law], ((0, 1), (0, 0)))
        own = np.r_[np.diag(covariance)[law:], 0.0]
        towards = self.law @ covariance[:law, :law] + 2.0 * between[self.lot]
        return np.asarray(np.sum(self.law * towards, axis=1) + own[self.lot])


@dataclass(frozen=True)
class Sums:
    """Weighted sums of some rows: all a normal regression needs of them.

    `law` (law, law), `between` (law, lots) and `lots` (lots,) are the pieces of the gram matrix,
    of which lots by lots is diagonal; `cross` (law + lots,).
    """

    law: Floats
    between: Floats
    lots: Floats
    cross: Floats
    square: Floats
    rows: float

    @staticmethod
    def of(rows: Rows, y: Floats, weights: Floats) -> Sums:
        """Sums of rows and `y` (rows,) under `weights` (rows,)."""
        weighted = rows.law * weights[:, None]
        between = [rows.by_lot(column) for column in weighted.T]
        cross = np.r_[weighted.T @ y, rows.by_lot(weights * y)]
        return Sums(
            weighted.T @ rows.law,
            np.asarray(between).reshape(rows.law.shape[1], rows.lots),
            rows.by_lot(weights),
            cross,
            np.asarray(weights @ y**2),
            float(weights.sum()),
        )


@dataclass(frozen=True)
class Fits:
    """Solutions at many settings (the first axis): law columns first, then lots.

    `shift` is how far each coefficient moves from its prior mean, `score` the part of the log
    evidence that depends on the solution; `reduced`, `carry`, `lot_var` hold the covariance in
    pieces.
    """

    shift: Floats
    score: Floats
    reduced: Floats
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
        to_law = cross[:, :size, None] - carry @ cross[:, size:, None]
        law_shift = np.linalg.solve(reduced, to_law)
        lot_shift = cross[:, size:] / lots - (np.swapaxes(carry, 1, 2) @ law_shift)[:, :, 0]
        shift = np.concatenate([law_shift[:, :, 0], lot_shift], axis=1)
        log_det = np.linalg.slogdet(reduced)[1] + np.log(lots).sum(axis=1)
        score = 0.5 * (np.sum(shift * cross, axis=1) - log_det)
        return Fits(shift, score, reduced, carry, 1.0 / lots)

    def averaged(self, weights: Floats) -> tuple[Floats, Floats]:
        """Mean shift and whole covariance when each setting counts by its weight (summing to 1)."""
        counts = weights > NOTHING
        weights, carry = weights[counts], self.carry[counts]
        law_cov = np.asarray(np.linalg.inv(self.reduced[counts]), dtype=np.float64)
        shift = weights @ self.shift[counts]
        apart = self.shift[counts] - shift
        weighted = weights[:, None, None] * law_cov
        pulled = weighted @ carry
        law = weighted.sum(axis=0)
        between = -pulled.sum(axis=0)
        lots = np.diag(weights @ self.lot_var[counts]) + np.tensordot(
            carry, pulled, axes=([0, 1], [0, 1])
        )
        within = np.block([[law, between], [between.T, lots]])
        return shift, within + (apart.T * weights) @ apart
