"""Why did this part fail? Ranked causes for each defect on a part."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.diagnosis import explaining
from analytics.diagnosis.alike import field_title, good_parts, like_jobs
from analytics.diagnosis.answer import Clue, Diagnosis, RankedCause
from analytics.diagnosis.inference import Network, blame
from analytics.diagnosis.learning import GROUPS, TRADE_JOBS
from analytics.diagnosis.model import Hazards, ShopModel
from analytics.diagnosis.next_checks import next_checks
from analytics.diagnosis.observed import (
    bench_observations,
    note_observations,
    with_observations,
)
from analytics.errors import QuestionError

Floats = NDArray[np.float64]

DRAWS = 200
SEED = 20240229
TRADE_CASES = 12.0
FEW_JOBS = 30
SHOWN = 0.005
WORTH_A_CLUE = 0.3


@dataclass(frozen=True)
class Case:
    """Everything known about one part when its faults are judged."""

    row: int
    part: str
    job: pd.DataFrame
    defects: tuple[str, ...]
    words: Mapping[str, str]
    seen: Mapping[str, str]
    confirmed: Mapping[str, str]


def diagnose(
    model: ShopModel,
    jobs: pd.DataFrame,
    defects: pd.DataFrame,
    part_id: str,
    *,
    seen: Mapping[str, str] | None = None,
    asked: Sequence[str] = (),
    confirmed: Mapping[str, str] | None = None,
) -> tuple[Diagnosis, ...]:
    """One ranked answer for each defect on the part, in the order it was written down.

    Parameters
    ----------
    jobs, defects : the jobs table and the log's faults (part_id, defect, words).
    seen : bench results, check id to result id.
    asked : defects to explain besides those in the log (ids of the knowledge).
    confirmed : defect id to the cause that somebody confirmed for it.

    Raises QuestionError for an unknown part, a part with no fault, or an unknown bench result.
    """
    case = _case(model, jobs, defects, part_id, seen or {}, asked, confirmed or {})
    exposure = model.exposure(case.job)
    groups = {name: case.job[name].iloc[0] for name in GROUPS}
    hazards = model.hazards(exposure, 0, groups)
    network, findings = _network(model, case, hazards)
    good = good_parts(jobs, defects)
    alike = like_jobs(jobs, good, case.row)
    answers = []
    for position, defect in enumerate(case.defects):
        ranking = _Ranking.of(model, case, hazards, network, findings, position)
        answers.append(replace(ranking.answer(defect), like_jobs=alike))
    return tuple(answers)


def _case(
    model: ShopModel,
    jobs: pd.DataFrame,
    defects: pd.DataFrame,
    part_id: str,
    seen: Mapping[str, str],
    asked: Sequence[str],
    confirmed: Mapping[str, str],
) -> Case:
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
    job = jobs.iloc[[int(rows[0])]].reset_index(drop=True)
    return Case(int(rows[0]), part_id, job, faults, words, seen, confirmed)


def _network(
    model: ShopModel, case: Case, hazards: Hazards
) -> tuple[Network, explaining.Findings]:
    """The job's network over its defects, the families not seen, bench results and notes."""
    kin = model.trade
    shown = {kin.family_index(defect) for defect in case.defects}
    looked = bool(case.job["looked"].fillna(False).iloc[0])
    missing = [f.id for i, f in enumerate(kin.families) if i not in shown] if looked else []
    columns = [*case.defects, *missing]
    network = model.network(hazards, columns)
    observations = bench_observations(kin, case.seen)
    observations += note_observations(kin, case.job["notes"].iloc[0])
    network, present, absent = with_observations(network, observations)
    titles = kin.knowledge.defects
    words = (
        *(f"{titles[d].title.lower()} on the same part" for d in case.defects),
        *(f"no {titles[d].title.lower()} on this part" for d in missing),
        *(o.text for o in observations),
    )
    first = len(case.defects)
    return network, explaining.Findings(
        words,
        (*range(first), *present),
        (*range(first, len(columns)), *absent),
    )


