"""Whose doing the faults of many parts were: shares by cause, and expected totals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.diagnosis.judging import case_of, judge
from analytics.diagnosis.many_faults import Faults, hazard_shares
from analytics.diagnosis.model import ShopModel
from analytics.diagnosis.trade import CASES

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Found = Mapping[tuple[str, str], str]

SOMETHING_ELSE = ""
FEW_PARTS = 60
"""Up to so many faulty parts are judged one by one; more share out their hazards alone."""
DRAWS = 400
SEED = 20240302
FEWEST_CASES = 0.3
SPOKEN = 1e-6


@dataclass(frozen=True)
class OwedTotal:
    """How many of the faults one cause brought, as far as anybody can tell.

    `expected` faults of `faults`, with bounds (90 %); cause "" is something else. `confirmed` of
    them somebody proved at the bench.
    """

    cause: str
    title: str
    expected: float
    low: float
    high: float
    confirmed: int
    faults: int

    def to_json(self) -> dict[str, Any]:
        return {
            "cause": self.cause,
            "title": self.title,
            "expected": round(self.expected, 3),
            "low": round(self.low, 2),
            "high": round(self.high, 2),
            "confirmed": self.confirmed,
            "faults": self.faults,
        }


def owed(
    model: ShopModel,
    jobs: pd.DataFrame,
    defects: pd.DataFrame,
    part_ids: Sequence[str],
    confirmed: Found | None = None,
    seen: Mapping[str, Mapping[str, str]] | None = None,
) -> pd.DataFrame:
    """Shares of every fault of these parts by cause: part_id, defect, cause, share.

    Parameters
    ----------
    jobs, defects : the jobs table and the faults the model was fitted on.
    part_ids : the parts asked about; those without a fault give no row.
    confirmed : (part_id, defect) to the cause somebody proved: that cause has all of it.
    seen : by part, bench results; they count where the parts are few enough to judge one by one.

    Returns
    -------
    One row per fault and cause with a share; cause "" is something else. Each fault sums to 1.
    """
    faults = _faults(model, jobs, defects, part_ids)
    return _long(model, faults, _shares(model, jobs, defects, faults, confirmed or {}, seen or {}))


def owed_totals(
    model: ShopModel,
    jobs: pd.DataFrame,
    defects: pd.DataFrame,
    part_ids: Sequence[str],
    confirmed: Found | None = None,
    seen: Mapping[str, Mapping[str, str]] | None = None,
) -> tuple[OwedTotal, ...]:
    """Faults expected to be owed to each cause, most first; arguments as `owed`.

    Notes
    -----
    Given the shares, a cause's count is a sum of unequal coins (Poisson-binomial; Le Cam 1960),
    drawn here as a normal of its mean and variance; the shares themselves are drawn from what is
    still open about the strengths.
    """
    faults = _faults(model, jobs, defects, part_ids)
    found = confirmed or {}
    shares = _shares(model, jobs, defects, faults, found, seen or {})
    return _totals(model, faults, shares, found)


def owed_with_totals(
    model: ShopModel,
    jobs: pd.DataFrame,
    defects: pd.DataFrame,
    part_ids: Sequence[str],
    lately: Sequence[str],
    confirmed: Found | None = None,
    seen: Mapping[str, Mapping[str, str]] | None = None,
) -> tuple[pd.DataFrame, tuple[OwedTotal, ...]]:
    """`owed` of these parts and `owed_totals` of the late ones among them, each fault shared once.

    Arguments as `owed`; `lately` are parts out of `part_ids`.
    """
    found, checks = confirmed or {}, seen or {}
    faults = _faults(model, jobs, defects, part_ids)
    shares = _shares(model, jobs, defects, faults, found, checks)
    late = np.flatnonzero(np.isin(faults.part, np.array(list(lately), dtype=object)))
    own, own_shares = faults.of(late), shares[late]
    if _few(own) and not _few(faults):
        own_shares = _shares(model, jobs, defects, own, found, checks)
    return _long(model, faults, shares), _totals(model, own, own_shares, found)


def _totals(
    model: ShopModel, faults: Faults, shares: Floats, found: Found
) -> tuple[OwedTotal, ...]:
    proved = _proved(model, faults, found)
    low, high = _bounds(model, faults, shares, proved)
    counted = np.bincount(proved[proved >= 0], minlength=shares.shape[1])
    names = [*((c.id, c.title) for c in model.trade.causes), (SOMETHING_ELSE, "Something else")]
    expected = shares.sum(axis=0)
    return tuple(
        OwedTotal(
            cause=names[row][0],
            title=names[row][1],
            expected=float(expected[row]),
            low=float(low[row]),
            high=float(high[row]),
            confirmed=int(counted[row]),
            faults=len(faults),
        )
        for row in np.argsort(-expected, kind="stable")
        if expected[row] > SPOKEN
    )


def _faults(
    model: ShopModel, jobs: pd.DataFrame, defects: pd.DataFrame, part_ids: Sequence[str]
) -> Faults:
    # as objects: questions to columns of pandas text take many times as long
    told = defects[["part_id", "defect"]].astype(object)
    wanted = told["part_id"].isin(set(part_ids))
    own = told[wanted & told["defect"].isin(set(model.trade.knowledge.defects))]
    own = own.drop_duplicates()
    rows = pd.Index(jobs["part_id"].to_numpy(dtype=object)).get_indexer(pd.Index(own["part_id"]))
    own, rows = own[rows >= 0], rows[rows >= 0]
    order = np.argsort(rows, kind="stable")
    own, rows = own.iloc[order], rows[order]
    place = {name: model.trade.family_index(name) for name in own["defect"].unique()}
    return Faults(
        np.asarray(rows, dtype=np.intp),
        own["part_id"].to_numpy(dtype=object),
        own["defect"].to_numpy(dtype=object),
        own["defect"].map(place).to_numpy(dtype=np.intp),
    )


def _shares(
    model: ShopModel,
    jobs: pd.DataFrame,
    defects: pd.DataFrame,
    faults: Faults,
    confirmed: Found,
    seen: Mapping[str, Mapping[str, str]],
) -> Floats:
    """(faults, K + 1) share of every cause, something else last."""
    shares = (
        _judged(model, jobs, defects, faults, seen)
        if _few(faults)
        else hazard_shares(model, jobs, faults)
    )
    proved = _proved(model, faults, confirmed)
    certain = np.flatnonzero(proved >= 0)
    shares[certain] = 0.0
    shares[certain, proved[certain]] = 1.0
    return shares


def _few(faults: Faults) -> bool:
    """Whether the parts are few enough to judge them one by one."""
    return len(set(faults.part)) <= FEW_PARTS


def _judged(
    model: ShopModel,
    jobs: pd.DataFrame,
    defects: pd.DataFrame,
    faults: Faults,
    seen: Mapping[str, Mapping[str, str]],
) -> Floats:
    shares = np.zeros((len(faults), len(model.trade.causes) + 1))
    verdicts = {
        part: judge(model, case_of(model, jobs, defects, part, seen.get(part, {}), ()))
        for part in dict.fromkeys(faults.part)
    }
    for row, (part, defect) in enumerate(zip(faults.part, faults.defect, strict=True)):
        judged = next(one for one in verdicts[part].judged if one.defect == defect)
        shares[row, :-1], shares[row, -1] = judged.chances, judged.unexplained
    return shares


def _proved(model: ShopModel, faults: Faults, confirmed: Found) -> Ints:
    """(faults,) place of the cause proved for each fault, -1 where none was."""
    if not confirmed:
        return np.full(len(faults), -1, dtype=np.intp)
    place = {cause.id: row for row, cause in enumerate(model.trade.causes)}
    pairs = zip(faults.part, faults.defect, strict=True)
    return np.array([place.get(confirmed.get(pair, ""), -1) for pair in pairs], dtype=np.intp)


def _bounds(
    model: ShopModel, faults: Faults, shares: Floats, proved: Ints
) -> tuple[Floats, Floats]:
    """(K + 1,) 5th and 95th percentiles of how many faults each cause brought."""
    rng = np.random.default_rng(SEED)
    size = (DRAWS, shares.shape[1])
    mean, spread = np.zeros(size), np.zeros(size)
    for family in np.unique(faults.family):
        moved = _moved(model, int(family), rng)
        mine = shares[(faults.family == family) & (proved < 0)]
        for draw in range(DRAWS):
            drawn = mine * moved[draw]
            drawn /= np.maximum(drawn.sum(axis=1, keepdims=True), 1e-300)
            mean[draw] += drawn.sum(axis=0)
            spread[draw] += (drawn * (1 - drawn)).sum(axis=0)
    certain = np.bincount(proved[proved >= 0], minlength=size[1])
    most = certain + (shares[proved < 0] > 0).sum(axis=0)
    counts = mean + np.sqrt(spread) * rng.standard_normal(size) + certain
    low, high = np.percentile(np.clip(counts, certain, most), [5, 95], axis=0)
    expected = shares.sum(axis=0)
    return np.minimum(low, expected), np.maximum(high, expected)


def _moved(model: ShopModel, family: int, rng: np.random.Generator) -> Floats:
    """(DRAWS, K + 1) factors by which each cause's strength may be off; something else stays."""
    learnt = model.strengths[family].shape.sum(axis=1)
    guessed = CASES * model.trade.share[:, family]
    cases = np.maximum(np.where(model.recorded, learnt, guessed), FEWEST_CASES)
    factors = rng.gamma(cases, size=(DRAWS, len(cases))) / cases
    return np.column_stack([factors, np.ones(DRAWS)])


def _long(model: ShopModel, faults: Faults, shares: Floats) -> pd.DataFrame:
    fault, cause = np.nonzero(shares > SPOKEN)
    names = np.array([*(c.id for c in model.trade.causes), SOMETHING_ELSE], dtype=object)
    return pd.DataFrame(
        {
            "part_id": pd.Series(faults.part[fault], dtype="str"),
            "defect": pd.Series(faults.defect[fault], dtype="str"),
            "cause": pd.Series(names[cause], dtype="str"),
            "share": shares[fault, cause],
        }
    )
