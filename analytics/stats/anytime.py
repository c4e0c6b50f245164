"""A trial that may be looked at any day: evidence that stays honest however often it is read.

Parts are given to two ways at random in small balanced blocks. A block is (a parts and their
faults, b parts and their faults). If the way makes no difference to any part, then how the faults
of a block fall on its parts is a lottery with known chances, whatever the mould, the weather or
the person did to the rate. Each finished block multiplies a stake by how much likelier its lottery
result is where the odds of a fault differ by a factor than where they do not; the stake is spread
over many factors. It grows past 20 by luck alone in at most 1 trial in 20, however long it runs
and however often somebody looks.

Ville 1939 for the bound; the mixture is that of Robbins 1970, Ann. Math. Stat. 41:1397 (both from
memory). Tests of this kind for shares: Turner, Ly & Grünwald 2024, J. Stat. Plan. Inference
230:106116; for strata: Turner & Grünwald 2023, arXiv 2302.11401. Conditioning on the faults of a
block is Fisher's exact test, with his noncentral hypergeometric distribution as the alternative.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import comb, inf, log

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analytics.stats.proportions import Interval

Floats = NDArray[np.float64]
Block = tuple[int, int, int, int]
"""Parts and faults of way A, parts and faults of way B, in one finished block."""

LOG_ODDS: Floats = np.linspace(-5.0, 5.0, 201)
"""Log odds ratios (A over B) the stake is spread over."""
SPREAD = 1.2
"""Standard deviation of the spread: odds cut to a third or tripled are in the thick of it."""
SETTLED = 20.0


@dataclass(frozen=True)
class Evidence:
    """What the finished blocks say so far.

    `stake` is the e-value against "the way makes no difference" (20 or more settles it at 1 false
    decision in 20). `log_odds` is the interval of the log odds ratio A over B that holds however
    often it is read; `best` the likeliest one (NaN where no block tells). `telling` counts blocks
    with a fault and a part without one, as only those can tell.
    """

    stake: float
    log_odds: Interval
    best: float
    telling: int


def evidence(blocks: Sequence[Block], alpha: float = 0.05) -> Evidence:
    """What finished blocks say of the odds of a fault under way A against way B.

    Raises ValueError where a block has more faults than parts.
    """
    curve = sum((_curve(*block) for block in blocks), np.zeros_like(LOG_ODDS))
    log_mixture = _log_mean(curve)
    telling = sum(_tells(block) for block in blocks)
    # A factor is ruled out once the mixture beats it by the same margin that settles the trial.
    kept = LOG_ODDS[log_mixture - curve < -log(alpha)]
    ends = Interval(
        -inf if kept[0] == LOG_ODDS[0] else float(kept[0]),
        inf if kept[-1] == LOG_ODDS[-1] else float(kept[-1]),
    )
    best = float(LOG_ODDS[int(curve.argmax())]) if telling else float("nan")
    return Evidence(float(np.exp(min(log_mixture, 700.0))), ends, best, telling)


def stakes(blocks: Sequence[Block]) -> Floats:
    """(n,) the stake after each block, for a picture of how the evidence grew."""
    curve, found = np.zeros_like(LOG_ODDS), []
    for block in blocks:
        curve = curve + _curve(*block)
        found.append(np.exp(min(_log_mean(curve), 700.0)))
    return np.asarray(found)


def share_after(share: float, log_odds: float) -> float:
    """The share [0..1] whose odds are those of `share` times exp(log_odds)."""
    if log_odds in (inf, -inf):
        return 1.0 if log_odds > 0 else 0.0
    odds = share * float(np.exp(log_odds))
    return odds / (1.0 - share + odds)


@dataclass(frozen=True)
class Length:
    """Parts in all that trials of this kind took: half of them, and 8 in 10 of them."""

    usual_parts: int
    most_parts: int
    settled_share: float


def trial_length(
    share_a: float,
    share_b: float,
    *,
    seed: int,
    block: int = 4,
    trials: int = 400,
    longest: int = 2000,
) -> Length:
    """How many parts a trial takes to be settled if the two ways truly have these shares.

    Simulated: `trials` trials of whole blocks, read after every block, given up at `longest`
    parts. A figure that was not reached is `longest`.
    """  # fmt: skip
    rng = np.random.default_rng(seed)
    each, rounds = block // 2, longest // block
    a = rng.binomial(each, share_a, (trials, rounds))
    b = rng.binomial(each, share_b, (trials, rounds))
    table = np.array([[_curve(each, i, each, j) for j in range(each + 1)] for i in range(each + 1)])
    ends = np.array([_settled_after(table[i, j]) for i, j in zip(a, b, strict=True)])
    parts = np.minimum(ends * block, longest)
    usual, most = np.quantile(parts, [0.5, 0.8], method="higher")
    return Length(int(usual), int(most), float((ends <= rounds).mean()))


def _settled_after(curves: Floats) -> int:
    """Blocks until the stake settles; one more than there are where it never does."""
    grown = np.exp(np.minimum(np.cumsum(curves, axis=0), 700.0)) @ _spread()
    settled = np.flatnonzero(grown >= SETTLED)
    return int(settled[0]) + 1 if settled.size else len(curves) + 1


def _tells(block: Block) -> bool:
    a, a_faults, b, b_faults = block
    return a > 0 and b > 0 and 0 < a_faults + b_faults < a + b


@lru_cache(maxsize=4096)
def _curve(a: int, a_faults: int, b: int, b_faults: int) -> Floats:
    """Log likelihood ratio of one block against no difference, over LOG_ODDS."""
    if not (0 <= a_faults <= a and 0 <= b_faults <= b):
        raise ValueError(f"{a_faults} of {a} and {b_faults} of {b} cannot be")
    faults = a_faults + b_faults
    ways = np.arange(max(0, faults - b), min(faults, a) + 1)
    counts = np.array([comb(a, int(k)) * comb(b, faults - int(k)) for k in ways], dtype=float)
    chances = counts / counts.sum()
    total = np.exp(np.outer(LOG_ODDS, ways - a_faults)) @ chances
    return -np.log(total)


@lru_cache(maxsize=1)
def _spread() -> Floats:
    weight: Floats = np.exp(-0.5 * (LOG_ODDS / SPREAD) ** 2)
    return weight / weight.sum()


def _log_mean(curve: ArrayLike) -> float:
    values = np.asarray(curve)
    top = values.max()
    return float(top + np.log(np.exp(values - top) @ _spread()))
