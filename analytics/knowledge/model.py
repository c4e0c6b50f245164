"""What the trade knows, as plain frozen objects. The facts themselves are in data/*.toml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Harm = Literal["below", "above", "is"]
Scope = Literal["part", "mix", "mould", "lot", "person", "day"]
SlowedBy = Literal["cold", "damp", "nothing"]


@dataclass(frozen=True)
class Source:
    """Where a fact is from; `kind` is published, common-practice, memory, estimate or shop."""

    id: str
    kind: str
    text: str


@dataclass(frozen=True)
class Defect:
    """A fault as the shop sees it.

    A *group* (sticking, tacky surface) has `members` and stands for "one of these, the log does
    not say which"; a plain defect has none. `words` are spellings shops use in a cell for faults,
    lower case; some ("dry", "print") mean a fault only there, not in running text.
    `base_rate` is the share of parts in an ordinary shop that show it [0..1], an estimate.
    """

    id: str
    title: str
    look: str
    this_part: str
    prevent: str
    words: tuple[str, ...]
    base_rate: float
    cautions: tuple[str, ...]
    source: str
    members: tuple[str, ...] = ()
    group: str | None = None


@dataclass(frozen=True)
class Evidence:
    """How one recorded condition speaks for or against a cause.

    `harm="below"`: exposure grows from 0 at `none` to 1 at `full` (full < none);
    `harm="above"`: the same upwards; `harm="is"`: exposure 1 when the value is in `values`.
    `alternative` names pieces of which the worst one counts where a cause needs all its evidence.
    `root` is the cause behind the harm where `plain_field`, the same wait by the clock, would have
    done none; `root_says` tells so, with `{value}` and `{plain}` slots.
    `field` is a column of the jobs table (analytics.jobs). `says` and `denies` are sentences with
    `{value}`, `{none}` and `{full}` slots.
    """

    field: str
    harm: Harm
    says: str
    denies: str
    source: str
    none: float | None = None
    full: float | None = None
    values: tuple[str, ...] = ()
    alternative: str = ""
    root: str = ""
    plain_field: str = ""
    root_says: str = ""


@dataclass(frozen=True)
class BenchCheck:
    """A test done by hand on the part, mould or material; `results` maps result id to meaning."""

    id: str
    title: str
    how: str
    minutes: float
    results: Mapping[str, str]
    cautions: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class Cause:
    """One thing that goes wrong, what shows it, and what to do about it.

    `levels` maps defect id to 3 usual, 2 often, 1 sometimes (absent: rare).
    `shares` maps defect id to the rough share of cases [0..1] this cause has among its causes.
    `stands_out` maps defect id to what tells it from its rivals.
    `needs` says how several pieces of evidence combine: "any" (the worst one) or "all".
    `checks` maps a bench check id to the result that confirms this cause.
    `said` are phrases in a note that point to it. `group` names the jobs-table column whose
    members it lives in when it is a fault of one mould, lot or person for itself (mould_id,
    gelcoat_lot, resin_lot, gelcoat_catalyst_lot, operator). `only_if` names columns and the
    values without which it cannot happen at all (film faults need film). `rules_out` are defects
    it never gives.
    """

    id: str
    title: str
    what: str
    scope: Scope
    record: str
    evidence: tuple[Evidence, ...]
    needs: Literal["any", "all"]
    levels: Mapping[str, int]
    shares: Mapping[str, float]
    stands_out: Mapping[str, str]
    checks: Mapping[str, str]
    check_text: str
    mend: str
    prevent: str
    said: tuple[str, ...]
    cautions: tuple[str, ...]
    source: str
    group: str | None = None
    only_if: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    rules_out: tuple[str, ...] = ()


@dataclass(frozen=True)
class Chain:
    """One defect that brings another: what made the first is the root of the second too.

    `level` is how often, as in `Cause.levels`.
    """

    first: str
    then: str
    level: int
    because: str
    source: str


@dataclass(frozen=True)
class Trust:
    """How far a finding can be trusted: chance of it with its cause there, and without.

    `check_*` for a bench result, `note_*` for a telling phrase in a note.
    """

    check_hit: float
    check_false: float
    note_hit: float
    note_false: float


@dataclass(frozen=True)
class Limit:
    """A process window a shop may override: `low`/`high` comfortable, `flag_*` hard flags.

    `field` is the column of the jobs table the window is about, where there is one.
    """

    id: str
    title: str
    unit: str
    source: str
    low: float | None = None
    high: float | None = None
    flag_low: float | None = None
    flag_high: float | None = None
    field: str | None = None


@dataclass(frozen=True)
class Constant:
    """A number the gel-time law starts from: best guess, spread `sd`, bounds it is trusted in.

    `basis` says in one sentence what it rests on.
    """

    id: str
    title: str
    unit: str
    value: float
    basis: str
    source: str
    sd: float | None = None
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class PlanFigure:
    """A wait, a rate or an amount a day is planned with: most days lie from `low` to `high`.

    Times are as at 20 °C, drying as at 20 °C and 50 % humidity; `slowed_by` says what stretches
    them. `field` is the column of the jobs table with the shop's own, where there is one, and
    `test` what is checked by hand, as no clock knows.
    """

    id: str
    title: str
    unit: str
    low: float
    usual: float
    high: float
    slowed_by: SlowedBy
    test: str
    basis: str
    source: str
    field: str | None = None


@dataclass(frozen=True)
class Observation:
    """Something seen or logged that a rule may speak about.

    With a `field` (a column of the jobs table) it holds when the value is under `below`, over
    `above` or among `values`, and is unknown where the value is missing. Without one, only a
    person can say.
    """

    id: str
    title: str
    source: str
    field: str | None = None
    below: float | None = None
    above: float | None = None
    values: tuple[str, ...] = ()


@dataclass(frozen=True)
class Rule:
    """What seen together points where: all of `seen` and none of `absent` speak for `points_to`.

    `seen` and `absent` hold defect ids (a group stands for any of its members), observation ids
    and bench results as "check:result". `because` is the reason in a few words.
    """

    id: str
    seen: tuple[str, ...]
    absent: tuple[str, ...]
    points_to: tuple[str, ...]
    because: str
    source: str


@dataclass(frozen=True)
class Question:
    """An old argument of the trade, and what in a log settles it.

    `way_a` and `way_b` are values of `field` (a column of the jobs table) as a person says them;
    `where` maps further columns to the values the question is about. `least` says the least data
    in words, the counts below it in numbers (0: no such rule). Without a field it is either
    `refused`, with the reason, or settled `otherwise`, with where.
    """

    id: str
    number: int
    title: str
    claim_a: str
    claim_b: str
    least: str
    source: str
    where: Mapping[str, str] = field(default_factory=dict)
    field: str = ""
    way_a: str = ""
    way_b: str = ""
    defects: tuple[str, ...] = ()
    least_each: int = 0
    least_all: int = 0
    least_faults: int = 0
    least_seasons: int = 0
    refused: str = ""
    otherwise: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Guard:
    """What may not be compared or tried: a `field` beyond the hard flags of `limit`, or `words`.

    With both, the words are refused where no field and figures go with them. `trials_only`: what
    is past may be looked at, but nobody is to do more of it.
    """

    id: str
    reason: str
    cautions: tuple[str, ...]
    source: str
    field: str = ""
    limit: str = ""
    words: tuple[str, ...] = ()
    trials_only: bool = False


@dataclass(frozen=True)
class Settling:
    """How much is enough to settle an argument, where the question does not say.

    `least_each` parts of each way; `matters` the smallest difference in share worth changing a
    habit for [0..1]; `stop` the sentences that end a trial at once.
    """

    least_each: int
    matters: float
    stop: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class Knowledge:
    """All the trade knowledge in force for one shop. Mappings are by id.

    `likelihood` is the chance of a defect given a cause at level 0 (rare) to 3 (usual);
    `unlisted_share` the share of a defect's cases given to a cause that has a level for it but
    no share of its own, by level. `constants` are those of the gel-time law, `together` the rules
    for telling rivals apart by what is seen together, `plan` the waits, rates and amounts a day is
    planned with.
    """

    sources: Mapping[str, Source]
    defects: Mapping[str, Defect]
    causes: Mapping[str, Cause]
    checks: Mapping[str, BenchCheck]
    limits: Mapping[str, Limit]
    cautions: Mapping[str, str]
    likelihood: tuple[float, ...]
    unlisted_share: tuple[float, ...]
    trust: Trust
    chains: tuple[Chain, ...] = ()
    constants: Mapping[str, Constant] = field(default_factory=dict)
    observations: Mapping[str, Observation] = field(default_factory=dict)
    together: Mapping[str, Rule] = field(default_factory=dict)
    plan: Mapping[str, PlanFigure] = field(default_factory=dict)
    questions: Mapping[str, Question] = field(default_factory=dict)
    guards: Mapping[str, Guard] = field(default_factory=dict)
    settling: Settling = Settling(20, 0.05, (), "practice-estimate")

    def causes_of(self, defect: str) -> tuple[Cause, ...]:
        """Causes that can bring this defect (or any member of this group), likeliest first."""
        leaves = self.defects[defect].members or (defect,)
        found = [c for c in self.causes.values() if any(c.levels.get(d) for d in leaves)]
        return tuple(sorted(found, key=lambda c: -max(c.shares.get(d, 0.0) for d in leaves)))
