"""Logistic regression for few jobs: Firth's penalty, profile intervals.

Plain maximum likelihood runs off to infinity when a condition separates good from bad, which
with twenty jobs happens often; the penalised fit stays finite, and only its profile interval
(not estimate +- 1.96 standard errors) tells the truth then.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analytics.stats.proportions import normal_quantile

Floats = NDArray[np.float64]

_MAX_STEPS = 1000
_MAX_HALVINGS = 40
_ROOT_LEFT = 1e-7
_LOST = 1e-13
"""Smallest to largest span of the information below which it is only rounding."""
_GAIN_LEFT = 1e-12
"""A step that would raise the log-likelihood by less than this is not taken."""


@dataclass(frozen=True)
class FirthFit:
    """Penalised logistic regression; every array starts with the constant, then the columns of x.

    `low` to `high` are profile intervals of the coefficients; `chi2` and `p_value` the penalised
    likelihood-ratio test that a coefficient is 0; `log_likelihood` is the penalised one.
    """

    coefficients: Floats
    standard_errors: Floats
    low: Floats
    high: Floats
    chi2: Floats
    p_value: Floats
    log_likelihood: float


def firth(x: ArrayLike, y: ArrayLike, level: float = 0.95) -> FirthFit:
    """Fit of ln odds of y on the columns of x with Firth's penalty.

    Parameters
    ----------
    x : array (n, k)
        Conditions, without a column of ones; no NaN, no column that is constant or a copy.
    y : array (n,)
        1 defect, 0 good; both must occur.

    Raises
    ------
    ValueError
        A column says nothing new, or y never varies.

    Notes
    -----
    Firth 1993, Biometrika 80:27; Heinze & Schemper 2002, Stat. Med. 21:2409.
    """
    outcome = np.asarray(y, dtype=float)
    conditions = np.asarray(x, dtype=float).reshape(outcome.size, -1)
    design = np.column_stack([np.ones(outcome.size), conditions])
    if np.linalg.matrix_rank(design) < design.shape[1]:
        raise ValueError("a column of x is constant or follows from the others")
    if outcome.min() == outcome.max():
        raise ValueError("y never varies: there is nothing to explain")
    columns = range(design.shape[1])
    each = [_coefficient(np.roll(design, -1 - j, axis=1), outcome, level) for j in columns]
    fields = np.array(each)
    return FirthFit(
        coefficients=fields[:, 0],
        standard_errors=fields[:, 1],
        low=fields[:, 2],
        high=fields[:, 3],
        chi2=fields[:, 4],
        p_value=fields[:, 5],
        log_likelihood=float(fields[0, 6]),
    )


def _coefficient(design: Floats, outcome: Floats, level: float) -> tuple[float, ...]:
    """Fields of `FirthFit` for the last column of the design.

    The columns are made orthonormal with the last one last: its coefficient stays the same but
    for a factor, and conditions far from 0 (temperatures near 20) no longer spoil the sums.
    """
    from scipy.special import chdtrc

    orthonormal, triangle = np.linalg.qr(design)
    model = _Model(orthonormal, outcome)
    best = model.maximise(np.zeros(model.size))
    unit = triangle[-1, -1]
    without = model.maximise(np.zeros(model.size), free=model.size - 1)
    chi2 = max(0.0, 2 * (best.fit - without.fit))
    ends = sorted(model.profile_end(best, level, side) / unit for side in (-1.0, 1.0))
    return (
        best.at[-1] / unit,
        np.sqrt(np.linalg.inv(best.information)[-1, -1]) / abs(unit),
        *ends,
        chi2,
        float(chdtrc(1, chi2)),
        best.fit + float(np.log(np.abs(np.diag(triangle))).sum()),
    )


@dataclass(frozen=True)
class _Point:
    """One place on the penalised likelihood.

    `curvature` is the information with the leverages counted in: close to what the penalty makes
    of it, so steps by it arrive in a few strides where plain information takes dozens.
    """

    at: Floats
    fit: float
    slope: Floats
    information: Floats
    curvature: Floats


class _Model:
    def __init__(self, design: Floats, outcome: Floats) -> None:
        self.design, self.outcome, self.size = design, outcome, design.shape[1]

    def point(self, at: Floats) -> _Point:
        line = self.design @ at
        chance = 1.0 / (1.0 + np.exp(-np.clip(line, -500, 500)))
        weight = chance * (1 - chance)
        information = (self.design * weight[:, None]).T @ self.design
        spans = np.linalg.eigvalsh(information)
        if spans[0] <= _LOST * spans[-1]:
            return _Point(at, -np.inf, np.zeros(self.size), information, np.eye(self.size))
        spread = np.linalg.solve(information, self.design.T)
        leverage = weight * (self.design * spread.T).sum(axis=1)
        slope = self.design.T @ (self.outcome - chance + leverage * (0.5 - chance))
        plain = float(self.outcome @ line - np.logaddexp(0.0, line).sum())
        curvature = (self.design * (weight * (1 + leverage))[:, None]).T @ self.design
        return _Point(at, plain + 0.5 * float(np.log(spans).sum()), slope, information, curvature)

    def maximise(self, start: Floats, free: int | None = None) -> _Point:
        """The highest point; with `free` only the first so many coefficients move."""
        here = self.point(start)
        for _ in range(_MAX_STEPS):
            step = np.zeros(self.size)
            step[:free] = np.linalg.solve(here.curvature[:free, :free], here.slope[:free])
            if here.slope @ step < _GAIN_LEFT:
                break
            ahead = self._uphill(here, step)
            if ahead is here:
                break
            here = ahead
        return here

    def _uphill(self, here: _Point, step: Floats) -> _Point:
        """A higher point along the step, shortened as often as it takes."""
        for _ in range(_MAX_HALVINGS):
            ahead = self.point(here.at + step)
            if ahead.fit >= here.fit:
                return ahead
            step = step / 2
        return here

    def profile(self, near: _Point, value: float) -> _Point:
        """The highest point with the last coefficient held at a value, looked for from `near`."""
        # The others start where they would be if the likelihood were a paraboloid; left where they
        # are they put every job at certain good or certain defect, and there is no way back.
        along = np.linalg.inv(near.curvature)[:, -1]
        start = near.at + (value - near.at[-1]) / along[-1] * along
        return self.maximise(start, free=self.size - 1)

    def profile_end(self, best: _Point, level: float, side: float) -> float:
        """Where the profile of the last coefficient has dropped by what the level allows.

        Newton steps on the root of twice the drop, which is nearly a straight line (the slope of
        a profile is the slope of the whole), kept between the ends known so far.
        """
        wanted = normal_quantile(level)
        inside, low, high = best, 0.0, np.inf
        distance = wanted * float(np.sqrt(np.linalg.inv(best.information)[-1, -1]))
        for _ in range(_MAX_STEPS):
            here = self.profile(inside, best.at[-1] + side * distance)
            root = float(np.sqrt(max(0.0, 2 * (best.fit - here.fit))))
            if abs(wanted - root) < _ROOT_LEFT:
                break
            if root < wanted:
                inside, low = here, distance
            else:
                high = distance
            steep = -side * here.slope[-1]
            ahead = distance + (wanted - root) * root / steep if steep > 0 else np.inf
            limit = min(high, 2 * low) if low else high
            distance = ahead if low < ahead < limit else (low + limit) / 2
        return float(best.at[-1] + side * distance)
