"""How strong each cause is in this shop: trade knowledge as the prior, the log as the evidence.

Each defect has a hazard on each job: the sum of what every cause adds to it,

    hazard = constant + sum over causes (strength x exposure) + own extras of the job's groups,

and the chance of the defect is 1 - exp(-hazard): a noisy-OR with leak (Pearl 1988), since
independent causes multiply the chances of escaping. Every strength is a Gamma variable whose
prior mean comes from the trade and weighs as much as so many fully exposed jobs (`trade_jobs`);
groups (moulds, lots, people) come in only when they stand out (see `suspects`). The fit is
expectation-maximisation: the defects seen are shared out over the terms that can have brought
them until nothing moves.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.diagnosis.believing import MOST_SOUND, agreement, without_itself
from analytics.diagnosis.exposure import SHAPES, Exposure
from analytics.diagnosis.sharing import share_out
from analytics.diagnosis.suspects import GROUPS, USUAL_EXTRA, Suspect, worst_suspect
from analytics.diagnosis.trade import Trade

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

TRADE_JOBS = 8.0
# How exposed the jobs of an ordinary shop are, and how many jobs of a log that idea is worth.
ORDINARY, ORDINARY_JOBS = 0.08, 15.0
SHAPE_WEIGHTS = np.array([0.10, 0.60, 0.30])
MOST_GUILTY = 20
CONSTANT_JOBS = 1000.0
RATE_JOBS = 100.0
# A cause that brings a defect "often" has a hazard of about this; TRADE_JOBS is for such a one.
OFTEN, SURER = 0.33, (0.6, 3.0)
RESIDUAL = 0.20
LEAK = 0.10
OFTEN_ENOUGH = 0.03
NEARBY = 25
NEARBY_WEIGHT = 5.0


@dataclass(frozen=True)
class Strengths:
    """Gamma posteriors of one family's terms.

    shape, rate : (K, 3) for each cause and exposure shape; mean strength is shape / rate.
    owed : (K,) defects of this log put down to each recorded cause.
    groups : extra hazard of the groups found guilty, by column and name.
    constant : mean hazard that no record explains, the same on every job.
    chain : (F,) mean hazard added on a part that shows the other family.
    jobs, seen : parts looked at, and parts that showed it.
    agrees : (believing.SLOPES,) how well its faults fell where these strengths say.
    """

    shape: Floats
    rate: Floats
    owed: Floats
    groups: Mapping[str, Mapping[str, float]]
    constant: float
    chain: Floats
    jobs: int
    seen: int
    agrees: Floats


@dataclass(frozen=True)
class Design:
    """What every family is learnt from: n jobs where somebody wrote a result.

    graded : (n, K, 3) exposures, unknown ones at this shop's usual grade `usual` (K, 3).
    coded : for each of GROUPS, (n,) code of the job's group (-1 unknown) and the group names.
    shown : (n, F) True where a job shows a defect of the family.
    recorded : (K,) True for causes this log writes something about often enough to learn from.
    confirmed : (n, F) the cause somebody confirmed for it, -1 where nobody did.
    """

    graded: Floats
    usual: Floats
    coded: list[tuple[Ints, pd.Index]]
    shown: NDArray[np.bool_]
    recorded: NDArray[np.bool_]
    confirmed: Ints

    @classmethod
    def of(
        cls,
        exposure: Exposure,
        groups: pd.DataFrame,
        shown: NDArray[np.bool_],
        confirmed: Ints,
    ) -> Design:
        usual = usual_grades(exposure)
        graded = np.where(np.isnan(exposure.grade), nearby_grades(exposure, usual), exposure.grade)
        told = exposure.known & ~exposure.impossible
        recorded = told.sum(axis=0) >= OFTEN_ENOUGH * max(len(shown), 1)
        coded = [pd.factorize(groups[name]) for name in GROUPS]
        return cls(graded, usual, coded, shown, recorded, confirmed)


def usual_grades(exposure: Exposure) -> Floats:
    """(K, 3) mean grade where known, drawn towards the trade's idea of an ordinary shop."""
    told = np.where(exposure.known[:, :, None], exposure.grade, 0.0)
    known = exposure.known.sum(axis=0)[:, None]
    return (told.sum(axis=0) + ORDINARY * ORDINARY_JOBS) / (known + ORDINARY_JOBS)


def nearby_grades(exposure: Exposure, usual: Floats) -> Floats:
    """(n, K, 3) mean known grade over the NEARBY jobs before and after, drawn towards `usual`.

    What nobody wrote down is likeliest what the jobs of those weeks had: a schedule, a habit or a
    season changes all of them together. Jobs must be in order of time.
    """
    n = len(exposure.known)
    told = np.where(exposure.known[:, :, None], exposure.grade, 0.0)
    sums = np.concatenate([np.zeros_like(told[:1]), told.cumsum(axis=0)])
    counts = np.concatenate(
        [np.zeros_like(exposure.known[:1], dtype=np.float64), exposure.known.cumsum(axis=0)]
    )
    rows = np.arange(n)
    last, first = np.minimum(rows + NEARBY + 1, n), np.maximum(rows - NEARBY, 0)
    count = (counts[last] - counts[first])[:, :, None]
    return (sums[last] - sums[first] + usual * NEARBY_WEIGHT) / (count + NEARBY_WEIGHT)


