"""Why did this part fail? Ranked causes for each defect on a part."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.columns import column, lower_first
from analytics.diagnosis import explaining
from analytics.diagnosis.alike import Compared, like_jobs
from analytics.diagnosis.answer import CLEAR, WHERE, Clue, Diagnosis, RankedCause, chance_words
from analytics.diagnosis.judging import Case, Judged, Verdict, case_of, judge
from analytics.diagnosis.learning import trade_jobs
from analytics.diagnosis.log_told import Placed
from analytics.diagnosis.model import Hazards, ShopModel
from analytics.diagnosis.next_checks import next_checks, places
from analytics.diagnosis.roots import behind
from analytics.diagnosis.suspects import GROUPS
from analytics.diagnosis.together import readings
from analytics.diagnosis.trade import CASES

Floats = NDArray[np.float64]

DRAWS = 200
SEED = 20240229
FEWEST_CASES = 0.3
FEW_JOBS = 30
SHOWN = 0.005
WORTH_A_CLUE = 0.3
DOUBTED = 0.6
"""A shop whose records are believed less than this is told so."""


def diagnose(
    model: ShopModel,
    jobs: pd.DataFrame,
    defects: pd.DataFrame,
    part_id: str,
    *,
    seen: Mapping[str, str] | None = None,
    asked: Sequence[str] = (),
    confirmed: Mapping[str, str] | None = None,
    compared: Compared | None = None,
    placed: Placed | None = None,
) -> tuple[Diagnosis, ...]:
    """One ranked answer for each defect on the part, in the order it was written down.

    Parameters
    ----------
    jobs, defects : the jobs table and the log's faults (part_id, defect, words).
    seen : bench results, check id to result id.
    asked : defects to explain besides those in the log (ids of the knowledge).
    confirmed : defect id to the cause that somebody confirmed for it.
    compared : the jobs made comparable, where somebody keeps them.
    placed : counts the places of faults on other parts, where the tables hold only the jobs
        near this one, its mould's last ones and those like it (see `pieces`).

    Raises QuestionError for an unknown part, a part with no fault, or an unknown bench result.
    """
    case = case_of(model, jobs, defects, part_id, seen or {}, asked, placed)
    verdict = judge(model, case)
    alike = like_jobs(jobs, compared or Compared.of(jobs, defects), case.row)
    found = confirmed or {}
    own = defects[defects["part_id"] == part_id].dropna(subset=["place"])
    written = dict(zip(own["defect"], own["place"], strict=True))
    return tuple(
        replace(
            _Answer.of(model, case, verdict, position).diagnosis(found.get(judged.defect)),
            like_jobs=alike,
            place_written=written.get(judged.defect, ""),
        )
        for position, judged in enumerate(verdict.judged)
    )


@dataclass(frozen=True)
class _Answer:
    """One judged fault being put into words: chances with intervals, and clues by cause."""

    model: ShopModel
    case: Case
    judged: Judged
    low: Floats
    high: Floats
    clues: list[list[Clue]]

    @classmethod
    def of(cls, model: ShopModel, case: Case, verdict: Verdict, target: int) -> _Answer:
        judged = verdict.judged[target]
        low, high = np.percentile(_draws(model, verdict.hazards, judged), [5, 95], axis=0)
        return cls(
            model=model,
            case=case,
            judged=judged,
            low=np.minimum(low, judged.chances),
            high=np.maximum(high, judged.chances),
            clues=explaining.finding_clues(verdict.network, verdict.findings, target),
        )

    @property
    def family(self) -> int:
        return self.judged.family

    def diagnosis(self, confirmed: str | None) -> Diagnosis:
        kin, defect = self.model.trade, self.judged.defect
        about = kin.knowledge.defects[defect]
        chances = self.judged.chances
        order = np.argsort(-chances, kind="stable")
        shown = [int(row) for row in order if chances[row] >= SHOWN]
        if confirmed is not None and kin.cause_index(confirmed) not in shown:
            shown.append(kin.cause_index(confirmed))
        ranked = [self._cause(row, defect) for row in shown]
        if confirmed is not None:
            ranked = _with_confirmed(ranked, confirmed)
        return Diagnosis(
            part=self.case.part,
            defect=defect,
            defect_title=about.title,
            words=self.case.words.get(defect, ""),
            look=about.look,
            this_part=about.this_part,
            prevent=about.prevent,
            causes=tuple(ranked),
            unexplained=max(1 - sum(cause.probability for cause in ranked), 0.0),
            jobs_used=self.model.jobs,
            next_checks=next_checks(kin, chances, self.judged.unexplained, self.case.seen),
            like_jobs=(),
            summary=_summary(ranked, about.title),
            readings=readings(self.case, kin.knowledge, defect),
            warnings=self._warnings(),
            cautions=tuple(kin.knowledge.cautions[c] for c in about.cautions),
            seen=tuple(self.case.seen.items()),
            place_check=WHERE,
            places=places(kin, chances, self.case.seen),
        )

    def _cause(self, row: int, defect: str) -> RankedCause:
        kin = self.model.trade
        cause = kin.causes[row]
        clues, unknown = explaining.record_clues(self.model, row, self.family, self.case.job)
        share = float(kin.share[row, self.family])
        clues += [
            *self.clues[row],
            *self._group_clues(row),
            *self._root_clues(row),
            *self._behind_clues(row),
        ]
        telling = [c for c in clues if abs(c.decibans) >= WORTH_A_CLUE]
        strengths = self.model.strengths[self.family]
        taken = float(trade_jobs(kin, self.family)[row])
        worth = float(strengths.rate[row].mean()) - taken
        check_id = next(iter(cause.checks), None)
        return RankedCause(
            cause=cause.id,
            title=cause.title,
            what=cause.what,
            probability=float(self.judged.chances[row]),
            low=float(self.low[row]),
            high=float(self.high[row]),
            start=explaining.starting_point(share, kin.knowledge.defects[defect].title),
            clues_for=_sorted(c for c in telling if c.decibans > 0),
            clues_against=_sorted(c for c in telling if c.decibans < 0),
            unknown=tuple(_unknown(name) for name in unknown),
            trade_jobs=taken,
            log_jobs=max(worth, 0.0) if self.model.recorded[row] else 0.0,
            check=cause.check_text,
            check_id=check_id,
            mend=cause.mend,
            prevent=cause.prevent,
            cautions=tuple(kin.knowledge.cautions[c] for c in cause.cautions),
            source=kin.knowledge.sources[cause.source].text,
        )

    def _group_clues(self, row: int) -> list[Clue]:
        """Clues from a mould, lot, person, mix or day with more faults than its records explain."""
        strengths = self.model.strengths[self.family]
        clues = []
        for group in GROUPS:
            name = str(self.case.job[group].iloc[0])
            extra = strengths.groups[group].get(name, 0.0)
            if extra and self.model.trade.lives[group][row]:
                ratio = (extra + strengths.constant) / strengths.constant
                weight = 10 * self.model.belief * np.log10(ratio)
                text = f"{column(group).name} {name} shows more of it than its records explain"
                clues.append(Clue(text, round(float(weight), 2), "log"))
        return clues

    def _root_clues(self, row: int) -> list[Clue]:
        """A clue for causes taken over from a fault of the same part that brings this one."""
        if not self.judged.root or self.judged.chances[row] < SHOWN:
            return []
        kin = self.model.trade
        ends = (kin.family_index(self.judged.root), self.family)
        chain = next(
            c
            for c in kin.knowledge.chains
            if (kin.family_index(c.first), kin.family_index(c.then)) == ends
        )
        weight = 10 * np.log10(1 / max(1 - self.judged.chained, 0.01))
        return [Clue(chain.because, round(float(weight), 2), "log")]

    def _behind_clues(self, row: int) -> list[Clue]:
        """A clue that the cold, or whatever is the root, is behind a wait, and one against it."""
        clues = []
        for one in behind(self.model.trade, self.family):
            if row not in (one.cause, one.root):
                continue
            share = min(float(one.share(self.case.job)[0]), 0.99)
            if share > 0:
                left = 10 * np.log10(1 - share)
                weight = left if row == one.cause else -left
                text = one.sentence(self.case.job)
                clues.append(Clue(text, round(float(weight), 2), "trade"))
        return clues

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
        elif self.model.belief < DOUBTED:
            warnings.append(
                "In this log faults fall less often where the records say they should: "
                "the chances lean more on what is usual in the trade."
            )
        if not bool(self.case.job["looked"].fillna(False).iloc[0]):
            warnings.append("No result is written for this part; faults not named are unknown.")
        return tuple(warnings)


def _summary(ranked: list[RankedCause], title: str) -> str:
    if not ranked:
        return f"{title}: nothing laylog knows of stands out."
    first = ranked[0]
    if first.confirmed:
        return f"{title}: confirmed, {lower_first(first.title)}."
    if first.probability < CLEAR:
        return f"{title}: not clear yet; look first at this: {lower_first(first.title)}."
    return f"{title}: {chance_words(first.probability)}, {lower_first(first.title)}."


def _draws(model: ShopModel, hazards: Hazards, judged: Judged) -> Floats:
    """(DRAWS, K) chances with the strengths drawn from what is still possible.

    Each cause's weight in the answer moves with its own strength: the learnt Gamma for what the
    record shows, a Gamma of CASES times the trade's share for what it does not.
    """
    rng = np.random.default_rng(SEED)
    family = judged.family
    cases = np.maximum(model.strengths[family].shape.sum(axis=1), FEWEST_CASES)
    guessed = np.maximum(CASES * model.trade.share[:, family], FEWEST_CASES)
    size = (DRAWS, len(cases))
    recorded, hidden = hazards.recorded[:, family], hazards.hidden[:, family]
    part = recorded / np.maximum(recorded + hidden, 1e-12)
    moved = part * rng.gamma(cases, size=size) / cases
    moved += (1 - part) * rng.gamma(guessed, size=size) / guessed
    weight = judged.chances * moved
    return weight / np.maximum(weight.sum(axis=1, keepdims=True) + judged.unexplained, 1e-12)


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
    """What nobody wrote down, by name."""
    return column(name).name
