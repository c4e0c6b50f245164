"""How strong each cause is in this shop: trade knowledge as the prior, the log as the evidence.

Each defect has a hazard on each job: the sum of what every cause adds to it,

    hazard = constant + sum over causes (strength x exposure) + own extras of the job's groups,

and the chance of the defect is 1 - exp(-hazard): a noisy-OR with leak (Pearl 1988), since
independent causes multiply the chances of escaping. Every strength is a Gamma variable whose
prior mean comes from the trade and weighs as much as `TRADE_JOBS` fully exposed jobs; groups
(moulds, lots, people) have sparse priors, so that nothing is blamed before it stands out. The
fit is expectation-maximisation (variational for the groups): the defects seen are shared out over
the terms that can have brought them until nothing moves.
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

TRADE_JOBS = 15.0
TRADE_EXPOSED = 0.08
SHAPE_WEIGHTS = np.array([0.10, 0.60, 0.30])
GROUP_SHAPE = 0.1
GROUP_MEAN = 0.1
CONSTANT_JOBS = 1000.0
RESIDUAL = 0.10
LEAK = 0.06
OFTEN_ENOUGH = 0.03
NEARBY = 25
NEARBY_WEIGHT = 5.0
ROUNDS = 200
SETTLED = 1e-4
GROUPS = ("mould_id", "gelcoat_lot", "resin_lot", "gelcoat_catalyst_lot", "operator")


@dataclass(frozen=True)
class Strengths:
    """Gamma posteriors of one family's terms.

    shape, rate : (K, 3) for each cause and exposure shape; mean strength is shape / rate.
    owed : (K,) defects of this log put down to each recorded cause.
    groups : mean extra hazard by group column and value.
    constant : mean hazard that no record explains, the same on every job.
    chain : (F,) mean hazard added on a part that shows the other family.
    jobs, seen : parts looked at, and parts that showed it.
    """

    shape: Floats
    rate: Floats
    owed: Floats
    groups: Mapping[str, Mapping[str, float]]
    constant: float
    chain: Floats
    jobs: int
    seen: int


@dataclass(frozen=True)
class Design:
    """What every family is learnt from: n jobs where somebody wrote a result.

    graded : (n, K, 3) exposures, unknown ones at this shop's usual grade `usual` (K, 3).
    coded : for each of GROUPS, (n,) code of the job's group (-1 unknown) and the group names.
    shown : (n, F) True where a job shows a defect of the family.
    recorded : (K,) True for causes this log writes something about often enough to learn from.
    """

    graded: Floats
    usual: Floats
    coded: list[tuple[Ints, pd.Index]]
    shown: NDArray[np.bool_]
    recorded: NDArray[np.bool_]

    @classmethod
    def of(cls, exposure: Exposure, groups: pd.DataFrame, shown: NDArray[np.bool_]) -> Design:
        usual = usual_grades(exposure)
        graded = np.where(np.isnan(exposure.grade), nearby_grades(exposure, usual), exposure.grade)
        told = exposure.known & ~exposure.impossible
        recorded = told.sum(axis=0) >= OFTEN_ENOUGH * max(len(shown), 1)
        coded = [pd.factorize(groups[name]) for name in GROUPS]
        return cls(graded, usual, coded, shown, recorded)


def usual_grades(exposure: Exposure) -> Floats:
    """(K, 3) mean grade where known, drawn towards the trade's idea of an ordinary shop."""
    told = np.where(exposure.known[:, :, None], exposure.grade, 0.0)
    known = exposure.known.sum(axis=0)[:, None]
    return (told.sum(axis=0) + TRADE_EXPOSED * TRADE_JOBS) / (known + TRADE_JOBS)


def nearby_grades(exposure: Exposure, usual: Floats) -> Floats:
    """(n, K, 3) mean known grade over the NEARBY jobs before and after, drawn towards `usual`.

    What nobody wrote down is likeliest what the jobs of those weeks had: a schedule, a habit or a
    season changes all of them together. Jobs must be in order of time.
    """
    n = len(exposure.known)
    told = np.where(exposure.known[:, :, None], exposure.grade, 0.0)
    sums = np.concatenate([np.zeros_like(told[:1]), told.cumsum(axis=0)])
    counts = np.concatenate(
        [np.zeros_like(exposure.known[:1], dtype=np.float64), exposure.known.cumsum(axis=0)]
    )
    rows = np.arange(n)
    last, first = np.minimum(rows + NEARBY + 1, n), np.maximum(rows - NEARBY, 0)
    count = (counts[last] - counts[first])[:, :, None]
    return (sums[last] - sums[first] + usual * NEARBY_WEIGHT) / (count + NEARBY_WEIGHT)


