"""A shop to be measured on: its log, and faults whose true causes are known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from analytics.diagnosis.model import ShopModel, fit_shop
from analytics.jobs import jobs_table
from analytics.knowledge.model import Knowledge
from analytics.records.log import Log

UNEXPLAINED = "?"
"""Stands beside the cause ids for "nothing anybody could name"."""


@dataclass(frozen=True)
class Case:
    """One fault to explain.

    `mains` are the true causes with the largest share of it (several where they tie), each as the
    cause ids that name it; `cause` is the first of them in the words of the truth. `recorded`
    says that the log normally has a column that can show one of them.
    """

    part: str
    defect: str
    cause: str
    mains: tuple[tuple[str, ...], ...]
    recorded: bool


@dataclass(frozen=True)
class Measured:
    """One shop with its model and the cases asked about.

    `group` is the row of the report it belongs to, `setting` what the shop is like. `truth` gives
    for each defect how often each cause was the main one in the whole log: only the oracle may
    look at it. `lost` counts labelled faults that the reader did not hand on.
    """

    name: str
    group: str
    setting: str
    knowledge: Knowledge
    jobs: pd.DataFrame
    defects: pd.DataFrame
    model: ShopModel
    cases: tuple[Case, ...]
    truth: Mapping[str, Mapping[str, float]]
    lost: int

    @property
    def ids(self) -> list[str]:
        """What chances are given to: every cause of the trade, and UNEXPLAINED last."""
        return [*(c.id for c in self.model.trade.causes), UNEXPLAINED]


def measured(
    name: str,
    group: str,
    setting: str,
    knowledge: Knowledge,
    log: Log,
    truth: pd.DataFrame,
    *,
    most: int,
    seed: int,
) -> Measured:
    """The shop fitted, with the faults of at most `most` failed parts as cases.

    `truth` has one row per part, defect and cause: part_id, defect, cause, ids (tuple of cause
    ids), share, recorded; only faults that the shop wrote down.
    """
    jobs = jobs_table(log, knowledge)
    whole = [_case(group_rows) for _, group_rows in truth.groupby(["part_id", "defect"])]
    written = set(zip(log.defects["part_id"], log.defects["defect"], strict=True))
    found = [case for case in whole if (case.part, case.defect) in written]
    return Measured(
        name=name,
        group=group,
        setting=setting,
        knowledge=knowledge,
        jobs=jobs,
        defects=log.defects,
        model=fit_shop(knowledge, jobs, log.defects),
        cases=_sampled(found, most, seed),
        truth=_main_causes(found),
        lost=len(whole) - len(found),
    )


def _case(rows: pd.DataFrame) -> Case:
    top = rows[rows["share"] >= rows["share"].max() - 1e-9]
    first = top.iloc[0]
    return Case(
        part=str(first["part_id"]),
        defect=str(first["defect"]),
        cause=str(first["cause"]),
        mains=tuple(top["ids"]),
        recorded=bool(top["recorded"].astype(bool).any()),
    )


def _sampled(cases: list[Case], most: int, seed: int) -> tuple[Case, ...]:
    parts = sorted({case.part for case in cases})
    rng = np.random.default_rng(seed)
    some = rng.choice(len(parts), size=min(most, len(parts)), replace=False)
    chosen = {parts[i] for i in some}
    return tuple(case for case in cases if case.part in chosen)


def _main_causes(cases: list[Case]) -> dict[str, dict[str, float]]:
    counts: dict[str, dict[str, float]] = {}
    for case in cases:
        own = counts.setdefault(case.defect, {})
        for ids in case.mains:
            own[ids[0]] = own.get(ids[0], 0.0) + 1 / len(case.mains)
    return counts
