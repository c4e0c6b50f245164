"""One shop's cause model: learnt strengths, and the network they make for a job."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.diagnosis.alike import told_parts
from analytics.diagnosis.believing import belief, believed
from analytics.diagnosis.exposure import TRADE, Exposure, exposures
from analytics.diagnosis.inference import Network
from analytics.diagnosis.learning import (
    LEAK,
    NEARBY,
    RESIDUAL,
    Design,
    Strengths,
    learn,
    nearby_grades,
)
from analytics.diagnosis.lots import LOT_RATIOS, lot_ratios
from analytics.diagnosis.suspects import GROUPS
from analytics.diagnosis.trade import Trade, trade
from analytics.knowledge.model import Knowledge

Floats = NDArray[np.float64]

CERTAIN = 0.98
HALF_SURE = 0.5
RARE = 1e-4
UNKNOWN = 0.3


@dataclass(frozen=True)
class Hazards:
    """What each cause adds to each family on one job: from the record, and from what is hidden.

    recorded, hidden : (K, F); leak : (F,); grade : (K,) exposure 0..1, NaN where unknown.
    """

    recorded: Floats
    hidden: Floats
    leak: Floats
    grade: Floats

    @property
    def total(self) -> Floats:
        return self.recorded + self.hidden

    def believed(self, share: Floats, power: float) -> Hazards:
        """The same hazards in sum, each drawn to the trade's `share` (K, F) of the faults.

        See `believing`: the evidence of the record is believed to this `power` only.
        """
        whole = self.total.sum(axis=0) + self.leak
        own = np.vstack([self.total, self.leak]) / np.maximum(whole, 1e-300)
        drawn = believed(own.T, with_leak(share).T, power).T * whole
        ratio = drawn[:-1] / np.maximum(self.total, 1e-300)
        return Hazards(self.recorded * ratio, self.hidden * ratio, drawn[-1], self.grade)


def with_leak(share: Floats) -> Floats:
    """(K + 1, ...) the trade's shares of a fault's cases, what nobody can name last."""
    return np.concatenate([share, np.full((1, *share.shape[1:]), LEAK)]) / (1 + LEAK)


@dataclass(frozen=True)
class ShopModel:
    """Trade knowledge updated by one shop's log; see `learning` for what is learnt and how.

    lots : (n, 3) LOT_RATIOS of every job.
    """

    trade: Trade
    strengths: tuple[Strengths, ...]
    usual: Floats
    recorded: NDArray[np.bool_]
    exposure: Exposure
    lots: Floats
    jobs: int

    @cached_property
    def belief(self) -> float:
        """The power to which a record's evidence is believed in this shop; see `believing`."""
        return belief([s.agrees for s in self.strengths])

    def hazards(self, place: int, groups: Mapping[str, object]) -> Hazards:
        """Hazards of the job at `place` in the jobs table; `groups` are its mould, lots, person."""
        first = max(place - NEARBY, 0)
        row = place - first
        exposure = self.exposure.of(slice(first, place + NEARBY + 1))
        known = exposure.known[row]
        nearby = nearby_grades(exposure, self.usual)[row]
        grade = np.where(known[:, None], exposure.grade[row], nearby)
        told = known | self.recorded
        recorded = np.stack(
            [(s.shape / s.rate * grade).sum(axis=1) * told for s in self.strengths], axis=1
        )
        level = np.where(known, exposure.grade[row][:, TRADE], np.nan)
        hidden, leak = self._hidden(known, exposure.impossible[row], groups)
        return Hazards(recorded, hidden, leak, level)

    def _hidden(
        self,
        shown: NDArray[np.bool_],
        impossible: NDArray[np.bool_],
        groups: Mapping[str, object],
    ) -> tuple[Floats, Floats]:
        """Share the constant and the groups' extras out over the causes a record cannot show."""
        trust = np.where(shown, RESIDUAL, np.where(self.recorded, UNKNOWN, 1.0))
        trust = np.where(impossible, 0.0, trust)
        hidden = np.zeros_like(self.trade.share)
        leak = np.zeros(len(self.strengths))
        for f, strength in enumerate(self.strengths):
            weight = self.trade.share[:, f] * trust
            constant = strength.constant
            hidden[:, f] += constant * weight / (weight.sum() + LEAK)
            leak[f] += constant * LEAK / (weight.sum() + LEAK)
            for column in GROUPS:
                extra = strength.groups[column].get(str(groups.get(column)), 0.0)
                # what its records explain is taken off already: here they count no more
                near = np.where(impossible, 0.0, self._belongs(column, f))
                if near.sum() > 0:
                    hidden[:, f] += extra * near / near.sum()
                else:
                    leak[f] += extra
        return hidden, leak

    def _belongs(self, column: str, family: int) -> Floats:
        """(K,) trade share of the causes that can strike one member of this group alone."""
        return np.where(self.trade.lives[column], self.trade.share[:, family], 0.0)

    def network(self, hazards: Hazards, columns: Sequence[str]) -> Network:
        """The noisy-OR network of one job over these defects (families, groups or members)."""
        total, full = hazards.total, self.trade.hazard
        listed = self.trade.share > 0
        ratio = np.where(listed, total / full, 0.0).max(axis=1)
        known = np.nan_to_num(hazards.grade, nan=0.0)
        active = np.clip(np.maximum(ratio, HALF_SURE * known), 1e-6, CERTAIN)
        link = np.zeros((len(active), len(columns)))
        leak = np.zeros(len(columns))
        for position, defect in enumerate(columns):
            family = self.trade.family_index(defect)
            own = total[:, family] * self._leaf_part(defect, family)
            chance = -np.expm1(-own) / active
            link[:, position] = np.clip(chance, RARE, CERTAIN)
            leak[position] = -np.expm1(-hazards.leak[family])
        return Network(active, link, leak)

    def _leaf_part(self, defect: str, family: int) -> Floats:
        """(K,) how much of a family's hazard falls on one member (1 for the family itself)."""
        if defect == self.trade.families[family].id:
            return np.ones(len(self.trade.causes))
        leaf = self.trade.leaf_hazard(defect)
        return np.minimum(leaf / self.trade.hazard[:, family], 1.0)


