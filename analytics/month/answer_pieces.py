"""Further pieces of a month in review: totals, what causes took, control charts, followed actions.

Numbers that cannot be told are None, as in `analytics.month.answer`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from analytics.month.plain import Share

ChartKind = Literal["u", "individuals", "moving-range", "cusum", "g", "t"]
Aim = Literal["halved", "gone"]
DidItWork = Literal["yes", "no", "not yet"]


@dataclass(frozen=True)
class Totals:
    """What one period made and lost; for several months, per month.

    `period` in words; `months` how many months with parts it is the mean of; `parts` made,
    `good` of those with a result; `scrap` parts, `rework_hours` [h] and `cost` as logged, None
    where nobody logged any in the period.
    """

    period: str
    months: int
    parts: float
    good: Share
    scrap: float | None
    rework_hours: float | None
    cost: float | None


@dataclass(frozen=True)
class CauseLine:
    """What one likely cause took this month; cause "" is something no record shows.

    Of `faults` written down, `expected` are owed to it, `low` to `high` with 90 % probability,
    `confirmed` of them proved at the bench. `last_month`, `year_ago` and `usual` are the same for
    the month before, the same month a year ago and a month of the twelve before; None where those
    have no results. `rework_hours` [h], `scrap` [parts] and `cost` are the faulty parts' own,
    shared out over what each part's faults are owed to.
    """

    cause: str
    title: str
    expected: float
    low: float
    high: float
    confirmed: int
    faults: int
    last_month: float | None
    year_ago: float | None
    usual: float | None
    rework_hours: float | None
    scrap: float
    cost: float | None


@dataclass(frozen=True)
class ControlPoint:
    """One point: `label` for people, `value` with its limits (None where none), did a rule fire."""

    label: str
    value: float | None
    low: float | None
    high: float | None
    fired: bool
    in_base: bool


@dataclass(frozen=True)
class ControlChart:
    """A control chart with limits frozen from a stated base.

    `subject` is a defect id or a column of the jobs table; `title` says what was found; `base`
    says which points the limits are from; `rule` the rule that fired on the last points, in
    words, or that none did. `good_is_high` for times between faults.
    """

    kind: ChartKind
    subject: str
    title: str
    unit: str
    base: str
    rule: str
    fired: bool
    centre: float
    points: tuple[ControlPoint, ...]
    good_is_high: bool = False


@dataclass(frozen=True)
class Followed:
    """Did a change the shop made work?

    `before` and `after` are parts with what was hoped to go (any fault where nothing was named);
    `before_alike` is the share before, weighted to the moulds and seasons of the parts since.
    `difference` is after minus that (Newcombe, 99 %: it is looked at every month). `odds_ratio`
    holds mould and season apart (Mantel-Haenszel). `needed` is how many more parts are needed to
    tell whether it halved or, as `needed_for` says, is gone; None where told already or no number
    would do, 0 where there are enough but not alike enough. `together` is what changed at the
    same time.
    """

    name: str
    since: date
    hope: tuple[str, ...]
    hope_title: str
    moulds: tuple[str, ...]
    before: Share
    after: Share
    before_alike: float | None
    difference: float | None
    low: float | None
    high: float | None
    odds_ratio: float | None
    verdict: DidItWork
    needed: int | None
    needed_for: Aim | None
    together: tuple[str, ...]
    text: str
