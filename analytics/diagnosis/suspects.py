"""Is one mould, lot, person, mix or day to blame for itself? Only where its faults insist.

Each group of jobs either has an extra hazard of its own or, far more often, has none. The odds are
the prior odds of guilt times the Bayes factor of its count of faults: a Poisson count about what
its jobs' records lead one to expect, against the same with an exponential extra (Kass and Raftery
1995 on Bayes factors; the prior odds and the size of the extra are practice estimates).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

PRIOR_GUILT = {
    "mould_id": 0.01,
    "gelcoat_lot": 0.01,
    "resin_lot": 0.01,
    "gelcoat_catalyst_lot": 0.01,
    "operator": 0.01,
    "gelcoat_batch_id": 0.002,
    "resin_batch_id": 0.002,
    "day": 0.002,
}
"""Chance, before looking, that one of these has a fault of its own: a column of the jobs table
each. There are so many mixes and days that some look bad by luck."""
GROUPS = tuple(PRIOR_GUILT)
USUAL_EXTRA = 0.2
_SLICES = -np.log1p(-(np.arange(12) + 0.5) / 12)
EXTRAS = np.concatenate([USUAL_EXTRA * _SLICES, _SLICES])
"""Mid-points of equal slices of an extra hazard per job: moderate, or nearly every part."""


@dataclass(frozen=True)
class Suspect:
    """One mould, lot, person, mix or day: its column, its name, its place among the codes."""

    column: str
    name: str
    position: int
    code: int


def log_odds_of_guilt(faults: Floats, expected: Floats, jobs: Floats, prior: float) -> Floats:
    """Log odds that groups have an extra hazard of their own, from a `prior` chance of guilt.

    `faults` seen and `expected` from the records, over so many `jobs`; arrays of one length.
    """
    ratio = jobs[:, None] * EXTRAS / np.maximum(expected, 1e-9)[:, None]
    gain = faults[:, None] * np.log1p(ratio) - jobs[:, None] * EXTRAS
    top = gain.max(axis=1)
    factor = top + np.log(np.exp(gain - top[:, None]).mean(axis=1))
    return np.asarray(factor + np.log(prior / (1 - prior)))


def worst_suspect(
    coded: list[tuple[Ints, pd.Index]], present: NDArray[np.bool_], hazard: Floats
) -> Suspect | None:
    """The group likeliest to be guilty, or None where none is likelier guilty than not.

    `coded` gives, for each of GROUPS, each job's code (-1 unknown) and the names; `hazard` (n,) is
    what the records of each job lead one to expect.
    """
    best, worst = 0.0, None
    for position, (code, names) in enumerate(coded):
        known = code >= 0
        size = len(names)
        jobs = np.bincount(code[known], minlength=size).astype(np.float64)
        expected = np.bincount(code[known], hazard[known], size)
        faults = np.bincount(code[known], present[known], size)
        # no more faults than expected never make guilt likelier, and most mixes have none
        many = np.flatnonzero(faults > expected)
        odds = log_odds_of_guilt(
            np.asarray(faults[many], float),
            np.asarray(expected[many], float),
            jobs[many],
            PRIOR_GUILT[GROUPS[position]],
        )
        if many.size and odds.max() > best:
            best = float(odds.max())
            at = int(many[odds.argmax()])
            worst = Suspect(GROUPS[position], str(names[at]), position, at)
    return worst
