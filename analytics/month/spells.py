"""Counts of a defect by half month, ready for the scan, and the date a change most likely fell."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr
from scipy.stats import fisher_exact

from analytics.month.answer import Share
from analytics.month.results import Bools, Ints
from analytics.month.tally import Counts
from analytics.stats.changes import rate_change
from analytics.stats.proportions import wilson

Floats = NDArray[np.float64]

LONGEST_SPELLS = 24
FRESH_SPELLS = 6
"""Changes begun in the last three months are what a review is for: they get the larger budget."""
OLD_WEIGHT = 0.1
MOST_HISTORY_SPELLS = 72
DATE_LEVEL = 0.9
LEAD_DAYS = 45
LEAST_REACH_DAYS = 10
EPOCH = date(1970, 1, 1)
MANY_OF_EACH = 200
"""With so many of each kind on both sides the exact test and the normal one agree."""
WIDER_THAN_LUCK = 1.2


@dataclass(frozen=True)
class Spells:
    """Parts looked at, found and expected chance per half month, oldest first."""

    made: Ints
    found: Ints
    chance: Floats


def spells_of(spells_back: Ints, found: Bools, chance: Floats) -> Spells:
    """Counts by half month of the parts given (all of them looked at), gaps counting as 0."""
    near = spells_back < MOST_HISTORY_SPELLS
    back = spells_back[near]
    length = int(back.max(initial=0)) + 1
    made = np.bincount(back, minlength=length)
    hit = np.bincount(back, weights=found[near], minlength=length)
    expected = np.bincount(back, weights=chance[near], minlength=length)
    mean = np.divide(expected, made, out=np.full(length, float(chance.mean())), where=made > 0)
    return Spells(made[::-1], hit[::-1].astype(np.int64), mean[::-1])


def spells_counted(counts: Counts, column: int) -> Spells:
    """The half months of one watched defect out of counts, from the first with a part on."""
    made = counts.made[:MOST_HISTORY_SPELLS]
    length = int(np.flatnonzero(made).max(initial=0)) + 1
    made, expected = made[:length], counts.expected[:length, column]
    flat = float(expected.sum()) / max(int(made.sum()), 1)
    mean = np.divide(expected, made, out=np.full(length, flat), where=made > 0)
    return Spells(made[::-1], counts.found[:length, column][::-1], mean[::-1])


def window_weights(spells: int) -> Floats:
    """Weight of each window the scan tries, up to a year and up to half of the log."""
    windows = max(1, min(LONGEST_SPELLS, spells // 2))
    return np.where(np.arange(windows) < FRESH_SPELLS, 1.0, OLD_WEIGHT)


def natural_spread(spells: Spells) -> float:
    """How much more alike parts of one half month are than luck makes them, 0 if no more.

    From the moving ranges of the standardised counts (as Laney 2002 widens a p chart), which one
    lasting change hardly touches; as the intraclass correlation of a beta-binomial.
    """
    expected = spells.made * spells.chance
    level = spells.found.sum() / max(expected.sum(), 1e-9)
    chance = np.clip(spells.chance * level, 1e-9, 1.0 - 1e-9)
    used = spells.made * chance >= 0.5
    if used.sum() < 8:
        return 0.0
    made, p = spells.made[used], chance[used]
    z = (spells.found[used] - made * p) / np.sqrt(made * p * (1.0 - p))
    sigma = float(np.abs(np.diff(z)).mean()) / 1.128
    if sigma <= WIDER_THAN_LUCK:
        return 0.0
    return float(np.clip((sigma**2 - 1.0) / max(float(made.mean()) - 1.0, 1.0), 0.0, 0.5))


def began(
    day: Ints, found: Bools, chance: Floats, spells_back: Ints, window: int, rise: bool
) -> tuple[date, date, date]:
    """Likeliest first day of the change, with the earliest and latest believable one (90 %).

    The scan has told in which window of half months the change stands out; the day is looked
    for from a month and a half before that window to the middle of it, and only where what is
    found against expected goes the same way (`rise` or not), so that no other change of the same
    thing is dated instead.
    """
    start = int(day[spells_back < window].min())
    half = (int(day.max()) - start) // 2
    near = day >= start - LEAD_DAYS - half
    days, at = np.unique(day[near], return_inverse=True)
    if days.size < 2:
        return (_day(start),) * 3
    events = np.bincount(at, weights=found[near]).astype(np.float64)
    expected = np.bincount(at, weights=chance[near]).astype(np.float64)
    change = rate_change(events, expected * len(days) / expected.sum())
    allowed = (np.abs(days - start) <= LEAD_DAYS) & (days <= start + max(half, LEAST_REACH_DAYS))
    allowed &= _goes_up(events, expected) == rise
    allowed[0] = False
    chances = np.where(allowed, change.probability, 0.0)
    if chances.sum() == 0.0:
        return (_day(start),) * 3
    total = np.cumsum(chances) / chances.sum()
    tail = (1.0 - DATE_LEVEL) / 2.0
    low, high = np.searchsorted(total, [tail, 1.0 - tail])
    return _day(days[chances.argmax()]), _day(days[low]), _day(days[min(high, len(days) - 1)])


def _goes_up(events: Floats, expected: Floats) -> Bools:
    """True where found over expected is higher from that day on than before it."""
    after, after_expected = (row[::-1].cumsum()[::-1] for row in (events, expected))
    before, before_expected = events.sum() - after, expected.sum() - after_expected
    up: Bools = after * before_expected > before * after_expected
    return up


def _day(number: int) -> date:
    return EPOCH + timedelta(days=int(number))


def share_of(found: Bools) -> Share:
    """How many of these parts, with the Wilson interval; shares None where there are no parts."""
    return share(int(found.sum()), len(found))


def exact_p(now: Share, before: Share, *, more: bool = False) -> float:
    """P of Fisher's exact test that two shares are alike; one-sided for `more` now than before.

    Only the P: the odds ratio of analytics.stats.fisher takes twenty times as long to work out.
    """
    table = [[one.count, one.out_of - one.count] for one in (now, before)]
    if min(min(row) for row in table) >= MANY_OF_EACH:
        z = _pooled_z(now, before)
        return float(ndtr(-z) if more else 2.0 * ndtr(-abs(z)))
    return float(fisher_exact(table, alternative="greater" if more else "two-sided").pvalue)


def _pooled_z(now: Share, before: Share) -> float:
    """Difference of two shares in its standard errors, were they alike."""
    pooled = (now.count + before.count) / (now.out_of + before.out_of)
    error = np.sqrt(pooled * (1.0 - pooled) * (1.0 / now.out_of + 1.0 / before.out_of))
    return float((now.count / now.out_of - before.count / before.out_of) / error)


def share(count: int, out_of: int) -> Share:
    """So many out of so many, with the Wilson interval."""
    if out_of == 0:
        return Share(0, 0)
    low, high = wilson(count, out_of)
    return Share(count, out_of, count / out_of, low, high)
