"""Sharing faults out over what can have brought them: the core of every fit, plain arrays only."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

ROUNDS = 200
SETTLED = 1e-4


def share_out(
    hit: Floats, shape: Floats, rate: Floats, exposed: Floats, start: Floats | None = None
) -> Floats:
    """(T,) expected firings of every term over the jobs that show the fault.

    Parameters
    ----------
    hit : (jobs with the fault, T) exposure of those jobs to every term.
    shape, rate : (T,) Gamma priors of the terms' strengths.
    exposed : (T,) exposure summed over all jobs, with the fault or not.
    start : (T,) strengths to begin with, where better ones than the priors' means are known.

    Notes
    -----
    Expectation-maximisation for additive hazards: each term fires a Poisson number of times with
    mean strength times exposure, and the fault shows if anything fired. Posterior mean strengths
    are (shape + firings) / (rate + exposed).
    """
    got = np.zeros_like(shape)
    strength = shape / rate if start is None else start
    for _ in range(ROUNDS if len(hit) else 0):
        hazard = np.maximum(hit @ strength, 1e-300)
        before = got
        # expected firings over hazard, given that at least one fired
        got = strength * ((-1 / np.expm1(-hazard)) @ hit)
        strength = (shape + got) / (rate + exposed)
        if np.abs(got - before).max() < SETTLED * len(hit):
            break
    return got
