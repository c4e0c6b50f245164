"""Parts looked at, found and to be expected, half month by half month, for the shop and each thing.

Everything a rate is judged by is counted here once; who looks at it only adds up rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from analytics.month.answer import SignalKind
from analytics.month.results import Bools, Ints, Results
from analytics.month.usual import Usual

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Counts:
    """Looked-at parts per half month back (s,), found and expected of each watched defect (s, k).

    Row 0 is the newest half month. Sums of counts are counts.
    """

    made: Ints
    found: Ints
    expected: Floats

    def __sub__(self, other: Counts) -> Counts:
        return Counts(
            self.made - other.made,
            self.found - other.found,
            np.maximum(self.expected - other.expected, 0.0),
        )

    def within(self, first: int, last: int | None = None) -> Counts:
        """The half months from `first` up to and without `last` back."""
        rows = slice(first, last)
        return Counts(self.made[rows], self.found[rows], self.expected[rows])


class Tally:
    """Counts of the shop and of each mould, lot and person."""

    def __init__(self, results: Results, usual: Usual) -> None:
        self.results = results
        self.usual = usual
        self.spells = int(results.spells_back.max(initial=0)) + 1
        self._kinds: dict[SignalKind, Counts] = {}

    @cached_property
    def shop(self) -> Counts:
        """All looked-at parts."""
        one = np.zeros(len(self.results.jobs), dtype=np.int64)
        counted = self._counted([(one, self.results.looked)], 1)
        return Counts(counted.made[0], counted.found[0], counted.expected[0])

    def of(self, kind: SignalKind, name: str) -> Counts:
        """Looked-at parts made with (on, by) one thing."""
        users = self.results.users(kind)
        if kind not in self._kinds:
            looked = self.results.looked
            parts = [(codes, looked & (codes >= 0)) for codes in users.codes]
            self._kinds[kind] = self._counted(parts, len(users.names))
        counted, at = self._kinds[kind], users.names.index(name)
        return Counts(counted.made[at], counted.found[at], counted.expected[at])

    def _counted(self, parts: list[tuple[Ints, Bools]], names: int) -> Counts:
        """Counts (names, s), (names, s, k); each of `parts` names a thing on the parts kept."""
        spells, watched = self.spells, len(self.results.watched)
        made = np.zeros(names * spells, dtype=np.int64)
        found = np.zeros(names * spells * watched, dtype=np.int64)
        expected = np.zeros((watched, names * spells))
        rows, columns = self.results.events
        for codes, kept in parts:
            slot = codes * spells + self.results.spells_back
            made += np.bincount(slot[kept], minlength=made.size)
            hit = kept[rows]
            found += np.bincount(slot[rows[hit]] * watched + columns[hit], minlength=found.size)
            self._add_expected(expected, slot, kept)
        return Counts(
            made.reshape(names, spells),
            found.reshape(names, spells, watched),
            expected.T.reshape(names, spells, watched),
        )

    def _add_expected(self, expected: Floats, slot: Ints, kept: Bools) -> None:
        """Add the usual chances of the parts kept, cell by cell, to the slot of each."""
        cells = len(self.usual.table)
        told, at = np.unique(slot[kept] * cells + self.usual.cell[kept], return_inverse=True)
        many = np.bincount(at)
        where, cell = np.divmod(told, cells)
        for column in range(expected.shape[0]):
            chance = self.usual.table[cell, column]
            expected[column] += np.bincount(
                where, weights=many * chance, minlength=expected.shape[1]
            )
