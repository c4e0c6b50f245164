"""The usual chance of each defect on each part, from the months before.

Shop rate times a factor for the mould and factors for the air, each pulled towards 1 as far as
the shop's own counts say they are all alike (gamma-Poisson shrinkage). So a month with more cold
days or more pulls off a bad mould is expected to be worse, and only what is beyond that stands
out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.month.results import Bools, Ints, Results

Floats = NDArray[np.float64]

AIR_EDGES_C = (12.0, 16.0, 20.0, 24.0)
HUMIDITY_EDGES_PCT = (50.0, 65.0, 80.0)
RECENT_MONTHS = 3
"""Left out when learning what is usual, so that a fresh change does not count as usual."""
LEAST_MONTHS = 6
"""Fewer months to learn from than this: everything up to now is learned from."""
SWEEPS = 2
MOST_CHANCE = 0.95
UNKNOWN = -1


Chances = Mapping[str, Floats]
"""Per watched defect (and ANY_FAULT) the usual chance [0..1] on each part, (n,)."""


def usual_chances(results: Results) -> Chances:
    """Usual chance of each watched defect on each part, given its mould and the air of the day."""
    learn = results.looked & _before_recent(results)
    factors = [
        pd.factorize(results.jobs["mould_id"])[0].astype(np.int64),
        _banded(results.jobs["air_c"], AIR_EDGES_C),
        _banded(results.jobs["humidity_pct"], HUMIDITY_EDGES_PCT),
    ]
    return _named(results, shrunk_product(_found(results), factors, learn))


class Months:
    """What the whole shop went through, month by month, on top of the usual chances."""

    def __init__(self, results: Results, usual: Chances) -> None:
        self.results = results
        self.chance = np.stack([usual[name] for name in results.watched], axis=1)
        self.found = _found(results)
        self.levels = int(results.months_back.max(initial=0)) + 1
        self.every = self._sums(results.looked)

    def around(self, parts: Bools) -> Chances:
        """Usual chances times a shrunken factor for each month, as parts like these would see it.

        Learned from the other parts of the same months where there are as many: were those of a
        bad mould let in, part of what it did would pass for a bad month. A lot that most of the
        shop worked from is not left out: what it did and what the shop went through in its weeks
        is one and the same, and it must not be blamed for the other.
        """
        got, expected = self.every
        if self._minor(parts):
            own_got, own_expected = self._sums(parts & self.results.looked)
            got, expected = got - own_got, np.maximum(expected - own_expected, 0.0)
        factor = _shrunk(got, expected)[self.results.months_back]
        return _named(self.results, np.minimum(self.chance * factor, MOST_CHANCE))

    def _minor(self, parts: Bools) -> bool:
        """True where at least as many other parts were looked at in the months of these."""
        own = parts & self.results.looked
        months = np.unique(self.results.months_back[own])
        beside = self.results.looked & np.isin(self.results.months_back, months)
        return bool(2 * own.sum() <= beside.sum())

    def _sums(self, parts: Bools) -> tuple[Floats, Floats]:
        months = self.results.months_back[parts]
        return (
            _sum_by(months, self.found[parts], self.levels),
            _sum_by(months, self.chance[parts], self.levels),
        )


def _found(results: Results) -> Floats:
    return np.column_stack([results.found, results.faulty]).astype(np.float64)


def _named(results: Results, chance: Floats) -> Chances:
    return dict(zip(results.watched, chance.T, strict=True))


def _before_recent(results: Results) -> Bools:
    earlier = results.months_back >= RECENT_MONTHS
    months = np.unique(results.months_back[earlier & results.looked])
    return earlier if months.size >= LEAST_MONTHS else np.ones_like(earlier)


def _banded(values: pd.Series, edges: Sequence[float]) -> Ints:
    number = values.to_numpy(dtype=np.float64, na_value=np.nan)
    band = np.searchsorted(np.asarray(edges), number, side="right").astype(np.int64)
    return np.where(np.isnan(number), UNKNOWN, band)


def shrunk_product(found: Floats, factors: Sequence[Ints], learn: Bools) -> Floats:
    """(n, k) chances: overall rate times one shrunken factor per level of each of `factors`.

    Parameters
    ----------
    found : (n, k) 0 or 1 per part and defect.
    factors : codes from 0 per part, -1 where unknown (factor 1).
    learn : parts the factors are learned from; chances come back for all n.
    """
    seen = found[learn]
    rate = (seen.sum(axis=0) + 0.5) / (len(seen) + 1.0)
    chance = np.repeat(rate[None, :], len(found), axis=0)
    effects = [np.ones((int(codes.max(initial=0)) + 1, found.shape[1])) for codes in factors]
    for _ in range(SWEEPS):
        for position, codes in enumerate(factors):
            known = codes >= 0
            chance[known] /= effects[position][codes[known]]
            effects[position] = _effect(seen, chance[learn], codes[learn], len(effects[position]))
            chance[known] *= effects[position][codes[known]]
    return np.minimum(chance, MOST_CHANCE)


def _effect(seen: Floats, chance: Floats, codes: Ints, levels: int) -> Floats:
    """(levels, k) factor of each level, nearer 1 the less the levels differ beyond luck."""
    known = codes >= 0
    return _shrunk(
        _sum_by(codes[known], seen[known], levels), _sum_by(codes[known], chance[known], levels)
    )


def _shrunk(got: Floats, expected: Floats) -> Floats:
    """(levels, k) found over expected, pulled towards 1 as far as the levels are all alike."""
    # Method of moments: what the squared misses have over their Poisson share is real difference.
    surplus = ((got - expected) ** 2 - expected).sum(axis=0)
    variance = np.maximum(surplus / np.maximum((expected**2).sum(axis=0), 1e-12), 0.0)
    alike = 1.0 / np.maximum(variance, 1e-6)
    factor: Floats = (got + alike) / (expected + alike)
    return factor


def _sum_by(codes: Ints, values: Floats, levels: int) -> Floats:
    sums = np.zeros((levels, values.shape[1]))
    for column in range(values.shape[1]):
        sums[:, column] = np.bincount(codes, weights=values[:, column], minlength=levels)
    return sums
