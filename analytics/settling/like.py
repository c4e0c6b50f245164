"""Parts set beside each other under like conditions: the same mould, season and person."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.settling.ways import Bools

SEASONS = ("winter", "spring", "summer", "autumn")
HOLDERS: Mapping[str, str] = {"mould": "mould_id", "season": "date", "person": "operator"}


@dataclass(frozen=True)
class Like:
    """Parts sorted into strata of like conditions (n parts, k strata).

    `code` is the stratum of each part (-1 where a condition is not written), `both` is True for
    parts in a stratum where both ways were used. `held` names the conditions, most telling first.
    """

    held: tuple[str, ...]
    code: NDArray[np.intp]
    both: Bools

    def tables(self, is_a: Bools, faulty: Bools, only: Bools) -> NDArray[np.float64]:
        """(k, 2, 2) faults and sound parts of both ways in each stratum, of the parts in `only`."""
        used = only & (self.code >= 0)
        size = int(self.code.max(initial=0)) + 1
        cell = self.code * 4 + np.where(is_a, 0, 2) + np.where(faulty, 0, 1)
        counts = np.bincount(cell[used], minlength=4 * size)
        return counts.reshape(size, 2, 2).astype(np.float64)


def season_of(dates: pd.Series) -> pd.Series:
    """The season of each date, in the north: winter is December to February."""
    number = (dates.dt.month % 12) // 3
    return number.map(dict(enumerate(SEASONS)))


def conditions(jobs: pd.DataFrame) -> dict[str, pd.Series]:
    """Mould, season and person of each part, missing where not written."""
    return {
        name: season_of(jobs[column]) if name == "season" else jobs[column]
        for name, column in HOLDERS.items()
    }


def held_alike(jobs: pd.DataFrame, field: str, is_a: Bools, counted: Bools, enough: int) -> Like:
    """The strictest like conditions that leave `enough` parts of each way to compare.

    Tried from all three conditions down to one, the mould kept longest; where none leaves enough,
    the one that leaves most. What is compared is chosen by these counts alone, never by results.
    """  # fmt: skip
    known = {n: c for n, c in conditions(jobs).items() if HOLDERS[n] != field}
    tried: list[tuple[int, Like]] = []
    for held in _ladder(tuple(known)):
        like = _like(held, [known[name] for name in held], is_a, counted)
        left = min(int((like.both & is_a).sum()), int((like.both & ~is_a).sum()))
        if left >= enough:
            return like
        tried.append((left, like))
    return max(tried, key=lambda found: (found[0], len(found[1].held)))[1]


def _ladder(names: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """Sets of conditions, larger first; those that hold the mould before those that do not."""
    for size in range(len(names), 0, -1):
        sets = list(combinations(names, size))
        with_mould = [held for held in sets if "mould" in held]
        # Another mould is another part: without the mould nothing is alike, where it can be held.
        yield from with_mould if "mould" in names else sets


def _like(held: tuple[str, ...], columns: Sequence[pd.Series], is_a: Bools, counted: Bools) -> Like:
    written = np.logical_and.reduce([c.notna().to_numpy(dtype=bool) for c in columns])
    used = counted & written
    code = np.full(len(used), -1, dtype=np.intp)
    keys = [column.to_numpy()[used] for column in columns]
    code[used] = pd.Series(0, index=range(int(used.sum()))).groupby(keys, sort=False).ngroup()
    size = int(code.max(initial=-1)) + 1
    a = np.bincount(code[used & is_a], minlength=size) > 0
    b = np.bincount(code[used & ~is_a], minlength=size) > 0
    both = np.zeros(len(code), dtype=bool)
    both[used] = (a & b)[code[used]]
    return Like(held, code, both)
