"""Clock times that are ranges: where a moment lies after several waits, each known only so far."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from analytics.planning.answer import When

ROUND_MIN = 5


@dataclass(frozen=True)
class Moment:
    """A moment and how far it may lie off it [min], by what makes it so.

    Spreads of one family (laying this mix and the next: one pair of hands) add up; spreads of
    different families are taken as independent and add as squares.
    """

    usual: datetime
    early: Mapping[str, float] = field(default_factory=dict)
    late: Mapping[str, float] = field(default_factory=dict)

    def after(self, minutes: tuple[float, float, float], family: str) -> Moment:
        """This moment plus a wait of (low, usual, high) minutes."""
        low, usual, high = minutes
        return Moment(
            self.usual + timedelta(minutes=usual),
            {**self.early, family: self.early.get(family, 0.0) + usual - low},
            {**self.late, family: self.late.get(family, 0.0) + high - usual},
        )

    def when(self) -> When:
        """The range, rounded outwards to five minutes."""
        return When(
            _rounded(self.usual - timedelta(minutes=_together(self.early)), math.floor),
            _rounded(self.usual, round),
            _rounded(self.usual + timedelta(minutes=_together(self.late)), math.ceil),
        )


def _together(spreads: Mapping[str, float]) -> float:
    return math.sqrt(sum(spread**2 for spread in spreads.values()))


def _rounded(when: datetime, how: object) -> datetime:
    midnight = when.replace(hour=0, minute=0, second=0, microsecond=0)
    minutes = (when - midnight).total_seconds() / 60
    steps = how(round(minutes / ROUND_MIN, 6))  # type: ignore[operator]
    return midnight + timedelta(minutes=ROUND_MIN * steps)
