"""The usual chance of each defect on each part, from the months before.

Shop rate times a factor for the mould and factors for the air, each pulled towards 1 as far as
the shop's own counts say they are all alike (gamma-Poisson shrinkage). So a month with more cold
days or more pulls off a bad mould is expected to be worse, and only what is beyond that stands
out. Parts of one mould made in the same air have the same chances, so that all is worked out once
for each such cell, however many parts are in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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


@dataclass(frozen=True)
class Usual:
    """Usual chances [0..1] by cell of parts alike: `table` (cells, k), `cell` (n,) of each part.

    `usual[defect]` is the chance on each part (n,); `column(defect)` its place in `table`.
    """

    names: tuple[str, ...]
    cell: Ints
    table: Floats

    def column(self, defect: str) -> int:
        """Which column of `table` is about a watched defect."""
        return self.names.index(defect)

    def __getitem__(self, defect: str) -> Floats:
        chance: Floats = self.table[:, self.column(defect)][self.cell]
        return chance


def usual_chances(results: Results) -> Usual:
    """Usual chance of each watched defect on each part, given its mould and the air of the day."""
    learn = results.looked & _before_recent(results)
    bands = (
        pd.factorize(results.jobs["mould_id"])[0].astype(np.int64),
        _banded(results.jobs["air_c"], AIR_EDGES_C),
        _banded(results.jobs["humidity_pct"], HUMIDITY_EDGES_PCT),
    )
    cell, factors = _cells(bands)
    made = np.bincount(cell[learn], minlength=len(factors[0])).astype(np.float64)
    rows, columns = results.events
    kept = learn[rows]
    count = len(results.watched)
    flat = np.bincount(cell[rows[kept]] * count + columns[kept], minlength=len(made) * count)
    seen = flat.reshape(len(made), count).astype(np.float64)
    return Usual(results.watched, cell, shrunk_product(made, seen, factors))


def _cells(bands: Sequence[Ints]) -> tuple[Ints, list[Ints]]:
    """(cell of each part, code of each band in each cell); -1 stands for unknown."""
    code = np.zeros(len(bands[0]), dtype=np.int64)
    sizes = [int(band.max(initial=0)) + 2 for band in bands]
    for band, size in zip(bands, sizes, strict=True):
        code = code * size + band + 1
    told, cell = np.unique(code, return_inverse=True)
    factors = []
    for size in reversed(sizes):
        told, band = np.divmod(told, size)
        factors.append(band - 1)
    return cell.astype(np.int64), factors[::-1]


def _before_recent(results: Results) -> Bools:
    earlier = results.months_back >= RECENT_MONTHS
    months = np.unique(results.months_back[earlier & results.looked])
    return earlier if months.size >= LEAST_MONTHS else np.ones_like(earlier)


def _banded(values: pd.Series, edges: Sequence[float]) -> Ints:
    number = values.to_numpy(dtype=np.float64, na_value=np.nan)
    band = np.searchsorted(np.asarray(edges), number, side="right").astype(np.int64)
    return np.where(np.isnan(number), UNKNOWN, band)


def shrunk_product(made: Floats, seen: Floats, factors: Sequence[Ints]) -> Floats:
    """(cells, k) chances: overall rate times one shrunken factor per level of each of `factors`.

    Parameters
    ----------
    made : (cells,) parts learned from in each cell.
    seen : (cells, k) how many of them have each defect.
    factors : codes from 0 per cell, -1 where unknown (factor 1).
    """
    rate = (seen.sum(axis=0) + 0.5) / (made.sum() + 1.0)
    chance = np.repeat(rate[None, :], len(made), axis=0)
    effects = [np.ones((int(codes.max(initial=0)) + 1, seen.shape[1])) for codes in factors]
    for _ in range(SWEEPS):
        for position, codes in enumerate(factors):
            known = codes >= 0
            chance[known] /= effects[position][codes[known]]
            effects[position] = _effect(
                seen[known], made[known, None] * chance[known], codes[known],
                len(effects[position]),
            )  # fmt: skip
            chance[known] *= effects[position][codes[known]]
    return np.minimum(chance, MOST_CHANCE)


def _effect(seen: Floats, expected: Floats, codes: Ints, levels: int) -> Floats:
    """(levels, k) factor of each level, nearer 1 the less the levels differ beyond luck."""
    return shrunk(_sum_by(codes, seen, levels), _sum_by(codes, expected, levels))


def shrunk(got: Floats, expected: Floats) -> Floats:
    """(levels, k) found over expected, pulled towards 1 as far as the levels are all alike."""
    # Method of moments: what the squared misses have over their Poisson share is real difference.
    surplus = ((got - expected) ** 2 - expected).sum(axis=0)
    variance = np.maximum(surplus / np.maximum((expected**2).sum(axis=0), 1e-12), 0.0)
    alike = 1.0 / np.maximum(variance, 1e-6)
    factor: Floats = (got + alike) / (expected + alike)
    return factor


def _sum_by(codes: Ints, values: Floats, levels: int) -> Floats:
    sums = np.zeros((levels, values.shape[1]))
    np.add.at(sums, codes, values)
    return sums