@dataclass(frozen=True)
class _Ranking:
    """The chances of every cause of one defect on one part, with intervals and clues."""

    model: ShopModel
    case: Case
    target: int
    family: int
    chances: Floats
    unexplained: float
    low: Floats
    high: Floats
    clues: list[list[Clue]]

    @classmethod
    def of(
        cls,
        model: ShopModel,
        case: Case,
        hazards: Hazards,
        network: Network,
        findings: explaining.Findings,
        target: int,
    ) -> _Ranking:
        family = model.trade.family_index(case.defects[target])
        blamed = blame(network, list(findings.present), list(findings.absent), target)
        chances, unexplained = blamed.shares()
        draws = _draws(model, hazards, family, chances, unexplained)
        low, high = np.percentile(draws, [5, 95], axis=0)
        return cls(
            model=model,
            case=case,
            target=target,
            family=family,
            chances=chances,
            unexplained=unexplained,
            low=np.minimum(low, chances),
            high=np.maximum(high, chances),
            clues=explaining.finding_clues(network, findings, target),
        )

    def answer(self, defect: str) -> Diagnosis:
        kin = self.model.trade
        about = kin.knowledge.defects[defect]
        cause_id = self.case.confirmed.get(defect)
        order = np.argsort(-self.chances, kind="stable")
        ranked = [self._cause(int(row), defect) for row in order if self.chances[row] >= SHOWN]
        if cause_id is not None:
            ranked = _with_confirmed(ranked, cause_id)
        rest = 1 - sum(cause.probability for cause in ranked)
        return Diagnosis(
            part=self.case.part,
            defect=defect,
            defect_title=about.title,
            words=self.case.words.get(defect, ""),
            look=about.look,
            this_part=about.this_part,
            prevent=about.prevent,
            causes=tuple(ranked),
            unexplained=max(float(rest), 0.0),
            jobs_used=self.model.jobs,
            next_checks=next_checks(kin, self.chances, self.unexplained, self.case.seen),
            like_jobs=(),
            summary=self._summary(ranked, about.title),
            warnings=self._warnings(),
            cautions=tuple(kin.knowledge.cautions[c] for c in about.cautions),
            seen=tuple(self.case.seen.items()),
        )

    def _cause(self, row: int, defect: str) -> RankedCause:
        kin = self.model.trade
        cause = kin.causes[row]
        clues, unknown = explaining.record_clues(self.model, row, self.family, self.case.job)
        share = float(kin.share[row, self.family])
        clues += [
            *self.clues[row],
            *self._group_clues(row),
            explaining.trade_clue(share, kin.knowledge.defects[defect].title),
        ]
        telling = [c for c in clues if abs(c.decibans) >= WORTH_A_CLUE]
        strengths = self.model.strengths[self.family]
        worth = float(strengths.rate[row].mean() - TRADE_JOBS)
        check_id = next(iter(cause.checks), None)
        return RankedCause(
            cause=cause.id,
            title=cause.title,
            what=cause.what,
            probability=float(self.chances[row]),
            low=float(self.low[row]),
            high=float(self.high[row]),
            clues_for=_sorted(c for c in telling if c.decibans > 0),
            clues_against=_sorted(c for c in telling if c.decibans < 0),
            unknown=tuple(_unknown(name) for name in unknown),
            trade_jobs=TRADE_JOBS,
            log_jobs=max(worth, 0.0) if self.model.recorded[row] else 0.0,
            check=cause.check_text,
            check_id=check_id,
            mend=cause.mend,
            prevent=cause.prevent,
            cautions=tuple(kin.knowledge.cautions[c] for c in cause.cautions),
            source=kin.knowledge.sources[cause.source].text,
        )

    def _group_clues(self, row: int) -> list[Clue]:
        cause = self.model.trade.causes[row]
        if cause.group is None:
            return []
        name = str(self.case.job[cause.group].iloc[0])
        strengths = self.model.strengths[self.family]
        extra = strengths.groups[cause.group].get(name, 0.0)
        plain = strengths.constant
        weight = 10 * np.log10((extra + plain) / plain)
        text = f"{field_title(cause.group)} {name} shows more of it than its records explain"
        return [Clue(text, round(float(weight), 2), "log")]

    def _summary(self, ranked: list[RankedCause], title: str) -> str:
        if not ranked:
            return f"{title}: nothing laylog knows of stands out."
        first = ranked[0]
        if first.confirmed:
            return f"{title}: confirmed, {first.title.lower()}."
        return f"{title}: {in_words(first.probability)} {first.title.lower()}."

    def _warnings(self) -> tuple[str, ...]:
        strengths = self.model.strengths[self.family]
        warnings = []
        if strengths.jobs < FEW_JOBS:
            warnings.append(
                f"Not enough jobs to tell from this log ({strengths.jobs} with a result): "
                "the ranking is the trade's, read against this part's record."
            )
        elif strengths.seen < 5:
            warnings.append(
                f"Only {strengths.seen} parts in this log show it: mostly the trade's answer."
            )
        if not bool(self.case.job["looked"].fillna(False).iloc[0]):
            warnings.append("No result is written for this part; faults not named are unknown.")
        return tuple(warnings)