def trade_jobs(trade: Trade, family: int) -> Floats:
    """(K,) how many fully exposed jobs the trade's strength of each cause is worth.

    What the trade sees often it knows to vary from shop to shop; what it sees seldom it knows to
    be weak everywhere, so that a bystander is not blamed for keeping company with the guilty.
    """
    strong = np.maximum(trade.hazard[:, family], 1e-9)
    return np.asarray(TRADE_JOBS * np.clip(np.sqrt(OFTEN / strong), *SURER))


def cause_prior(
    trade: Trade, family: int, usual: Floats, recorded: NDArray[np.bool_]
) -> tuple[Floats, Floats]:
    """(K, 3) Gamma shapes and rates of the strengths before the log.

    The trade gives two figures that must both be believed a little: how strong full exposure is,
    and how many of the cases it brings. With the share of jobs exposed here they need not agree;
    the prior mean lies half-way between them on the log scale. Causes the trade does not list for
    the defect stay at nothing: letting the log add them blamed bystanders more than it found.
    """
    strong = trade.hazard[:, family]
    base = trade.families[family].base_rate
    exposed = np.maximum(usual @ SHAPE_WEIGHTS, 0.02)
    by_share = np.clip(trade.share[:, family] * base / exposed, 0.05 * strong, strong)
    listed = trade.share[:, family] > 0
    mean = np.where(listed & recorded, np.sqrt(strong * by_share), 0.0)
    jobs = trade_jobs(trade, family)[:, None]
    return mean[:, None] * jobs * SHAPE_WEIGHTS, np.repeat(jobs, len(SHAPES), axis=1)


def constant_prior(trade: Trade, family: int, design: Design) -> float:
    """Hazard expected from causes no record shows, and from nobody knows what.

    Their share of the cases is the trade's, the number of cases this shop's own.
    """
    recorded = design.recorded
    share = trade.share[:, family]
    unseen = share[~recorded].sum() + RESIDUAL * share[recorded].sum()
    return float(shop_rate(trade, family, design) * (unseen + LEAK))


def shop_rate(trade: Trade, family: int, design: Design) -> float:
    """Share of this shop's parts that show the defect, drawn towards an ordinary shop's."""
    seen, jobs = design.shown[:, family].sum(), len(design.shown)
    return float((seen + RATE_JOBS * trade.families[family].base_rate) / (jobs + RATE_JOBS))


def learn(trade: Trade, family: int, design: Design) -> Strengths:
    """Posterior strengths of one family: its defects shared out over what can have brought them.

    Moulds, lots and people come in one at a time, the worst first, for as long as one is likelier
    guilty than not of more faults than the records of its jobs explain. Only those come in that a
    cause listed for the defect can live in: nobody's hand is to blame where no hand can bring it.
    """
    terms = _terms(trade, family, design)
    present = design.shown[:, family]
    suspected = _suspected(trade, family, design)
    guilty: list[Suspect] = []
    got = terms.share_out()
    while len(guilty) < MOST_GUILTY:
        suspect = worst_suspect(suspected, present, terms.hazard(got))
        if suspect is None or suspect in guilty:
            break
        guilty.append(suspect)
        members = design.coded[suspect.position][0] == suspect.code
        found = terms.strength(got)
        terms = terms.with_group(members, present)
        got = terms.share_out(found)
    return _strengths(trade, family, design, terms, got, guilty)


def _suspected(trade: Trade, family: int, design: Design) -> list[tuple[Ints, pd.Index]]:
    """The design's groups, with nobody known in those no listed cause can live in."""
    listed = trade.share[:, family] > 0
    return [
        (code if (trade.lives[column] & listed).any() else np.full_like(code, -1), names)
        for column, (code, names) in zip(GROUPS, design.coded, strict=True)
    ]


