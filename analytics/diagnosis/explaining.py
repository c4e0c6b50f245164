"""What pulled a cause up, what pulled it down, and what nobody wrote down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.columns import lower_first
from analytics.diagnosis.answer import Clue, Origin
from analytics.diagnosis.exposure import TRADE, grades
from analytics.diagnosis.inference import Network, blame
from analytics.diagnosis.learning import trade_jobs
from analytics.diagnosis.model import ShopModel
from analytics.knowledge.model import Evidence

Floats = NDArray[np.float64]

TELLING_DB = 0.5
SPOKEN_SHARE = 0.005


@dataclass(frozen=True)
class Findings:
    """The findings of one job as the network's columns: their words, and which were seen."""

    words: tuple[str, ...]
    present: tuple[int, ...]
    absent: tuple[int, ...]


def record_clues(
    model: ShopModel, cause_row: int, family: int, job: pd.DataFrame
) -> tuple[list[Clue], list[str]]:
    """Clues from the part's own record for one cause, and the fields that are unknown."""
    cause = model.trade.causes[cause_row]
    clues: list[Clue] = []
    unknown: list[str] = []
    strengths = model.strengths[family]
    mean = strengths.shape[cause_row] / strengths.rate[cause_row]
    usual = float(mean @ model.usual[cause_row])
    taken = trade_jobs(model.trade, family)[cause_row]
    origin: Origin = "log" if strengths.rate[cause_row, TRADE] > 2 * taken else "trade"
    residual = 0.1 * usual + 1e-6
    for evidence in cause.evidence:
        graded = grades(evidence, job)[0]
        if np.isnan(graded[TRADE]):
            unknown.append(evidence.field)
            continue
        weight = 10 * np.log10((float(mean @ graded) + residual) / (usual + residual))
        harmed = graded[TRADE] > 0
        # Harm that is less than usual here still is no point in the cause's favour, nor against it.
        told = model.belief * (max(weight, 0.0) if harmed else min(weight, 0.0))
        clues.append(Clue(_sentence(evidence, harmed, job), round(float(told), 2), origin))
    return clues, unknown


def _sentence(evidence: Evidence, harmed: bool, job: pd.DataFrame) -> str:
    value = job[evidence.field].iloc[0]
    if isinstance(value, float | np.floating):
        value = f"{value:.3g}"
    elif isinstance(value, bool | np.bool_):
        value = "yes" if value else "no"
    text = evidence.says if harmed else evidence.denies
    edges = {"none": evidence.none, "full": evidence.full}
    slots = {name: f"{edge:g}" for name, edge in edges.items() if edge is not None}
    return text.format(value=value, **slots)


def finding_clues(network: Network, findings: Findings, target: int) -> list[list[Clue]]:
    """For each cause, the weight of every other finding: decibans with it less without it."""
    base = _odds(network, findings.present, findings.absent, target)
    clues: list[list[Clue]] = [[] for _ in network.active]
    for column in (*findings.present, *findings.absent):
        if column == target:
            continue
        present = tuple(c for c in findings.present if c != column)
        absent = tuple(c for c in findings.absent if c != column)
        change = 10 * (base - _odds(network, present, absent, target))
        for row, decibans in enumerate(change):
            if abs(decibans) >= TELLING_DB:
                clues[row].append(Clue(findings.words[column], round(float(decibans), 2), "trade"))
    return clues


def _odds(network: Network, present: Sequence[int], absent: Sequence[int], target: int) -> Floats:
    shares, _ = blame(network, list(present), list(absent), target).shares()
    safe = np.clip(shares, 1e-9, 1 - 1e-9)
    return np.log10(safe / (1 - safe))


def starting_point(share: float, defect_title: str) -> str:
    """How often the trade puts this defect down to a cause, before anything else is known."""
    if share < SPOKEN_SHARE:
        return f"the trade seldom puts {lower_first(defect_title)} down to this"
    return f"in the trade about {round(100 * share)} in 100 cases of {lower_first(defect_title)}"