def in_words(chance: float) -> str:
    """A probability as a person says it."""
    if chance >= 0.9:
        return "almost certainly"
    if chance >= 0.65:
        return "most likely"
    if chance >= 0.4:
        return "quite likely"
    if chance >= 0.2:
        return "perhaps"
    return "not clear; first to look at is"


def _draws(
    model: ShopModel, hazards: Hazards, family: int, chances: Floats, unexplained: float
) -> Floats:
    """(DRAWS, K) chances with the strengths drawn from what is still possible.

    Each cause's weight in the answer moves with its own strength: the learnt Gamma for what the
    record shows, a Gamma of TRADE_CASES times the trade's share for what it does not.
    """
    rng = np.random.default_rng(SEED)
    strengths = model.strengths[family]
    size = (DRAWS, len(chances))
    heaviest = strengths.shape.sum(axis=1)
    learnt = rng.gamma(np.maximum(heaviest, 0.3), size=size) / np.maximum(heaviest, 0.3)
    cases = np.maximum(TRADE_CASES * model.trade.share[:, family], 0.3)
    guessed = rng.gamma(cases, size=size) / cases
    recorded, hidden = hazards.recorded[:, family], hazards.hidden[:, family]
    part = recorded / np.maximum(recorded + hidden, 1e-12)
    weight = chances * (part * learnt + (1 - part) * guessed)
    return weight / np.maximum(weight.sum(axis=1, keepdims=True) + unexplained, 1e-12)


def _with_confirmed(ranked: list[RankedCause], cause_id: str) -> list[RankedCause]:
    """The confirmed cause first and certain; the others kept, at nothing."""
    marked = [
        replace(c, probability=1.0, low=1.0, high=1.0, confirmed=True)
        if c.cause == cause_id
        else replace(c, probability=0.0, low=0.0, high=0.0)
        for c in ranked
    ]
    return sorted(marked, key=lambda c: not c.confirmed)


def _sorted(clues: object) -> tuple[Clue, ...]:
    return tuple(sorted(clues, key=lambda c: -abs(c.decibans)))  # type: ignore[call-overload]


def _unknown(name: str) -> str:
    return f"{COMPUTED.get(name) or field_title(name)} not written down"


COMPUTED = {
    "dew_margin_c": "mould temperature and humidity",
    "night_low_c": "night temperature",
    "backup_h20": "hours from gel coat to first ply, or their temperature",
    "demould_h20": "hours to demould, or their temperature",
    "pva_h_ref_min": "film drying minutes, or the air they dried in",
    "gelcoat_gel_ratio": "gel time of the gel coat",
    "resin_gel_ratio": "gel time of the laminating resin",
    "laying_over_gel": "laying minutes",
    "resin_to_glass": "resin and glass weights",
    "film_spread": "thinnest and thickest wet film reading",
    "mould_young_pulls": "pulls taken from the mould so far",
}