@dataclass(frozen=True)
class _Terms:
    """The columns a defect is shared out over, with Gamma priors (T,): first those of `exposed`.

    exposed : (n, T - G) exposure of every job; never copied, since it is by far the largest.
    members : for each of the G guilty groups, (n,) True on its jobs.
    blamed : (m, T) exposure of the m jobs that show the defect, 0 where a confirmed cause leaves
        no blame for the column.
    free : (m,) False where a cause was confirmed for the defect.
    totals : (T,) exposure summed over all jobs.
    """

    exposed: Floats
    members: tuple[NDArray[np.bool_], ...]
    blamed: Floats
    free: NDArray[np.bool_]
    totals: Floats
    shape: Floats
    rate: Floats

    def with_group(self, members: NDArray[np.bool_], present: NDArray[np.bool_]) -> _Terms:
        """The terms with one more: a group's own extra hazard."""
        return replace(
            self,
            members=(*self.members, members),
            blamed=np.column_stack([self.blamed, members[present] & self.free]),
            totals=np.append(self.totals, members.sum()),
            shape=np.append(self.shape, 1.0),
            rate=np.append(self.rate, 1 / USUAL_EXTRA),
        )

    def strength(self, got: Floats) -> Floats:
        """(T,) posterior mean strengths given the firings each term got."""
        return (self.shape + got) / (self.rate + self.totals)

    def hazard(self, got: Floats) -> Floats:
        """(n,) hazard of every job."""
        strength = self.strength(got)
        own = self.exposed.shape[1]
        hazard = np.asarray(self.exposed @ strength[:own])
        for members, extra in zip(self.members, strength[own:], strict=True):
            hazard[members] += extra
        return hazard

    def share_out(self, before: Floats | None = None) -> Floats:
        """(T,) expected firings of every term over the jobs that show the defect.

        `before` are the strengths found without the last group: most of them stay as they were.
        """
        start = None if before is None else np.append(before, USUAL_EXTRA)
        return share_out(self.blamed, self.shape, self.rate, self.totals, start)

    def agrees(self, got: Floats, present: NDArray[np.bool_]) -> Floats:
        """How well the faults fell where the strengths learnt from the other jobs say."""
        sound = np.flatnonzero(~present)
        some = self._of(sound[:: 1 + len(sound) // MOST_SOUND])
        fixed = (self.shape, self.rate, got, self.totals)
        return agreement(
            without_itself(self._of(np.flatnonzero(present)), self.blamed, *fixed),
            without_itself(some, np.zeros_like(some), *fixed),
            len(some) / max(len(sound), 1),
        )

    def _of(self, jobs: Ints) -> Floats:
        """(len(jobs), T) exposure of some jobs to every term."""
        return np.column_stack([self.exposed[jobs], *(one[jobs] for one in self.members)])


def _terms(trade: Trade, family: int, design: Design) -> _Terms:
    """Recorded causes by shape of exposure, chained faults, and the constant last."""
    shape, rate = cause_prior(trade, family, design.usual, design.recorded)
    used, linked = _used(trade, family, design), np.flatnonzero(trade.chain[:, family])
    n = len(design.shown)
    graded = design.graded[:, used].reshape(n, used.size * len(SHAPES))
    constant = CONSTANT_JOBS * constant_prior(trade, family, design)
    exposed = np.column_stack([graded, design.shown[:, linked], np.ones(n)])
    present = design.shown[:, family]
    proved = design.confirmed[present, family]
    told = exposed[present]
    return _Terms(
        exposed=exposed,
        members=(),
        blamed=np.where(_open(told, used, proved), told, 0.0),
        free=proved < 0,
        totals=exposed.sum(axis=0),
        shape=np.concatenate(
            [shape[used].ravel(), trade.chain[linked, family] * TRADE_JOBS, [constant]]
        ),
        rate=np.concatenate(
            [rate[used].ravel(), np.full(len(linked), TRADE_JOBS), [CONSTANT_JOBS]]
        ),
    )


def _open(exposed: Floats, used: Ints, confirmed: Ints) -> NDArray[np.bool_]:
    """(m, T) which terms may take the blame: all, or the confirmed cause's alone.

    A confirmed cause that the job's record does not show falls to the constant, the last term.
    """
    told = np.ones(exposed.shape, dtype=bool)
    for job in np.flatnonzero(confirmed >= 0):
        told[job] = False
        place = np.flatnonzero(used == confirmed[job])
        own = place[0] * len(SHAPES) + np.arange(len(SHAPES)) if place.size else np.array([], int)
        told[job, own] = exposed[job, own] > 0
        told[job, -1] = not told[job].any()
    return told


def _used(trade: Trade, family: int, design: Design) -> Ints:
    """The causes whose strength this log can teach."""
    return np.flatnonzero((trade.share[:, family] > 0) & design.recorded)


def _strengths(
    trade: Trade, family: int, design: Design, terms: _Terms, got: Floats, guilty: list[Suspect]
) -> Strengths:
    """What was learnt, put back under the causes, families and groups it belongs to."""
    # a cause this log seldom writes about keeps the trade's strength, for the job that does
    shape, rate = cause_prior(trade, family, design.usual, trade.recorded)
    used, linked = _used(trade, family, design), np.flatnonzero(trade.chain[:, family])
    split = used.size * len(SHAPES)
    last = split + len(linked)
    counts = got[:split].reshape(used.size, len(SHAPES))
    shape[used] += counts
    rate[used] += terms.totals[:split].reshape(used.size, len(SHAPES))
    owed = np.zeros(len(shape))
    owed[used] = counts.sum(axis=1)
    mean = terms.strength(got)
    chain = np.zeros(len(trade.families))
    chain[linked] = mean[split:last]
    groups: dict[str, dict[str, float]] = {column: {} for column in GROUPS}
    for suspect, extra in zip(guilty, mean[last + 1 :], strict=True):
        groups[suspect.column][suspect.name] = float(extra)
    present = design.shown[:, family]
    return Strengths(
        shape=shape,
        rate=rate,
        owed=owed,
        groups=groups,
        constant=float(mean[last]),
        chain=chain,
        jobs=len(present),
        seen=int(present.sum()),
        agrees=terms.agrees(got, present),
    )