def fit_shop(
    knowledge: Knowledge,
    jobs: pd.DataFrame,
    defects: pd.DataFrame,
    confirmed: Sequence[tuple[str, str, str]] = (),
) -> ShopModel:
    """The cause model of one shop.

    Parameters
    ----------
    jobs : the jobs table (`analytics.jobs.jobs_table`).
    defects : part_id and defect (ids of the knowledge), one row per fault seen.
    confirmed : (part_id, defect, cause) of every cause somebody confirmed at the bench.

    Only jobs whose result says which faults there were, or none, teach the model.
    """
    plain = trade(knowledge)
    kin = plain.taught(_cases(plain, confirmed))
    lots = lot_ratios(jobs)
    whole = exposures(kin.causes, jobs.assign(**dict(zip(LOT_RATIOS, lots.T, strict=True))))
    rows = np.flatnonzero(told_parts(jobs, defects))
    looked = jobs.iloc[rows]
    shown = _shown(kin, looked, defects)
    groups = looked[list(GROUPS)].astype("str")
    found = _confirmed(kin, looked["part_id"], confirmed)
    design = Design.of(whole.of(rows), groups, shown, found)
    strengths = tuple(learn(kin, position, design) for position in range(len(kin.families)))
    return ShopModel(kin, strengths, design.usual, design.recorded, whole, lots, len(rows))


def _shown(kin: Trade, jobs: pd.DataFrame, defects: pd.DataFrame) -> NDArray[np.bool_]:
    """(n, F) True where a job shows a defect of the family."""
    place = {name: f for f, own in enumerate(kin.families) for name in (own.id, *own.members)}
    codes, parts = pd.factorize(jobs["part_id"])
    part = parts.get_indexer(pd.Index(defects["part_id"]))
    family = defects["defect"].map(place).fillna(-1).to_numpy(dtype=np.intp)
    known = (part >= 0) & (family >= 0)
    shown = np.zeros((len(parts), len(kin.families)), dtype=bool)
    shown[part[known], family[known]] = True
    return shown[codes]


def _cases(kin: Trade, confirmed: Sequence[tuple[str, str, str]]) -> Floats:
    """(K, F) how many cases of each family were confirmed for each cause."""
    cases = np.zeros_like(kin.share)
    for _, defect, cause in confirmed:
        cases[kin.cause_index(cause), kin.family_index(defect)] += 1
    return cases


def _confirmed(
    kin: Trade, parts: pd.Series[str], confirmed: Sequence[tuple[str, str, str]]
) -> NDArray[np.intp]:
    """(n, F) position of the cause confirmed for a part's fault, -1 where none was."""
    rows = {part: row for row, part in enumerate(parts)}
    found = np.full((len(parts), len(kin.families)), -1, dtype=np.intp)
    for part, defect, cause in confirmed:
        if part in rows:
            found[rows[part], kin.family_index(defect)] = kin.cause_index(cause)
    return found
