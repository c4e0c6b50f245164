"""How warm and damp it will be through the day, and how long a wait takes in it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.errors import QuestionError
from analytics.physics.curing import film_min_at_reference, hours_at_20c

Floats = NDArray[np.float64]

DAYS_AROUND = 15
FEWEST_DAYS = 3
STEP_MIN = 5
LONGEST_DAYS = 14
FAIR_PCT = 50.0
HOURS = 24


@dataclass(frozen=True)
class Course:
    """Air by the hour of the day: `air_c` (24,) [°C], `humidity_pct` (24,) [%, NaN unknown].

    `told` says where it is from; `days` counts the logger days behind it, 0 where it was given.
    """

    air_c: Floats
    humidity_pct: Floats
    told: str
    days: int

    def at(self, when: datetime) -> float:
        """Air [°C] at a clock time, on the straight line between hours."""
        return self._between(self.air_c, when)

    def damp_at(self, when: datetime) -> float:
        """Humidity [%] at a clock time; NaN where not known."""
        return self._between(self.humidity_pct, when)

    def mean_c(self, start: datetime, hours: float) -> float:
        """Mean air [°C] over some hours from a clock time."""
        steps = max(int(hours * 2), 1)
        return float(np.mean([self.at(start + timedelta(minutes=30 * n)) for n in range(steps)]))

    def lowest_c(self, start: datetime, hours: float) -> float:
        """Coldest air [°C] over some hours from a clock time."""
        steps = range(max(int(hours * 2), 1))
        return min(self.at(start + timedelta(minutes=30 * n)) for n in steps)

    def cured(self, start: datetime, h20: float, energy_kj_mol: float) -> float:
        """Minutes from `start` until as much cure as `h20` hours at 20 °C has been had."""
        air = self._ahead(self.air_c)
        return _reached(hours_at_20c(STEP_MIN, air, energy_kj_mol), start, 60 * h20)

    def dried(self, start: datetime, minutes: float) -> float:
        """Minutes from `start` until a water film dried as in `minutes` at 20 °C and 50 %."""
        damp = self._ahead(np.where(np.isnan(self.humidity_pct), FAIR_PCT, self.humidity_pct))
        return _reached(
            film_min_at_reference(STEP_MIN, self._ahead(self.air_c), damp), start, minutes
        )

    def _ahead(self, hourly: Floats) -> Floats:
        """(steps,) the hourly values of one day from midnight in steps of STEP_MIN."""
        clock = np.arange(0, HOURS * 60, STEP_MIN) / 60
        return np.asarray(np.interp(clock, np.arange(HOURS + 1), np.r_[hourly, hourly[0]]))

    def _between(self, hourly: Floats, when: datetime) -> float:
        clock = when.hour + when.minute / 60
        return float(np.interp(clock, np.arange(HOURS + 1), np.r_[hourly, hourly[0]]))


def _reached(day: Floats, start: datetime, wanted: float) -> float:
    """Minutes from `start` until the steps of one day, repeated, add up to `wanted`."""
    first = (start.hour * 60 + start.minute) // STEP_MIN
    ahead = np.tile(np.roll(day, -first), LONGEST_DAYS)
    total = np.cumsum(ahead)
    place = int(np.searchsorted(total, wanted))
    if place >= len(total):
        return float(len(total) * STEP_MIN)
    before = total[place - 1] if place else 0.0
    return float((place + (wanted - before) / ahead[place]) * STEP_MIN)


def given_course(air_c: float, humidity_pct: float | None) -> Course:
    """The same air all day, as somebody measured or expects it."""
    damp = np.nan if humidity_pct is None else humidity_pct
    return Course(np.full(HOURS, air_c), np.full(HOURS, damp), "as you say", 0)


def usual_course(logger: pd.DataFrame, day: date, humidity_pct: float | None = None) -> Course:
    """The logger's usual day at this time of year: the median of each hour, any year.

    Days within DAYS_AROUND of the date count. Raises QuestionError where too few were logged.
    """
    read = logger.dropna(subset=["timestamp", "air_c"])
    stamps = pd.DatetimeIndex(read["timestamp"])
    off = np.abs(stamps.day_of_year.to_numpy() - day.timetuple().tm_yday)
    near = read[np.minimum(off, 365 - off) <= DAYS_AROUND]
    days = pd.DatetimeIndex(near["timestamp"]).normalize().nunique()
    hourly = _by_hour(near, "air_c")
    if days < FEWEST_DAYS or np.isnan(hourly).any():
        raise QuestionError(
            "the log has no temperatures for this time of year to go by: measure resin and mould, "
            "and give the mean in °C"
        )
    damp = _by_hour(near, "humidity_pct")
    told = f"the logger's usual course around {day.day} {day:%b}, {days} days"
    air = Course(hourly, damp, told, days)
    if humidity_pct is None:
        return air
    return Course(hourly, np.full(HOURS, humidity_pct), told, days)


def _by_hour(read: pd.DataFrame, field: str) -> Floats:
    """(24,) median of each hour, hours nobody logged drawn straight between their neighbours."""
    hours = pd.DatetimeIndex(read["timestamp"]).hour
    medians = read[field].groupby(hours).median().reindex(range(HOURS))
    wrapped = pd.concat([medians, medians, medians], ignore_index=True)
    filled = wrapped.interpolate(limit=4, limit_direction="both").iloc[HOURS : 2 * HOURS]
    return filled.to_numpy(dtype=np.float64)
