"""Is a lot slow? Judged by all its timed cups together, since one slow cup means little.

How far each cup's gel time lay from what was expected is shared out over its lot, its catalyst
lot and what the gel-time law misses in the cold or at an odd dose here: a mixed model with ridge
estimates (Robinson 1991, "That BLUP is a good thing"), odd cups weighted down (Huber 1964).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.records.fields import ROLES

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

LOT_RATIOS = ("gelcoat_lot_gel_ratio", "resin_lot_gel_ratio", "catalyst_lot_gel_ratio")
"""What a lot's cups took against the time expected, by column; 1 for an ordinary lot."""
# Practice estimates. Sound lots differ by a tenth and one cup scatters by more, so an ordinary lot
# is drawn in by CUPS_OF_DOUBT; few lots are bad but those are far out (a Student t with TAIL
# degrees of freedom), so they are drawn in less, by LEAST_DOUBT at the end.
CUPS_OF_DOUBT, LEAST_DOUBT = 2.0, 0.5
USUAL_SLOW, TAIL = 0.10, 2.0
# The gel-time law may be out by a fifth over 10 degrees, or over a dose e times as high.
FAIR_C, STEP_C = 20.0, 10.0
HUBER = 1.5
SMALLEST_SCATTER = 0.10
ROUNDS = 8


@dataclass(frozen=True)
class _Cups:
    """Timed cups of one role: ln of time over expected, and what it is shared out over.

    lot, catalyst : (m,) codes of LOT_RATIOS' groups; off : (m, 2) how far from a fair
    temperature [10 degrees] and from the usual dose [ln].
    """

    late: Floats
    lot: Ints
    catalyst: Ints
    off: Floats


def lot_ratios(jobs: pd.DataFrame) -> Floats:
    """(n, 3) LOT_RATIOS of every job in the jobs table; NaN where none of its cups was timed.

    Cups whose lot nobody wrote down stand together as the lot of their month.
    """
    month = "month " + jobs["month"].astype("str").fillna("?")
    lots = [_codes(jobs[f"{role}_lot"], month) for role in ROLES]
    cans = [_codes(jobs[f"{role}_catalyst_lot"], month) for role in ROLES]
    names = pd.factorize(np.concatenate(cans))[0].reshape(len(ROLES), len(jobs))
    codes = [pd.factorize(lot)[0] for lot in lots]
    sizes = [int(code.max(initial=-1)) + 1 for code in (*codes, names)]
    starts = np.cumsum([0, *sizes])
    cups = [
        _cups(jobs, role, codes[r] + starts[r], names[r] + starts[-2])
        for r, role in enumerate(ROLES)
    ]
    ratio = np.exp(_effects(cups, int(starts[-1])))
    return np.stack([*(ratio[c + s] for c, s in zip(codes, starts, strict=False)),
                     ratio[names[0] + starts[-2]]], axis=1)  # fmt: skip


def _codes(lot: pd.Series[str], month: pd.Series[str]) -> NDArray[np.object_]:
    """The lot of every job by name, by its month where it has none."""
    return lot.astype("str").where(lot.notna(), month).to_numpy(dtype=object)


def _cups(jobs: pd.DataFrame, role: str, lot: Ints, catalyst: Ints) -> _Cups:
    """The timed cups of a role, each mix once."""
    ratio = jobs[f"{role}_gel_ratio"].to_numpy(dtype=np.float64, na_value=np.nan)
    mix = jobs[f"{role}_batch_id"]
    again = (mix.duplicated() & mix.notna()).to_numpy()
    rows = np.flatnonzero(np.isfinite(ratio) & (ratio > 0) & ~again)
    air = jobs[f"{role}_air_c"].fillna(jobs["air_c"])
    dose = np.log(jobs[f"{role}_catalyst_pct"].where(lambda pct: pct > 0))
    off = np.column_stack([(air - FAIR_C) / STEP_C, dose - dose.median()]).astype(np.float64)
    late = _late(jobs, role, rows, ratio[rows])
    return _Cups(late, lot[rows], catalyst[rows], np.nan_to_num(off[rows]))


def _late(jobs: pd.DataFrame, role: str, rows: Ints, ratio: Floats) -> Floats:
    """ln of time over expected, each product against its own usual: some are slow by design."""
    late = pd.Series(np.log(ratio))
    product = jobs[f"{role}_product"].iloc[rows].reset_index(drop=True)
    return (late - late.groupby(product).transform("median").fillna(0.0)).to_numpy()


def _effects(cups: Sequence[_Cups], groups: int) -> Floats:
    """(groups,) ln of how slow each lot is; NaN for a lot without a timed cup."""
    many = [len(one.late) for one in cups]
    role = np.repeat(np.arange(len(cups)), many)
    late = np.concatenate([one.late for one in cups])
    own = np.stack(
        [np.concatenate([one.lot for one in cups]), np.concatenate([one.catalyst for one in cups])]
    )
    fixed = np.zeros((len(late), 3 * len(cups)))
    off = np.concatenate([one.off for one in cups])
    for r in range(len(cups)):
        mine = role == r
        fixed[mine, 3 * r] = 1.0
        fixed[np.ix_(mine, [3 * r + 1, 3 * r + 2])] = off[mine]
    doubt = np.concatenate([np.full(groups, CUPS_OF_DOUBT), np.tile([1e-3, 1.0, 1.0], len(cups))])
    weight = np.ones(len(late))
    slow = np.zeros(groups + fixed.shape[1])
    for _ in range(ROUNDS if len(late) else 0):
        slow = _ridge(own, fixed, weight, late, doubt)
        far = (slow[:groups] / USUAL_SLOW) ** 2
        doubt[:groups] = LEAST_DOUBT + CUPS_OF_DOUBT * (TAIL + 1) / (TAIL + far)
        left = late - slow[own].sum(axis=0) - fixed @ slow[groups:]
        scatter = max(1.4826 * float(np.median(np.abs(left))), SMALLEST_SCATTER)
        weight = np.minimum(1.0, HUBER * scatter / np.maximum(np.abs(left), 1e-12))
    timed = np.bincount(own.ravel(), minlength=groups) > 0
    return np.where(timed, slow[:groups], np.nan)


def _ridge(own: Ints, fixed: Floats, weight: Floats, late: Floats, doubt: Floats) -> Floats:
    """Weighted ridge estimates: two groups of 0/1 columns by code, then the `fixed` columns."""
    groups = len(doubt) - fixed.shape[1]
    normal = np.diag(doubt)
    for a in own:
        for b in own:
            np.add.at(normal, (a, b), weight)
        np.add.at(normal[:groups, groups:], a, weight[:, None] * fixed)
    normal[groups:, :groups] = normal[:groups, groups:].T
    normal[groups:, groups:] += fixed.T @ (weight[:, None] * fixed)
    right = np.concatenate(
        [
            sum(np.bincount(a, weight * late, minlength=groups) for a in own),
            fixed.T @ (weight * late),
        ]
    )
    return np.linalg.solve(normal, right)