def cause_prior(
    trade: Trade, family: int, usual: Floats, recorded: NDArray[np.bool_]
) -> tuple[Floats, Floats]:
    """(K, 3) Gamma shapes and rates of the strengths before the log.

    The trade gives two figures that must both be believed a little: how strong full exposure is,
    and how many of the cases it brings. With the share of jobs exposed here they need not agree;
    the prior mean lies half-way between them on the log scale. Causes the trade does not list for
    the defect stay at nothing: letting the log add them blamed bystanders more than it found.
    """
    strong = trade.hazard[:, family]
    base = trade.families[family].base_rate
    exposed = np.maximum(usual @ SHAPE_WEIGHTS, 0.02)
    by_share = np.clip(trade.share[:, family] * base / exposed, 0.05 * strong, strong)
    listed = trade.share[:, family] > 0
    mean = np.where(listed & recorded, np.sqrt(strong * by_share), 0.0)
    shape = (mean * TRADE_JOBS)[:, None] * SHAPE_WEIGHTS
    return shape, np.full(shape.shape, TRADE_JOBS)


def constant_prior(trade: Trade, family: int, recorded: NDArray[np.bool_]) -> float:
    """Hazard the trade expects from causes no record shows, and from nobody knows what."""
    share = trade.share[:, family]
    unseen = share[~recorded].sum() + RESIDUAL * share[recorded].sum()
    return float(trade.families[family].base_rate * (unseen + LEAK))


def learn(trade: Trade, family: int, design: Design) -> Strengths:
    """Posterior strengths of one family: its defects shared out over what can have brought them.

    Only the jobs that show the defect are shared out; the others add to the exposure.
    """
    present = design.shown[:, family]
    n = len(present)
    shape0, rate0 = cause_prior(trade, family, design.usual, design.recorded)
    used = np.flatnonzero(shape0.sum(axis=1) > 0)
    linked = np.flatnonzero(trade.chain[:, family])
    graded = design.graded[:, used].reshape(n, used.size * len(SHAPES))
    flat = np.column_stack([graded, design.shown[:, linked], np.ones(n)])
    prior = np.concatenate(
        [
            shape0[used].ravel(),
            trade.chain[linked, family] * TRADE_JOBS,
            [CONSTANT_JOBS * constant_prior(trade, family, design.recorded)],
        ]
    )
    rate0_flat = np.concatenate(
        [rate0[used].ravel(), np.full(len(linked), TRADE_JOBS), [CONSTANT_JOBS]]
    )
    extra = _Extras.of(design.coded, present, trade.families[family].base_rate)
    rate = rate0_flat + flat.sum(axis=0)
    got = _share_out(flat[present], prior, prior / rate0_flat, rate, extra)
    shape, full_rate, owed = shape0.copy(), rate0.copy(), np.zeros(len(shape0))
    split = used.size * len(SHAPES)
    shape[used] += got[:split].reshape(used.size, len(SHAPES))
    full_rate[used] = rate[:split].reshape(used.size, len(SHAPES))
    owed[used] = got[:split].reshape(used.size, len(SHAPES)).sum(axis=1)
    mean = (prior + got) / rate
    chain = np.zeros(len(trade.families))
    chain[linked] = mean[split:-1]
    return Strengths(
        shape, full_rate, owed, extra.means(), float(mean[-1]), chain, n, int(present.sum())
    )


def _share_out(hit: Floats, prior: Floats, first: Floats, rate: Floats, extra: _Extras) -> Floats:
    """(terms,) expected firings of every term over the jobs that show the defect."""
    got = np.zeros_like(prior)
    strength = first
    for _ in range(ROUNDS if len(hit) else 0):
        weight = hit * strength
        own = extra.weights()
        hazard = weight.sum(axis=1) + own.sum(axis=1)
        share = 1.0 / -np.expm1(-hazard)  # expected firings over hazard, given at least one
        before = got
        got = (weight * share[:, None]).sum(axis=0)
        extra.take(own * share[:, None])
        strength = (prior + got) / rate
        if np.abs(got - before).max() < SETTLED * len(hit):
            break
    return got


class _Extras:
    """Extra hazards of single moulds, lots and people, each with a sparse Gamma prior."""

    def __init__(
        self, codes: list[Ints], names: list[pd.Index], rates: list[Floats], hits: list[Ints]
    ) -> None:
        self._codes, self._names, self._rates, self._hits = codes, names, rates, hits
        # Starting high lets a guilty group be found at all: a sparse prior never leaves zero.
        self._got = [
            0.5 * np.bincount(hit[hit >= 0], minlength=len(rate)).astype(np.float64)
            for hit, rate in zip(hits, rates, strict=True)
        ]

    @classmethod
    def of(
        cls, coded: list[tuple[Ints, pd.Index]], present: NDArray[np.bool_], base_rate: float
    ) -> _Extras:
        first = np.float64(GROUP_SHAPE / (GROUP_MEAN * base_rate))
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
            weights = shares[known, position]
            self._got[position] = np.bincount(hit[known], weights, len(rate)).astype(np.float64)

    def means(self) -> dict[str, dict[str, float]]:
        return {
            column: dict(zip(map(str, names), ((GROUP_SHAPE + got) / rate).tolist(), strict=True))
            for column, names, got, rate in zip(
                GROUPS, self._names, self._got, self._rates, strict=True
            )
        }
