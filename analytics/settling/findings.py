"""What one fault says of two ways set side by side, and the verdict."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil, isfinite, isnan

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.knowledge.model import Knowledge, Question
from analytics.settling.answer import Adjusted, Finding, MouldPair, Shares, Verdict
from analytics.settling.like import Like, season_of
from analytics.settling.ways import Bools, Way
from analytics.stats.differences import jobs_each, mantel_haenszel
from analytics.stats.multiple import benjamini_hochberg
from analytics.stats.proportions import wilson
from analytics.stats.stratified import comparable, standardised_difference

SURE = 0.05


@dataclass(frozen=True)
class Asked:
    """A question with its ways read; `matters` is the difference worth a change [0..1]."""

    question: Question
    a: Way
    b: Way
    where: tuple[Way, ...]
    matters: float


@dataclass(frozen=True)
class SideBySide:
    """Parts of both ways (n): which are of the first way, which count, which are alike."""

    jobs: pd.DataFrame
    defects: pd.DataFrame
    is_a: Bools
    counted: Bools
    like: Like


def _faulty(defects: pd.DataFrame, jobs: pd.DataFrame, defect: str, knowledge: Knowledge) -> Bools:
    """(n,) parts with the fault; a group takes in its members."""
    wanted = {defect, *knowledge.defects[defect].members}
    parts = defects.loc[defects["defect"].isin(wanted), "part_id"]
    return np.asarray(jobs["part_id"].isin(parts), dtype=bool)


def _unsaid(defects: pd.DataFrame, jobs: pd.DataFrame, defect: str, knowledge: Knowledge) -> Bools:
    """(n,) parts written down with the group only: which member it was nobody said."""
    group = knowledge.defects[defect].group
    parts = defects.loc[defects["defect"] == group, "part_id"] if group else ()
    has = np.asarray(jobs["part_id"].isin(parts), dtype=bool)
    return has & ~_faulty(defects, jobs, defect, knowledge)


def finding(defect: str, parts: SideBySide, asked: Asked, knowledge: Knowledge) -> Finding:
    """What one fault says of the two ways; its verdict is still open where it may speak."""
    jobs, is_a, like = parts.jobs, parts.is_a, parts.like
    faulty = _faulty(parts.defects, jobs, defect, knowledge)
    used = parts.counted & ~_unsaid(parts.defects, jobs, defect, knowledge)
    tables = like.tables(is_a, faulty, used)
    silent = Finding(
        defect, knowledge.defects[defect].title, "not-enough", "", None, None, None, None
    )
    told = tables[comparable(tables)]
    if not len(told):
        return replace(silent, verdict="never-alike")
    if short := _short_of(asked.question, told, jobs, used & like.both):
        return replace(silent, more_each=short)
    adjusted, worth = _adjusted(tables)
    return replace(
        silent,
        a=_shares(used & is_a, faulty),
        b=_shares(used & ~is_a, faulty),
        adjusted=adjusted,
        more_each=_more_each(adjusted, worth, told, asked.matters),
        by_mould=_by_mould(jobs, is_a, faulty, used & like.both),
    )


def _adjusted(tables: NDArray[np.float64]) -> tuple[Adjusted, tuple[float, float]]:
    """Both shares over the same conditions, and the parts a side they are worth."""
    found, pooled = standardised_difference(tables), mantel_haenszel(tables)
    adjusted = Adjusted(
        share_a=found.share_a,
        share_b=found.share_b,
        difference=found.difference,
        low=found.low,
        high=found.high,
        a_low=found.range_a.low,
        a_high=found.range_a.high,
        b_low=found.range_b.low,
        b_high=found.range_b.high,
        everywhere=standardised_difference(tables, tables.sum((1, 2))).difference,
        odds_ratio=None if isnan(pooled.odds_ratio) else pooled.odds_ratio,
        p_value=1.0 if isnan(pooled.p_value) else pooled.p_value,
        q_value=1.0,
    )
    return adjusted, (found.jobs_a, found.jobs_b)


def _short_of(
    question: Question, told: NDArray[np.float64], jobs: pd.DataFrame, used: Bools
) -> int:
    """How many parts of each way are missing before the log may speak; 0 where it may."""
    a, b = told.sum((0, 2))
    faults = told[:, :, 0].sum()
    seasons = season_of(jobs["date"][used]).nunique()
    short = max(
        question.least_each - min(a, b),
        (question.least_all - a - b) / 2,
        1 if faults < question.least_faults or seasons < question.least_seasons else 0,
    )
    return max(0, ceil(short))


def _shares(used: Bools, faulty: Bools) -> Shares:
    parts, faults = int(used.sum()), int((used & faulty).sum())
    low, high = wilson(faults, parts)
    return Shares(faults, parts, faults / parts if parts else 0.0, low, high)


def _more_each(
    found: Adjusted, worth: tuple[float, float], told: NDArray[np.float64], matters: float
) -> int:
    """More parts of each way until the difference seen (or one that matters) would be told."""
    share_a, share_b = found.share_a, found.share_b
    if abs(share_a - share_b) < matters:
        middle = min(max((share_a + share_b) / 2, matters / 2), 1 - matters / 2)
        share_a, share_b = middle - matters / 2, middle + matters / 2
    have = 2.0 / (1.0 / worth[0] + 1.0 / worth[1])
    a, b = told.sum((0, 2))
    # Parts spread over unlike conditions are worth less than as many side by side.
    each_for_one = max(1.0, 2.0 / (1.0 / a + 1.0 / b) / have)
    need = jobs_each(share_a, share_b)
    return ceil(max(need - have, 0.1 * need) * each_for_one)


def _by_mould(jobs: pd.DataFrame, is_a: Bools, faulty: Bools, used: Bools) -> tuple[MouldPair, ...]:
    table = pd.DataFrame(
        {
            "mould": jobs["mould_id"].fillna("not written"),
            "a": used & is_a, "a_faults": used & is_a & faulty,
            "b": used & ~is_a, "b_faults": used & ~is_a & faulty,
        }
    )  # fmt: skip
    sums = table[used].groupby("mould", sort=True).sum()
    return tuple(
        MouldPair(str(mould), int(r.a_faults), int(r.a), int(r.b_faults), int(r.b))
        for mould, r in sums.iterrows()
    )


def judged_together(findings: tuple[Finding, ...], asked: Asked) -> tuple[Finding, ...]:
    """Verdicts, corrected for asking about several faults at once (Benjamini-Hochberg)."""
    told = [f for f in findings if f.adjusted is not None]
    q_values = iter(benjamini_hochberg([f.adjusted.p_value for f in told if f.adjusted]))
    judged = []
    for finding in findings:
        if finding.adjusted is None:
            judged.append(finding)
            continue
        adjusted = replace(finding.adjusted, q_value=float(next(q_values)))
        verdict = _verdict(adjusted, asked.matters)
        more = 0 if verdict != "not-enough" else finding.more_each
        judged.append(replace(finding, adjusted=adjusted, verdict=verdict, more_each=more))
    return tuple(judged)


def _verdict(found: Adjusted, matters: float) -> Verdict:
    if found.low > -matters and found.high < matters:
        return "alike"
    sure = found.q_value < SURE and isfinite(found.difference)
    if sure and found.high < 0:
        return "a-better"
    if sure and found.low > 0:
        return "b-better"
    return "not-enough"
