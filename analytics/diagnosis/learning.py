"""How strong each cause is in this shop: trade knowledge as the prior, the log as the evidence.

Each defect has a hazard on each job: the sum of what every cause adds to it,

    hazard = constant + sum over causes (strength x exposure) + own extras of the job's groups,

and the chance of the defect is 1 - exp(-hazard): a noisy-OR with leak (Pearl 1988), since
independent causes multiply the chances of escaping. Every strength is a Gamma variable whose
prior mean comes from the trade and weighs as much as `TRADE_JOBS` fully exposed jobs; groups
(moulds, lots, people) have sparse priors, so that nothing is blamed before it stands out. The
fit is variational Bayes: the defects seen are shared out over the terms that can have brought
them until nothing moves.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import digamma

from analytics.diagnosis.exposure import SHAPES, Exposure
from analytics.diagnosis.trade import Trade

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

TRADE_JOBS = 8.0
TRADE_EXPOSED = 0.08
SHAPE_WEIGHTS = np.array([0.15, 0.60, 0.25])
GROUP_SHAPE = 0.1
GROUP_MEAN = 0.2
CONSTANT_JOBS = 40.0
RESIDUAL = 0.10
LEAK = 0.06
ROUNDS = 200
SETTLED = 1e-4
GROUPS = ("mould_id", "gelcoat_lot", "resin_lot", "gelcoat_catalyst_lot", "operator")


@dataclass(frozen=True)
class Strengths:
    """Gamma posteriors of one family's terms.

    shape, rate : (K, 3) for each cause and exposure shape; mean strength is shape / rate.
    owed : (K,) defects of this log put down to each recorded cause.
    groups : mean extra hazard by group column and value.
    constant_shape, constant_rate : what no record explains, the same on every job.
    jobs, seen : parts looked at, and parts that showed it.
    """

    shape: Floats
    rate: Floats
    owed: Floats
    groups: Mapping[str, Mapping[str, float]]
    constant_shape: float
    constant_rate: float
    jobs: int
    seen: int


def usual_grades(exposure: Exposure) -> Floats:
    """(K, 3) mean grade where known, drawn towards the trade's idea of an ordinary shop."""
    told = np.where(exposure.known[:, :, None], exposure.grade, 0.0)
    known = exposure.known.sum(axis=0)[:, None]
    prior = TRADE_EXPOSED * SHAPE_WEIGHTS.sum()
    return (told.sum(axis=0) + prior * TRADE_JOBS) / (known + TRADE_JOBS)


def learn(
    trade: Trade,
    family: int,
    exposure: Exposure,
    groups: pd.DataFrame,
    present: NDArray[np.bool_],
) -> Strengths:
    """Posterior strengths of one family from the jobs where somebody wrote a result.

    Parameters
    ----------
    exposure : Exposure of the n jobs.
    groups : (n, 5) each job's mould, lots and person under the names of GROUPS; NaN unknown.
    present : (n,) True where the defect was seen.
    """
    usual = usual_grades(exposure)
    shape0, rate0 = cause_prior(trade, family, usual)
    graded = np.where(np.isnan(exposure.grade), usual, exposure.grade)
    coded = [pd.factorize(groups[name]) for name in GROUPS]
    return _share_out(trade, family, graded, coded, present, shape0, rate0)


def cause_prior(trade: Trade, family: int, usual: Floats) -> tuple[Floats, Floats]:
    """(K, 3) Gamma shapes and rates of the strengths before the log.

    The trade gives two figures that must both be believed a little: how strong full exposure is,
    and how many of the cases it brings. With the share of jobs exposed here they need not agree;
    the prior mean lies half-way between them on the log scale.
    """
    strong = trade.hazard[:, family]
    base = trade.families[family].base_rate
    exposed = np.maximum(usual @ SHAPE_WEIGHTS, 0.02)
    by_share = np.clip(trade.share[:, family] * base / exposed, 0.05 * strong, strong)
    mean = np.where(trade.recorded & (trade.share[:, family] > 0), np.sqrt(strong * by_share), 0.0)
    rate = np.full((len(mean), len(SHAPES)), TRADE_JOBS)
    return mean[:, None] * SHAPE_WEIGHTS * TRADE_JOBS, rate


