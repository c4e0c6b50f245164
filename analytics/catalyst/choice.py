"""Which dose inside the range has the best chance of the wanted gel time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analytics.catalyst.answer import DosePoint, GelTime
from analytics.catalyst.model import GelTimeModel, Prediction
from analytics.catalyst.normal import Floats
from analytics.catalyst.question import Question

STEP_PCT = 0.05
"""Finer than a shop can weigh: 0.5 g in a kilogram of resin."""
NEAR_BEST = 0.98
"""Share of the best chance at which a dose nearer to the trade's usual ones is taken instead."""


@dataclass(frozen=True)
class Choice:
    """All doses of the range at one temperature, with what each would do.

    `best` is the index of the dose to use (see `dose_to_use`), or of the one asked about.
    """

    temperature_c: float
    doses: Floats
    prediction: Prediction
    chances: Floats
    best: int

    @property
    def catalyst_pct(self) -> float:
        """The dose to use [mass %]."""
        return float(self.doses[self.best])

    @property
    def chance(self) -> float:
        """Its chance of a gel time inside the window [0..1]."""
        return float(self.chances[self.best])

    @property
    def gel_min(self) -> GelTime:
        """Its expected gel time [min]."""
        return self.gel_times()[self.best]

    def gel_times(self) -> tuple[GelTime, ...]:
        """Expected gel time of every dose [min]."""
        low, high = self.prediction.interval()
        return tuple(
            GelTime(float(m), float(a), float(b))
            for m, a, b in zip(self.prediction.median, low, high, strict=True)
        )

    def points(self) -> tuple[DosePoint, ...]:
        """The chance-against-dose picture."""
        return tuple(
            DosePoint(float(dose), float(chance), gel.median, gel.low, gel.high)
            for dose, chance, gel in zip(self.doses, self.chances, self.gel_times(), strict=True)
        )


def choose(
    question: Question, model: GelTimeModel, temperature_c: float, dose_pct: float | None = None
) -> Choice:
    """The picture over the dose range at one temperature [°C], with the dose to use marked.

    A `dose_pct` given is marked in its place.
    """
    doses = _doses(question.limits.low, question.limits.high)
    if dose_pct is not None:
        doses = np.unique(np.r_[doses, dose_pct])
    prediction = model.predict(
        temperature_c,
        doses,
        lot=question.lot,
        product=question.product,
        film=question.film,
        humidity_pct=question.humidity_pct,
        catalyst_lot=question.catalyst_lot,
        colour=question.colour,
    )
    chances = prediction.chance(question.window.low, question.window.high)
    best = dose_to_use(question, doses, chances, prediction.log_mean)
    if dose_pct is not None:
        best = int(np.searchsorted(doses, dose_pct))
    return Choice(temperature_c, doses, prediction, chances, best)


def dose_to_use(question: Question, doses: Floats, chances: Floats, log_mean: Floats) -> int:
    """Index of the dose to use: the best chance, or nearly it and nearer to the usual doses.

    A day is not worked at the end of a range for a hair more chance: there a slip of the scale is
    over the cap. Between doses of equal chance the one whose median lies nearest the middle of the
    window (on a ratio scale) is taken, so that a hopeless cold day still points to the right end.
    """
    rounded = np.round(chances, 4)
    off_middle = np.abs(log_mean - np.log(middle_min(question)))
    order = np.lexsort((off_middle, -rounded))
    low, high = np.log([question.window.low, question.window.high])
    inside = (low <= log_mean) & (log_mean <= high)
    if not inside[order[0]]:
        return int(order[0])
    near = inside & (rounded >= NEAR_BEST * rounded[order[0]])
    least, most = question.usual_doses
    beyond = np.round(np.maximum(np.maximum(least - doses, doses - most), 0.0), 6)
    return int(min((at for at in order if near[at]), key=lambda at: beyond[at]))


def middle_min(question: Question) -> float:
    """Middle of the wanted window on a ratio scale [min]."""
    return float(np.sqrt(question.window.low * question.window.high))


def in_window(question: Question, choice: Choice) -> bool:
    """Whether the best dose puts the expected gel time inside the window."""
    return question.window.low <= choice.gel_min.median <= question.window.high


def _doses(low: float, high: float) -> Floats:
    """Round doses from low to high, both ends kept even where they are not round."""
    first = np.ceil(low / STEP_PCT - 1e-9)
    last = np.floor(high / STEP_PCT + 1e-9)
    steps = np.round(np.arange(first, last + 1) * STEP_PCT, 4)
    return np.unique(np.r_[low, steps, high])
