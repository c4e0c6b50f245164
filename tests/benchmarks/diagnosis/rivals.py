"""laylog and what it is measured against: each gives chances (cases, causes + 1) for one shop.

Rivals see the same log and never the truth, but for the oracle. Each keeps FLOOR of its chances
for what the trade expects, so that none is ruined by a cause it left at nothing; laylog gets no
such help.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.diagnosis.judging import case_of, judge
from analytics.knowledge.model import Cause, Evidence, Knowledge
from tests.benchmarks.diagnosis.attribution import boosting_parts, logistic_parts
from tests.benchmarks.diagnosis.cases import Measured

Floats = NDArray[np.float64]
Rival = Callable[[Measured], Floats]

FLOOR = 0.10
CRUMB = 0.003
UNEXPLAINED_SHARE = 0.06
HIGHEST_Z = 5.0


def laylog(shop: Measured) -> Floats:
    """laylog's own chances, asked part by part as a user would."""
    verdicts = {
        part: judge(shop.model, case_of(shop.model, shop.jobs, shop.defects, part, {}, ()))
        for part in {case.part for case in shop.cases}
    }
    told = {
        (part, one.defect): np.append(one.chances, one.unexplained)
        for part, verdict in verdicts.items()
        for one in verdict.judged
    }
    return np.stack([told[case.part, case.defect] for case in shop.cases])


def trade_share(knowledge: Knowledge, defect: str) -> Floats:
    """(K + 1,) how the trade shares a defect's cases out; a group weighs its members."""
    members = knowledge.defects[defect].members or (defect,)
    rates = np.array([knowledge.defects[m].base_rate for m in members])
    share = [
        sum(
            rate * cause.shares.get(m, CRUMB if cause.levels.get(m) else 0.0)
            for m, rate in zip(members, rates / rates.sum(), strict=True)
        )
        for cause in knowledge.causes.values()
    ]
    told = np.asarray(share, dtype=np.float64)
    return np.append(told / told.sum() * (1 - UNEXPLAINED_SHARE), UNEXPLAINED_SHARE)


def commonest(shop: Measured) -> Floats:
    """The trade's commonest cause of the defect, always."""
    return np.stack([trade_share(shop.knowledge, case.defect) for case in shop.cases])


def oracle(shop: Measured) -> Floats:
    """The causes of the log's other faults of the kind by its truth, which nobody there knows."""
    ids = {name: i for i, name in enumerate(shop.ids)}
    rows = []
    for case in shop.cases:
        trade = trade_share(shop.knowledge, case.defect)
        counts = np.zeros(len(ids))
        for name, count in shop.truth[case.defect].items():
            counts[ids[name]] = count
        for names in case.mains:
            counts[ids[names[0]]] -= 1 / len(case.mains)
        total = counts.sum()
        rows.append(_floored(counts / total if total > 0.5 else trade, trade))
    return np.stack(rows)


def z_scores(shop: Measured) -> Floats:
    """How far the part's conditions lie from those of good parts, on the harmful side."""
    away = _cause_z(shop)
    place = {part: row for row, part in enumerate(shop.jobs["part_id"])}
    rows = []
    for case in shop.cases:
        trade = trade_share(shop.knowledge, case.defect)
        weight = np.where(trade > 0, np.exp(np.append(away[place[case.part]], 0.0)), 0.0)
        rows.append(_floored(weight / weight.sum(), trade))
    return np.stack(rows)


def _cause_z(shop: Measured) -> Floats:
    """(n, K) z of each cause on each job, by its worst evidence or all of it; 0 where unknown."""
    faulty = shop.jobs["part_id"].isin(shop.defects["part_id"])
    good = (shop.jobs["looked"].fillna(False).astype(bool) & ~faulty).to_numpy()
    columns = [_one_cause_z(cause, shop.jobs, good) for cause in shop.knowledge.causes.values()]
    return np.clip(np.stack(columns, axis=1), 0.0, HIGHEST_Z)


def _one_cause_z(cause: Cause, jobs: pd.DataFrame, good: NDArray[np.bool_]) -> Floats:
    pieces = [_z(evidence, jobs, good) for evidence in cause.evidence if evidence.field in jobs]
    if not pieces:
        return np.zeros(len(jobs))
    return np.asarray(np.max(pieces, axis=0) if cause.needs == "any" else np.min(pieces, axis=0))


def _z(evidence: Evidence, jobs: pd.DataFrame, good: NDArray[np.bool_]) -> Floats:
    column = jobs[evidence.field]
    if evidence.harm == "is":
        if column.dtype == "boolean":
            column = column.map({True: "yes", False: "no"})
        words = [word.lower() for word in evidence.values]
        hit = column.astype("str").str.lower().isin(words).to_numpy(dtype=np.float64)
        value, side = np.where(column.isna(), np.nan, hit), 1.0
    else:
        value = column.to_numpy(dtype=np.float64, na_value=np.nan)
        side = -1.0 if evidence.harm == "below" else 1.0
    known = value[good & ~np.isnan(value)]
    if known.size < 2:
        return np.zeros(len(value))
    spread = max(float(known.std(ddof=1)), 1e-6)
    return np.nan_to_num(side * (value - known.mean()) / spread)


def logistic(shop: Measured) -> Floats:
    """What each condition adds to the chance in a logistic regression of the defect."""
    return _by_parts(shop, logistic_parts(shop))


def boosting(shop: Measured) -> Floats:
    """What each condition adds to the chance in gradient boosting of the defect."""
    return _by_parts(shop, boosting_parts(shop))


def _by_parts(shop: Measured, parts: Mapping[tuple[str, str], Floats]) -> Floats:
    """Chances from (K + 1,) attributions: the part of no condition goes to the unrecorded causes,
    as the trade shares those out.
    """
    unseen = np.append(~shop.model.trade.recorded, True)
    rows = []
    for case in shop.cases:
        trade = trade_share(shop.knowledge, case.defect)
        told = parts[case.part, case.defect]
        rest = np.where(unseen, trade, 0.0)
        chances = np.append(told[:-1], 0.0) + told[-1] * rest / rest.sum()
        rows.append(_floored(chances, trade))
    return np.stack(rows)


def _floored(chances: Floats, trade: Floats) -> Floats:
    return np.asarray((1 - FLOOR) * chances + FLOOR * trade)


RIVALS: Mapping[str, Rival] = {
    "laylog": laylog,
    "commonest in the trade": commonest,
    "commonest here (oracle)": oracle,
    "z-scores": z_scores,
    "logistic regression": logistic,
    "gradient boosting": boosting,
}
ORACLES = frozenset({"commonest here (oracle)"})
