"""Whose doing a great many faults were: each cause's part of the hazard, all jobs at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.diagnosis.believing import believed
from analytics.diagnosis.exposure import Exposure
from analytics.diagnosis.learning import LEAK, NEARBY, RESIDUAL, nearby_grades
from analytics.diagnosis.model import UNKNOWN, ShopModel, with_leak
from analytics.diagnosis.roots import to_the_root
from analytics.diagnosis.suspects import GROUPS

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True)
class Faults:
    """One row per fault: its place in the jobs table, part, defect and family."""

    row: Ints
    part: NDArray[np.object_]
    defect: NDArray[np.object_]
    family: Ints

    def __len__(self) -> int:
        return len(self.row)

    def of(self, rows: Ints) -> Faults:
        """The faults in these rows alone."""
        return Faults(self.row[rows], self.part[rows], self.defect[rows], self.family[rows])


def hazard_shares(model: ShopModel, jobs: pd.DataFrame, faults: Faults) -> Floats:
    """(faults, K + 1) each cause's part of its fault's hazard, roots of chained faults included.

    What else was seen on the part is left out: that needs judging one by one.
    """
    first, last = _span(faults, len(jobs))
    near = model.exposure.of(slice(first, last))
    filled = np.where(np.isnan(near.grade), nearby_grades(near, model.usual), near.grade)
    shares = np.zeros((len(faults), len(model.trade.causes) + 1))
    own = np.zeros(len(faults))
    for family in np.unique(faults.family):
        mine = np.flatnonzero(faults.family == family)
        rows = faults.row[mine] - first
        hazard = _family_hazard(
            model, int(family), near.of(rows), filled[rows], jobs.iloc[faults.row[mine]]
        )
        own[mine] = hazard.sum(axis=1)
        plain = hazard / np.maximum(own[mine], 1e-300)[:, None]
        drawn = believed(plain, with_leak(model.trade.share[:, family]), model.belief)
        shares[mine] = to_the_root(model.trade, int(family), drawn, jobs.iloc[faults.row[mine]])
    return _with_roots(model, faults, shares, own)


def _span(faults: Faults, whole: int) -> tuple[int, int]:
    """The stretch of the jobs table that holds these faults and the jobs near them."""
    if not len(faults):
        return 0, 0
    return max(int(faults.row.min()) - NEARBY, 0), min(int(faults.row.max()) + NEARBY + 1, whole)


def _family_hazard(
    model: ShopModel, family: int, exposure: Exposure, filled: Floats, jobs: pd.DataFrame
) -> Floats:
    """(n, K + 1) hazard of one family from every cause, something else last.

    The same as `ShopModel.hazards`, for many jobs at once.
    """
    strengths = model.strengths[family]
    recorded = np.einsum("ks,nks->nk", strengths.shape / strengths.rate, filled)
    recorded *= exposure.known | model.recorded
    trust = np.where(exposure.known, RESIDUAL, np.where(model.recorded, UNKNOWN, 1.0))
    weight = model.trade.share[:, family] * np.where(exposure.impossible, 0.0, trust)
    whole = weight.sum(axis=1, keepdims=True) + LEAK
    hidden = strengths.constant * weight / whole
    leak = strengths.constant * LEAK / whole[:, 0]
    for column in GROUPS:
        extra = jobs[column].astype("str").map(strengths.groups[column]).fillna(0.0).to_numpy()
        hit = np.flatnonzero(extra)
        near = np.where(model.trade.lives[column], model.trade.share[:, family], 0.0)
        near = np.where(exposure.impossible[hit], 0.0, near)
        total = near.sum(axis=1, keepdims=True)
        hidden[hit] += extra[hit, None] * near / np.where(total > 0, total, 1.0)
        leak[hit] += np.where(total[:, 0] > 0, 0.0, extra[hit])
    return np.column_stack([recorded + hidden, leak])


def _with_roots(model: ShopModel, faults: Faults, shares: Floats, own: Floats) -> Floats:
    """The shares, a fault that another one brought taking over a part of that one's causes."""
    told = shares.copy()
    brought = np.zeros(len(faults))
    at = {
        (int(r), int(f)): i for i, (r, f) in enumerate(zip(faults.row, faults.family, strict=True))
    }
    for then, strengths in enumerate(model.strengths):
        roots = np.flatnonzero(strengths.chain)
        for fault in np.flatnonzero(faults.family == then) if roots.size else ():
            for root in roots:
                other, chain = at.get((int(faults.row[fault]), int(root))), strengths.chain[root]
                if other is not None and chain > brought[fault]:
                    brought[fault] = chain
                    part = chain / (chain + own[fault])
                    told[fault] = (1 - part) * shares[fault] + part * shares[other]
    return told
