"""The chances of every cause behind each fault of one part, all findings together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.diagnosis.explaining import Findings
from analytics.diagnosis.inference import Network, blame
from analytics.diagnosis.log_told import Placed, told_by_log
from analytics.diagnosis.lots import LOT_RATIOS
from analytics.diagnosis.model import Hazards, ShopModel
from analytics.diagnosis.observed import (
    Observation,
    bench_observations,
    note_observations,
    with_observations,
)
from analytics.diagnosis.roots import to_the_root
from analytics.diagnosis.suspects import GROUPS
from analytics.errors import QuestionError

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Case:
    """Everything known about one part when its faults are judged.

    `row` is its place in the jobs table, `job` that one row, `words` the faults as typed,
    `seen` bench results by check, `told` what the log answers of them by itself.
    """

    row: int
    part: str
    job: pd.DataFrame
    defects: tuple[str, ...]
    words: Mapping[str, str]
    seen: Mapping[str, str]
    told: tuple[Observation, ...] = ()


@dataclass(frozen=True)
class Judged:
    """One fault of the part: `chances` (K,) and `unexplained` sum to 1.

    `chained` is the share taken over from `root`, another fault of the same part that brings
    this one; 0 and "" where there is none.
    """

    defect: str
    family: int
    chances: Floats
    unexplained: float
    chained: float = 0.0
    root: str = ""


@dataclass(frozen=True)
class Verdict:
    """All faults of a part judged, with the network and findings they were judged by."""

    judged: tuple[Judged, ...]
    network: Network
    findings: Findings
    hazards: Hazards


def case_of(
    model: ShopModel,
    jobs: pd.DataFrame,
    defects: pd.DataFrame,
    part_id: str,
    seen: Mapping[str, str],
    asked: Sequence[str],
    placed: Placed | None = None,
) -> Case:
    """The case of one part; `placed` counts the places of faults where the tables are not whole.

    Raises QuestionError for an unknown part, an unknown defect, or a part with no fault.
    """
    rows = np.flatnonzero((jobs["part_id"] == part_id).to_numpy())
    if not rows.size:
        raise QuestionError(f'No part is called "{part_id}" in this log.')
    known = model.trade.knowledge.defects
    for defect in asked:
        if defect not in known:
            raise QuestionError(f'"{defect}" is no defect laylog knows. Known: {", ".join(known)}.')
    own = defects[defects["part_id"] == part_id]
    written = [d for d in own["defect"] if isinstance(d, str) and d in known]
    faults = tuple(dict.fromkeys([*written, *asked]))
    if not faults:
        raise QuestionError(
            f"{part_id} has no fault written down. Say what is seen, for example: "
            f"laylog why {part_id} --defect sticking"
        )
    words = dict(zip(own["defect"], own["words"].fillna(""), strict=True))
    row = int(rows[0])
    job = jobs.iloc[[row]].reset_index(drop=True)
    job = job.assign(**dict(zip(LOT_RATIOS, model.lots[row], strict=True)))
    told = told_by_log(model.trade, jobs, defects, row, faults, seen, placed)
    return Case(row, part_id, job, faults, words, seen, told)


def judge(model: ShopModel, case: Case) -> Verdict:
    """Every fault of the case judged; a fault that another one brought takes over its causes."""
    hazards = _hazards(model, case)
    network, findings = _network(model, case, hazards)
    plain = [
        _alone(model, network, findings, position, case) for position in range(len(case.defects))
    ]
    judged = tuple(_with_root(model, hazards, one, plain) for one in plain)
    return Verdict(judged, network, findings, hazards)


def _hazards(model: ShopModel, case: Case) -> Hazards:
    plain = model.hazards(case.row, {name: case.job[name].iloc[0] for name in GROUPS})
    return plain.believed(model.trade.share, model.belief)


def _network(model: ShopModel, case: Case, hazards: Hazards) -> tuple[Network, Findings]:
    """The job's network over its faults, the families not seen, bench results and notes."""
    kin = model.trade
    shown = {kin.family_index(defect) for defect in case.defects}
    looked = bool(case.job["looked"].fillna(False).iloc[0])
    missing = [f.id for i, f in enumerate(kin.families) if i not in shown] if looked else []
    columns = [*case.defects, *missing]
    observations = bench_observations(kin, case.seen)
    observations += [*case.told, *note_observations(kin, case.job["notes"].iloc[0])]
    network, present, absent = with_observations(model.network(hazards, columns), observations)
    titles = kin.knowledge.defects
    words = (
        *(f"{titles[d].title.lower()} on the same part" for d in case.defects),
        *(f"no {titles[d].title.lower()} on this part" for d in missing),
        *(o.text for o in observations),
    )
    first = len(case.defects)
    seen = (*range(first), *present)
    return network, Findings(words, seen, (*range(first, len(columns)), *absent))


def _alone(
    model: ShopModel, network: Network, findings: Findings, target: int, case: Case
) -> Judged:
    defect = case.defects[target]
    family = model.trade.family_index(defect)
    told = blame(network, list(findings.present), list(findings.absent), target)
    chances, unexplained = told.shares()
    first = to_the_root(model.trade, family, chances[None, :], case.job)[0]
    return Judged(defect, family, first, unexplained)


def _with_root(model: ShopModel, hazards: Hazards, one: Judged, others: Sequence[Judged]) -> Judged:
    """`one`, with the share of its hazard that another fault brings put on that one's causes."""
    strengths = model.strengths[one.family]
    links = [(float(strengths.chain[other.family]), other) for other in others if other is not one]
    brought, root = max(links, key=lambda link: link[0], default=(0.0, one))
    if brought <= 0:
        return one
    own = float(hazards.total[:, one.family].sum() + hazards.leak[one.family])
    part = brought / (brought + own)
    return Judged(
        one.defect,
        one.family,
        (1 - part) * one.chances + part * root.chances,
        (1 - part) * one.unexplained + part * root.unexplained,
        part,
        root.defect,
    )
