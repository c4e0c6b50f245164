"""The trade's answer before any log: which causes bring which defects, how often, how strongly."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analytics.diagnosis.suspects import GROUPS
from analytics.knowledge.model import Cause, Knowledge
from analytics.records.fields import ROLES

Floats = NDArray[np.float64]

CASES = 12.0


@dataclass(frozen=True)
class Family:
    """What is learnt together: a defect, or a group whose members logs seldom tell apart."""

    id: str
    members: tuple[str, ...]
    base_rate: float


@dataclass(frozen=True)
class Trade:
    """Trade knowledge as arrays over K causes and F families, in a fixed order.

    hazard : (K, F) what full exposure to a cause adds to a defect's hazard.
    share : (K, F) share of the defect's cases the trade puts down to the cause; columns sum to 1.
    recorded : (K,) True where a job record can show the cause.
    lives : by column of GROUPS, (K,) True for causes that can be a fault of one mould, lot,
        person, mix or day for itself.
    chain : (F, F) hazard of the second defect on a part that shows the first; 0 where unlinked.
    """

    knowledge: Knowledge
    causes: tuple[Cause, ...]
    families: tuple[Family, ...]
    hazard: Floats
    share: Floats
    recorded: NDArray[np.bool_]
    lives: Mapping[str, NDArray[np.bool_]]
    chain: Floats

    def family_index(self, defect: str) -> int:
        """Position of the family a defect or group belongs to."""
        for position, family in enumerate(self.families):
            if defect == family.id or defect in family.members:
                return position
        raise KeyError(defect)

    def cause_index(self, cause: str) -> int:
        """Position of a cause. Raises ValueError for one the knowledge does not have."""
        return [c.id for c in self.causes].index(cause)

    def taught(self, cases: Floats) -> Trade:
        """The trade's shares moved by (K, F) cases whose cause was confirmed in this shop.

        The trade counts for CASES cases of each defect (a Dirichlet prior).
        """
        share = (CASES * self.share + cases) / (CASES + cases.sum(axis=0))
        return replace(self, share=share)

    def leaf_hazard(self, defect: str) -> Floats:
        """(K,) hazard of full exposure for one defect, told apart from its group if it is named."""
        return np.array([_strongest(self.knowledge, c, (defect,)) for c in self.causes])


def trade(knowledge: Knowledge) -> Trade:
    """The arrays of `Trade` for the knowledge in force."""
    causes = tuple(knowledge.causes.values())
    kin = families(knowledge)
    hazard = np.array([[_strongest(knowledge, c, f.members) for f in kin] for c in causes])
    raw = np.array([[_share(knowledge, c, f) for f in kin] for c in causes])
    share = np.where(hazard > _rare(knowledge), raw, 0.0)
    return Trade(
        knowledge=knowledge,
        causes=causes,
        families=kin,
        hazard=hazard,
        share=share / np.maximum(share.sum(axis=0), 1e-12),
        recorded=np.array([bool(c.evidence) for c in causes]),
        lives={column: np.array([_lives_in(c, column) for c in causes]) for column in GROUPS},
        chain=_chains(knowledge, kin),
    )


def _lives_in(cause: Cause, column: str) -> bool:
    """Whether a cause can strike one member of this group and not the others."""
    if column == "day":
        return cause.scope == "day"
    role = column.removesuffix("_batch_id")
    if role != column:
        mixes = {e.field.partition("_")[0] for e in cause.evidence} & set(ROLES)
        return cause.scope == "mix" and role in (mixes or ROLES)
    return cause.group == column


def _chains(knowledge: Knowledge, kin: tuple[Family, ...]) -> Floats:
    place = {name: i for i, f in enumerate(kin) for name in (f.id, *f.members)}
    hazard = np.zeros((len(kin), len(kin)))
    for chain in knowledge.chains:
        hazard[place[chain.first], place[chain.then]] = _hazard(knowledge.likelihood[chain.level])
    return hazard


def families(knowledge: Knowledge) -> tuple[Family, ...]:
    """Groups with their members, and every defect that is in no group, by id."""
    found = []
    for defect in knowledge.defects.values():
        if defect.members:
            rate = sum(knowledge.defects[m].base_rate for m in defect.members)
            found.append(Family(defect.id, defect.members, rate))
        elif defect.group is None:
            found.append(Family(defect.id, (defect.id,), defect.base_rate))
    return tuple(sorted(found, key=lambda family: family.id))


def _rare(knowledge: Knowledge) -> float:
    return _hazard(knowledge.likelihood[0])


def _hazard(chance: float) -> float:
    return float(-np.log1p(-chance))


def _strongest(knowledge: Knowledge, cause: Cause, defects: tuple[str, ...]) -> float:
    levels = (cause.levels.get(defect, 0) for defect in defects)
    return _hazard(max(knowledge.likelihood[level] for level in levels))


def _share(knowledge: Knowledge, cause: Cause, family: Family) -> float:
    """Share of the family's cases; a cause listed for a defect but given no share gets a crumb."""
    total = 0.0
    for member in family.members:
        weight = knowledge.defects[member].base_rate / family.base_rate
        crumb = knowledge.unlisted_share[cause.levels.get(member, 0)]
        total += weight * max(cause.shares.get(member, 0.0), crumb)
    return total