def constant_prior(trade: Trade, family: int) -> float:
    """Hazard the trade expects from causes no record shows, and from nobody knows what."""
    share = trade.share[:, family]
    unseen = share[~trade.recorded].sum() + RESIDUAL * share[trade.recorded].sum()
    return float(trade.families[family].base_rate * (unseen + LEAK))


def _share_out(
    trade: Trade,
    family: int,
    graded: Floats,
    coded: list[tuple[Ints, pd.Index]],
    present: NDArray[np.bool_],
    shape0: Floats,
    rate0: Floats,
) -> Strengths:
    """Variational Bayes over the jobs that show the defect; the others only add exposure."""
    n = len(present)
    used = np.flatnonzero(shape0.sum(axis=1) > 0)
    flat = graded[:, used].reshape(n, -1)
    hit = flat[present]
    prior = np.concatenate([shape0[used].ravel(), [CONSTANT_JOBS * constant_prior(trade, family)]])
    rate = np.concatenate([rate0[used].ravel() + flat.sum(axis=0), [CONSTANT_JOBS + n]])
    extra = _Extras.of(coded, present, trade.families[family].base_rate)
    hit = np.column_stack([hit, np.ones(len(hit))])
    got, before = np.zeros_like(prior), -1.0
    for _ in range(ROUNDS if len(hit) else 0):
        weight = hit * np.exp(digamma(prior + got) - np.log(rate))
        own = extra.weights()
        hazard = weight.sum(axis=1) + own.sum(axis=1)
        share = 1.0 / -np.expm1(-hazard)  # expected firings over hazard, given at least one
        got = (weight * share[:, None]).sum(axis=0)
        extra.take(own * share[:, None])
        if abs(got[-1] - before) < SETTLED * (1 + before):
            break
        before = got[-1]
    shape, full_rate, owed = shape0.copy(), rate0.copy(), np.zeros(len(shape0))
    counts = got[:-1].reshape(len(used), -1)
    shape[used] += counts
    full_rate[used] = rate[:-1].reshape(len(used), -1)
    owed[used] = counts.sum(axis=1)
    return Strengths(
        shape, full_rate, owed, extra.means(), prior[-1] + got[-1], rate[-1], n, int(present.sum())
    )


class _Extras:
    """Extra hazards of single moulds, lots and people, each with a sparse Gamma prior."""

    def __init__(
        self, codes: list[Ints], names: list[pd.Index], rates: list[Floats], hits: list[Ints]
    ) -> None:
        self._codes, self._names, self._rates, self._hits = codes, names, rates, hits
        # Starting high lets a guilty group be found at all: a sparse prior never leaves zero.
        self._got = [
            0.5 * np.bincount(hit[hit >= 0], minlength=len(rate))
            for hit, rate in zip(hits, rates, strict=True)
        ]

    @classmethod
    def of(
        cls, coded: list[tuple[Ints, pd.Index]], present: NDArray[np.bool_], base_rate: float
    ) -> _Extras:
        first = GROUP_SHAPE / (GROUP_MEAN * base_rate)
        codes = [code for code, _ in coded]
        sizes = [len(names) for _, names in coded]
        rates = [
            first + np.bincount(code[code >= 0], minlength=size)
            for code, size in zip(codes, sizes, strict=True)
        ]
        return cls(codes, [names for _, names in coded], rates, [code[present] for code in codes])

    def weights(self) -> Floats:
        """(hits, groups) expected hazard of each hit's own groups; 0 where the group is unknown."""
        columns = []
        for hit, got, rate in zip(self._hits, self._got, self._rates, strict=True):
            level = np.append(np.exp(digamma(GROUP_SHAPE + got) - np.log(rate)), 0.0)
            columns.append(level[hit])
        return np.stack(columns, axis=1)

    def take(self, shares: Floats) -> None:
        for position, (hit, rate) in enumerate(zip(self._hits, self._rates, strict=True)):
            known = hit >= 0
            self._got[position] = np.bincount(
                hit[known], weights=shares[known, position], minlength=len(rate)
            )

    def means(self) -> dict[str, dict[str, float]]:
        return {
            column: dict(
                zip(map(str, names), ((GROUP_SHAPE + got) / rate).tolist(), strict=True)
            )
            for column, names, got, rate in zip(
                GROUPS, self._names, self._got, self._rates, strict=True
            )
        }
