"""How far a record's evidence may be believed in this shop, learnt from where its faults fell.

The model says how likely each job was to show a fault, by the strengths learnt without that job.
If those hazards are right, a fault falls on a job with chance proportional to its hazard; if the
causes act otherwise here than the trade says, the faults lie more evenly, as with the hazards to
a power below 1 (Cox 1958 on the slope of predictions; Holmes and Walker 2017 on the power of a
likelihood). That power is the belief: the weight of evidence of every record is multiplied by it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

SLOPES = np.linspace(0.1, 1.8, 18)
# Chosen on simulated shops in which the trade is about half right. Before any log the slope is
# about USUAL; whatever it is, faults prove that jobs differ as the hazards say, not that each is
# put down to the right cause, so PROVED of it is believed.
USUAL, SPREAD, PROVED = 0.75, 0.2, 0.85
MOST_SOUND = 500
"""So many jobs without the fault are enough to tell how the hazards lie."""


def without_itself(
    exposed: Floats, blamed: Floats, shape: Floats, rate: Floats, got: Floats, totals: Floats
) -> Floats:
    """(n,) hazard of every job by the strengths learnt from all the others, to first order.

    Parameters
    ----------
    exposed, blamed : (n, T) exposures of the jobs, and those a cause may be blamed by (all 0 on a
        job without the fault).
    shape, rate, got, totals : (T,) Gamma priors, firings and summed exposure of every term.
    """
    strength = (shape + got) / (rate + totals)
    own = blamed * strength
    fired = own / np.maximum(-np.expm1(-own.sum(axis=1, keepdims=True)), 1e-300)
    left = np.maximum(shape + got - fired, 1e-12) / np.maximum(rate + totals - exposed, 1e-9)
    return np.asarray((exposed * left).sum(axis=1))


def agreement(faulty: Floats, sound: Floats, share: float) -> Floats:
    """(SLOPES,) log likelihood that the faults fell as the hazards to each power say.

    `faulty` and `sound` are hazards of the jobs that show the fault and of a `share` of the rest.
    """
    if not len(faulty) or not len(sound):
        return np.zeros_like(SLOPES)
    logs = np.log(np.maximum(np.concatenate([faulty, sound]), 1e-12))
    weight = np.repeat([1.0, 1.0 / share], [len(faulty), len(sound)])
    powers = np.exp(SLOPES[:, None] * (logs - logs.max()))
    mean = np.log(powers @ weight / weight.sum())
    return np.asarray(SLOPES * (logs[: len(faulty)] - logs.max()).sum() - len(faulty) * mean)


def belief(agreements: Sequence[Floats]) -> float:
    """What power a record's evidence is believed to in this shop, all its faults together."""
    prior = -0.5 * ((SLOPES - USUAL) / SPREAD) ** 2
    told = prior + sum(agreements)
    weight = np.exp(told - told.max())
    return PROVED * float(weight @ SLOPES / weight.sum())


def believed(shares: Floats, usual: Floats, power: float) -> Floats:
    """Shares (..., K) of the blame, each drawn to how often it is `usual` (K,) to be at fault.

    A cause's share over its usual one is the weight of the record's evidence; that goes to the
    `power`. What is impossible stays so, and what has no usual share keeps its own. Sums to 1.
    """
    least = np.maximum(usual, 1e-300)
    drawn = np.where(usual > 0, np.power(shares / least, power) * least, shares)
    return np.asarray(drawn / np.maximum(drawn.sum(axis=-1, keepdims=True), 1e-300))
