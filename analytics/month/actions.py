"""Did it work? What the shop changed, followed until the log can say yes or no.

Parts since the change are held against the parts of the two years before it that are like them:
same mould, same quarter of the year. The share before is weighted to the moulds and seasons of
the parts since (direct standardisation), so that a mild autumn or easier moulds are not taken for
a cure. The follow-up is looked at every month; its interval is therefore one of 99 %, which keeps
the chance of ever being fooled over a year of looks near 5 in 100.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import ceil, isfinite

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.days import day_words
from analytics.knowledge.model import Knowledge
from analytics.month.answer import Signal
from analytics.month.answer_pieces import Aim, DidItWork, Followed
from analytics.month.plain import Share
from analytics.month.results import ANY_FAULT, Bools, Results
from analytics.month.spells import EPOCH, share_of
from analytics.month.together import changed_together
from analytics.month.words import counts_words, defect_title, percent
from analytics.stats.differences import jobs_each, mantel_haenszel, newcombe

Floats = NDArray[np.float64]

LEVEL = 0.99
BEFORE_DAYS = 730
LEAST_ALIKE = 10
"""Parts on each side that have their like on the other, for any difference to be shown."""
HALVED = 0.5
"""A fall to this share of before is what is looked for."""
MOST_PARTS = 2000
"""To ask for more parts than this is to say that it cannot be told."""
AIMS: Mapping[Aim, float] = {"halved": HALVED, "gone": 0.1}
AIM_WORDS: Mapping[Aim, str] = {
    "halved": "a halving",
    "gone": "its going away (a halving is too little to tell with so few parts from before)",
}


@dataclass(frozen=True)
class Action:
    """Something the shop changed: in its own words, since when, which defects it hopes to be rid of
    (any fault where none is named), on which moulds (all where none is named)."""

    name: str
    since: date
    hope: tuple[str, ...] = ()
    moulds: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Alike:
    """Parts in strata (k,): looked at and with the fault, before and since."""

    before: Floats
    before_hit: Floats
    after: Floats
    after_hit: Floats


def followed(
    actions: Sequence[Action], results: Results, signals: Sequence[Signal], knowledge: Knowledge
) -> tuple[Followed, ...]:
    """Each action begun by the end of the month, oldest first, with what can be said of it."""
    end = results.month.after.date()
    begun = sorted((one for one in actions if one.since < end), key=lambda one: one.since)
    return tuple(_followed(action, results, signals, knowledge) for action in begun)


def _followed(
    action: Action, results: Results, signals: Sequence[Signal], knowledge: Knowledge
) -> Followed:
    since = (action.since - EPOCH).days
    scope = results.looked & _on_moulds(results, action.moulds)
    before = scope & (results.day < since) & (results.day >= since - BEFORE_DAYS)
    after = scope & (results.day >= since)
    hit = _hoped(results, action.hope)
    alike = _strata(results, before, after, hit)
    known = _Known(alike)
    needed, aim = _needed(share_of(hit[before]), int(after.sum()))
    open_yet = known.verdict == "not yet"
    title = _hope_title(action.hope, knowledge)
    odds = mantel_haenszel(known.tables, LEVEL).odds_ratio if known.enough else None
    made = Followed(
        name=action.name, since=action.since, hope=action.hope, hope_title=title,
        moulds=action.moulds, before=share_of(hit[before]), after=share_of(hit[after]),
        before_alike=known.before, difference=known.difference, low=known.low, high=known.high,
        odds_ratio=odds if odds is not None and isfinite(odds) else None, verdict=known.verdict,
        needed=needed if open_yet else None, needed_for=aim if open_yet else None,
        together=tuple(changed_together(action.since, signals, results)), text="",
    )  # fmt: skip
    return _with_text(made)


def _on_moulds(results: Results, moulds: Sequence[str]) -> Bools:
    if not moulds:
        return np.ones(len(results.jobs), dtype=bool)
    return results.jobs["mould_id"].isin(list(moulds)).to_numpy(dtype=bool)


def _hoped(results: Results, hope: Sequence[str]) -> Bools:
    """Parts with any of the defects hoped to go; a defect the log never named is on no part."""
    if not hope:
        return results.column(ANY_FAULT)
    lines = results.written
    named = lines[lines["defect"].isin(list(hope)) | lines["line"].isin(list(hope))]
    hit = np.zeros(len(results.jobs), dtype=bool)
    hit[named["position"].to_numpy(dtype=np.intp)] = True
    return hit & results.looked


def _hope_title(hope: Sequence[str], knowledge: Knowledge) -> str:
    return " or ".join(defect_title(defect, knowledge).lower() for defect in hope or (ANY_FAULT,))


def _strata(results: Results, before: Bools, after: Bools, hit: Bools) -> _Alike:
    """Counts by mould and quarter of the year, where there are parts on both sides."""
    mould = pd.factorize(results.jobs["mould_id"], use_na_sentinel=False)[0]
    # December to February is one winter.
    quarter = (results.jobs["date"].dt.month.to_numpy() % 12) // 3
    return _counted(mould * 4 + quarter, before, after, hit)


def _counted(code: NDArray[np.int64], before: Bools, after: Bools, hit: Bools) -> _Alike:
    size = int(code.max(initial=0)) + 1
    rows = [
        np.bincount(code[parts], minlength=size).astype(np.float64)
        for parts in (before, before & hit, after, after & hit)
    ]
    both = (rows[0] > 0) & (rows[2] > 0)
    return _Alike(*(row[both] for row in rows))


class _Known:
    """What the like parts of both sides say; figures are None where there are too few."""

    def __init__(self, alike: _Alike) -> None:
        self.alike = alike
        sides = (alike.before.sum(), alike.after.sum()) if alike.before.size else (0.0, 0.0)
        self.enough = min(sides) >= LEAST_ALIKE
        self.before: float | None = None
        self.difference: float | None = None
        self.low: float | None = None
        self.high: float | None = None
        if self.enough:
            self._compare()

    @property
    def tables(self) -> Floats:
        """(k, 2, 2): since and before, with the fault and without."""
        one = self.alike
        return np.stack(
            [
                np.stack([one.after_hit, one.after - one.after_hit], axis=1),
                np.stack([one.before_hit, one.before - one.before_hit], axis=1),
            ],
            axis=1,
        )

    def _compare(self) -> None:
        one = self.alike
        weight = one.after / one.after.sum()
        # Half a part towards the pooled share, so that a stratum of few parts is not sure of 0.
        pooled = one.before_hit.sum() / one.before.sum()
        share = (one.before_hit + 0.5 * pooled) / (one.before + 0.5)
        self.before = float((weight * share).sum())
        # As many parts, all alike, as would be known as exactly as this weighted share is.
        worth = 1.0 / float((weight**2 / one.before).sum())
        hit, made = float(one.after_hit.sum()), float(one.after.sum())
        self.difference = hit / made - self.before
        low, high = newcombe(hit, made, self.before * worth, worth, LEVEL)
        self.low, self.high = float(low), float(high)

    @property
    def verdict(self) -> DidItWork:
        """Yes where it came down beyond luck, no where a halving is ruled out."""
        if self.before is None or self.low is None or self.high is None:
            return "not yet"
        if self.high < 0:
            return "yes"
        return "no" if self.low > -HALVED * self.before else "not yet"


def _needed(before: Share, done: int) -> tuple[int | None, Aim | None]:
    """(parts still to be made, until what would show four times in five); None for never.

    Every season and mould of the parts before is taken to come round again.
    """
    if before.share is None or not 0 < before.share < 1:
        return None, None
    for aim, left in AIMS.items():
        each = jobs_each(before.share, before.share * left, alpha=1 - LEVEL)
        # The same precision from groups of unlike size: 1/n + 1/before = 2/each.
        rest = 2.0 / each - 1.0 / before.out_of
        if rest * MOST_PARTS >= 1.0:
            return max(0, ceil(1.0 / rest) - done), aim
    return None, None


def _with_text(one: Followed) -> Followed:
    return replace(one, text=f"{_counts_text(one)} {_VERDICTS[one.verdict](one)}")


def _counts_text(one: Followed) -> str:
    alike = ""
    if one.before_alike is not None:
        alike = f" ({percent(one.before_alike)} on the same moulds and seasons)"
    return (
        f"{one.hope_title[:1].upper()}{one.hope_title[1:]}: {counts_words(one.after)} parts since "
        f"{day_words(one.since)}, before {counts_words(one.before)}{alike}."
    )


def _yes(one: Followed) -> str:
    assert one.low is not None
    assert one.high is not None
    return f"Yes, it came down: by {_points(-one.high)} to {_points(-one.low)} parts in 100."


def _no(one: Followed) -> str:
    if one.low is not None and one.low > 0:
        return "No: there is more of it than before."
    return "No: if it did anything, it did not halve it."


def _not_yet(one: Followed) -> str:
    if not one.after.out_of:
        return "Not yet: no part with a result since."
    if not one.before.out_of:
        return "Cannot be told: no part with a result from before on these moulds."
    if not one.before.count:
        return "Cannot be told: it did not happen before either."
    if one.needed is None or one.needed_for is None:
        return "Cannot be told: too few parts were made before the change."
    if one.needed == 0:
        return (
            "Not yet: there are parts enough, but the difference is small, or too few of them are "
            "of the same moulds and seasons."
        )
    return f"Not yet: about {one.needed:,} more parts until {AIM_WORDS[one.needed_for]} would show."


def _points(difference: float) -> str:
    return f"{100 * difference:.0f}" if difference >= 0.0995 else f"{100 * difference:.1f}"


_VERDICTS = {"yes": _yes, "no": _no, "not yet": _not_yet}


def read_action(name: str, content: Mapping[str, object]) -> Action:
    """The action as the journal keeps it."""
    hope, moulds = content.get("hope") or (), content.get("moulds") or ()
    assert isinstance(hope, list | tuple)
    assert isinstance(moulds, list | tuple)
    return Action(
        name=name,
        since=date.fromisoformat(str(content["since"])),
        hope=tuple(str(one) for one in hope),
        moulds=tuple(str(one) for one in moulds),
    )
