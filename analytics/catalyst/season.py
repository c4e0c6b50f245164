"""How much catalyst, month by month: a sheet for the wall from the shop's own temperatures."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np

from analytics.catalyst.advice import Learnt, basis_of, learn, taught
from analytics.catalyst.answer import Density, DoseLimits, GelTime, Window, plain_json
from analytics.catalyst.cautions import season_cautions
from analytics.catalyst.choice import Choice, choose, dose_to_use, in_window
from analytics.catalyst.dose_range import SheetRange, catalyst_density, dose_limits
from analytics.catalyst.doubts import model_warnings
from analytics.catalyst.instead import instead_of_dose
from analytics.catalyst.last_year import (
    Followed,
    LastTime,
    Mixed,
    followed,
    gel_time_faults,
    last_time,
)
from analytics.catalyst.model import GelTimeModel
from analytics.catalyst.priors import NINETY_PCT_Z
from analytics.catalyst.question import (
    COLD_C,
    HOT_C,
    Question,
    check_use,
    known_material,
    usual_doses,
    wanted_window,
    working_share,
)
from analytics.catalyst.sheet_gel import SheetGel, sheet_wanted
from analytics.catalyst.working_time import (
    Hours,
    MonthTemperature,
    month_temperatures,
    working_hours,
)
from analytics.knowledge.model import Knowledge
from analytics.physics.dose import catalyst_g, catalyst_ml
from analytics.records.log import Log
from analytics.saying import DEGREES_APART

TELLING_APART_C = 0.3


@dataclass(frozen=True)
class Warmth:
    """A month's temperature in hours of work [°C]: middle, 1 in 20 below `low`, above `high`.

    `outside` is the share of it below 15 or above 30 °C; `source` is "logger" or "job log".
    """

    median: float
    low: float
    high: float
    outside: float
    readings: int
    years: tuple[int, ...]
    source: str


@dataclass(frozen=True)
class SeasonMonth:
    """One calendar month (1 to 12); everything but `last_time` is None where nothing was logged.

    `feasible` is False where no dose of the range puts the usual gel time inside the window, or
    the usual temperature is outside 15 to 30 °C: `instead` then says what to do.
    """

    month: int
    warmth: Warmth | None
    catalyst_pct: float | None
    g_per_kg: float | None
    ml_per_kg: float | None
    gel_min: GelTime | None
    chance: float | None
    feasible: bool | None
    instead: tuple[str, ...]
    last_time: LastTime | None


@dataclass(frozen=True)
class SeasonTable:
    """The dose for every month, and what it rests on.

    `faults` name the defects counted as following from a wrong gel time.
    """

    material: str
    product: str
    window: Window
    limits: DoseLimits
    density: Density
    hours: Hours
    months: tuple[SeasonMonth, ...]
    faults: tuple[str, ...]
    followed: Followed
    cautions: tuple[str, ...]
    warnings: tuple[str, ...]
    jobs_used: int
    last_record: date | None
    ask_first: str | None

    def to_json(self) -> dict[str, Any]:
        """Return the answer as plain dicts, lists, numbers and strings; temperatures in °C."""
        return {**plain_json(self), "hours": {**plain_json(self.hours), "text": self.hours.text}}


def season(
    log: Log,
    knowledge: Knowledge,
    *,
    material: str,
    today: date,
    window_min: tuple[float, float] | None = None,
    working_min: float | None = None,
    sheet_range: SheetRange | None = None,
    density_g_ml: float | None = None,
    sheet_gel: SheetGel | None = None,
    use: str = "general",
    learnt: Learnt | None = None,
) -> SeasonTable:
    """The dose to set in each month of the year, beside what was done last time in that month.

    Parameters as in `analytics.catalyst.advise`. Doses hold for any lot: the interval allows for
    a lot not seen before.

    Raises
    ------
    QuestionError
        The question cannot be answered as asked; one sentence says why and what to do.
    """
    kind = known_material(material)
    known = learnt or learn(log, knowledge, kind)
    product = known.readings.last_product
    if sheet_gel is not None:
        known = taught(known, knowledge, kind, sheet_gel.point(product))
    density = catalyst_density(log.lots, knowledge, density_g_ml)
    gels = known.readings.records.gel_min
    window, assumed = wanted_window(window_min, working_min, knowledge, kind, gels)
    limits, cut = dose_limits(log.lots, knowledge, kind, "", product, sheet_range)
    check_use(use, limits)
    hours = working_hours(log)
    question = Question(
        material=kind, temperature_c=20.0, window=window, pot_kg=1.0,
        lot="", product=product, film=False, humidity_pct=float("nan"), limits=limits,
        working_share=working_share(knowledge), usual=usual_doses(knowledge, kind),
    )  # fmt: skip
    warm, apart = month_temperatures(log, hours)
    faults = gel_time_faults(knowledge, kind)
    mixed = Mixed.of(log, kind, faults)
    basis = basis_of(known.readings, known.model)
    months = tuple(
        replace(
            _month(month, warm.get(month), question, known.model, density),
            last_time=last_time(mixed, month, today, window),
        )
        for month in range(1, 13)
    )
    return SeasonTable(
        material=kind,
        product=product,
        window=window,
        limits=limits,
        density=density,
        hours=hours,
        months=months,
        faults=tuple(knowledge.defects[fault].title for fault in faults),
        followed=followed(mixed, window),
        cautions=season_cautions(question, density, basis, knowledge),
        warnings=(
            *assumed,
            *cut,
            *_moved(apart),
            *model_warnings(known.readings, known.model),
        ),
        jobs_used=basis.jobs_used,
        last_record=basis.last_record,
        ask_first=sheet_wanted(known.readings, basis.jobs_used, product),
    )


def _moved(apart: float) -> tuple[str, ...]:
    if abs(apart) < TELLING_APART_C:
        return ()
    side = "warmer" if apart > 0 else "colder"
    return (
        f"Resin and mould are usually {abs(apart):.1f} {DEGREES_APART} {side} than the logger's "
        "air here: the months count with that.",
    )


def _month(
    month: int,
    read: MonthTemperature | None,
    question: Question,
    model: GelTimeModel,
    density: Density,
) -> SeasonMonth:
    if read is None:
        return SeasonMonth(month, None, None, None, None, None, None, None, (), None)
    over = [choose(question, model, float(at_c)) for at_c in read.quantiles]
    best = _best(question, over)
    doses = over[0].doses
    pct = float(doses[best])
    at_median = replace(question, temperature_c=round(read.median, 1))
    usual = choose(at_median, model, read.median, pct)
    feasible = in_window(question, usual) and COLD_C <= read.median <= HOT_C
    free = choose(at_median, model, read.median)
    return SeasonMonth(
        month=month,
        warmth=_warmth(read),
        catalyst_pct=pct,
        g_per_kg=float(catalyst_g(question.pot_kg, pct)),
        ml_per_kg=float(catalyst_ml(question.pot_kg, pct, density.g_ml)),
        gel_min=_gel_time(over, best),
        chance=float(np.mean([choice.chances[best] for choice in over])),
        feasible=feasible,
        instead=() if feasible else instead_of_dose(at_median, model, free),
        last_time=None,
    )


def _best(question: Question, over: list[Choice]) -> int:
    """The dose to use over the month's temperatures, chosen as for one of them."""
    chances = np.mean([choice.chances for choice in over], axis=0)
    log_mean = np.mean([choice.prediction.log_mean for choice in over], axis=0)
    return dose_to_use(question, over[0].doses, chances, log_mean)


def _gel_time(over: list[Choice], best: int) -> GelTime:
    """Gel time over the whole month: the days' temperatures widen the interval of one mix."""
    means = np.array([choice.prediction.log_mean[best] for choice in over])
    spread = np.mean([choice.prediction.log_sd[best] ** 2 for choice in over])
    half = NINETY_PCT_Z * float(np.sqrt(spread + means.var()))
    middle = float(means.mean())
    low, median, high = np.exp([middle - half, middle, middle + half])
    return GelTime(float(median), float(low), float(high))


def _warmth(read: MonthTemperature) -> Warmth:
    outside = float(np.mean((read.quantiles < COLD_C) | (read.quantiles > HOT_C)))
    low, high = float(read.quantiles[0]), float(read.quantiles[-1])
    return Warmth(read.median, low, high, outside, read.readings, read.years, read.source)
