"""The air in the shed, hour by hour: season, weather, a tin roof and a stove."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.physics.air import saturation_pressure_hpa
from sample_logs.plan import ShopPlan

Floats = NDArray[np.float64]

YEAR_MEAN_C, YEAR_SWING_C = 10.8, 6.6
SHELTER_C = 1.5
WALLS_PER_HOUR = 0.13
ROOF_C_PER_HOUR = 1.0
STOVE_C_PER_HOUR = 3.0


class Shed:
    """The true air of the shed; ask it for a moment, an average or a night."""

    def __init__(self, hours: pd.DatetimeIndex, air_c: Floats, humidity_pct: Floats) -> None:
        self.hours = hours
        self.air_c = air_c
        self.humidity_pct = humidity_pct

    def at(self, when: datetime) -> tuple[float, float]:
        """Air temperature [°C] and humidity [%] in that hour."""
        i = self._row(when)
        return float(self.air_c[i]), float(self.humidity_pct[i])

    def mean_c(self, when: datetime, hours: float) -> float:
        """Mean air temperature [°C] over the hours after `when`."""
        i = self._row(when)
        return float(self.air_c[i : i + max(1, round(hours))].mean())

    def _row(self, when: datetime) -> int:
        row = int((when - self.hours[0].to_pydatetime()).total_seconds() // 3600)
        return min(max(row, 0), len(self.hours) - 1)


def shed_air(plan: ShopPlan, rng: np.random.Generator) -> Shed:
    """The shed for the whole log, plus four days so that the last parts can cure."""
    hours = pd.date_range(plan.start, plan.end + timedelta(days=4), freq="h", inclusive="left")
    summer = _summer(hours, plan.southern)
    days = len(hours) // 24
    mean_c = YEAR_MEAN_C + YEAR_SWING_C * summer + np.repeat(_drift(rng, days, 0.8, 2.4), 24)
    mean_c = mean_c + _hot_spells(plan, hours)
    hour = hours.hour.to_numpy()
    swing = (2.6 + 1.9 * summer) * np.cos(2 * np.pi * (hour - 15) / 24)
    dew_c = mean_c - 2.8 - 2.2 * summer + np.repeat(_drift(rng, days, 0.6, 1.3), 24)
    fire = rng.normal(0, 1.3, days)
    air_c = _indoors(plan, hours, mean_c + swing, summer, fire)
    humidity = 100 * saturation_pressure_hpa(dew_c) / saturation_pressure_hpa(air_c)
    humidity += rng.normal(0, 1.5, len(hours))
    return Shed(hours, air_c, np.clip(humidity, 32, 97))


def logger_table(shed: Shed, plan: ShopPlan, rng: np.random.Generator) -> pd.DataFrame:
    """Logger readings: logger_id, timestamp, air_c, humidity_pct; nine days lost to a battery."""
    step = pd.Timedelta(minutes=plan.logger_every_min)
    at = pd.date_range(shed.hours[0], pd.Timestamp(plan.end), freq=step, inclusive="left")
    seconds = at.to_numpy().astype("datetime64[s]").astype(np.float64)
    known = shed.hours.to_numpy().astype("datetime64[s]").astype(np.float64)
    air = np.interp(seconds, known, shed.air_c) + rng.normal(0, 0.15, len(at))
    humidity = np.interp(seconds, known, shed.humidity_pct) + rng.normal(0, 0.8, len(at))
    table = pd.DataFrame(
        {
            "logger_id": "shed",
            "timestamp": at.as_unit("ns"),
            "air_c": air.round(1),
            "humidity_pct": np.clip(humidity, 30, 99).round(0),
        }
    )
    lost = pd.Timestamp(plan.start) + pd.Timedelta(days=int(plan.months * 30.4 * 0.7))
    flat = table["timestamp"].between(lost, lost + pd.Timedelta(days=9))
    return table[~flat].reset_index(drop=True)


def _summer(hours: pd.DatetimeIndex, southern: bool) -> Floats:
    """From -1 in the depth of winter to 1 at the height of summer."""
    shift = 182 if southern else 0
    day = hours.day_of_year.to_numpy() + shift
    return np.asarray(-np.cos(2 * np.pi * (day - 22) / 365.25), dtype=np.float64)


def _drift(rng: np.random.Generator, days: int, memory: float, spread: float) -> Floats:
    """Day-to-day weather: each day remembers the one before."""
    push = rng.normal(0, spread * np.sqrt(1 - memory**2), days)
    out = np.zeros(days)
    for day in range(1, days):
        out[day] = memory * out[day - 1] + push[day]
    return out


def _hot_spells(plan: ShopPlan, hours: pd.DatetimeIndex) -> Floats:
    days = [plan.amount("hot-spell", stamp.date(), 0.0) for stamp in hours[::24]]
    return np.repeat(np.asarray(days, dtype=np.float64), 24)


def _indoors(
    plan: ShopPlan, hours: pd.DatetimeIndex, outside: Floats, summer: Floats, fire: Floats
) -> Floats:
    """Shed temperature: lags behind the weather, sun on the roof, stove on working days."""
    clock = hours.hour.to_numpy()
    sun = np.clip(np.sin(np.pi * (clock - 6) / 14), 0, None) * (0.55 + 0.45 * summer)
    working = (hours.day_of_week.to_numpy() < 5) & (clock >= 7) & (clock < 17)
    lit = np.asarray([_stove_c(plan, s.date()) for s in hours[::24]])
    wanted = np.repeat(np.where(lit > 0, lit + fire, 0.0), 24)
    air = np.empty(len(hours))
    now = float(outside[:24].mean())
    for i in range(len(hours)):
        now += WALLS_PER_HOUR * (outside[i] + SHELTER_C - now) + ROOF_C_PER_HOUR * sun[i]
        if working[i] and now < wanted[i]:
            now = min(now + STOVE_C_PER_HOUR, wanted[i])
        air[i] = now
    return air


def _stove_c(plan: ShopPlan, day: date) -> float:
    """What the stove is fed to reach [°C]; out of season or unlit it is 0."""
    cold_months = (4, 5, 6, 7, 8, 9, 10) if plan.southern else (10, 11, 12, 1, 2, 3, 4)
    if not plan.heated or day.month not in cold_months:
        return 0.0
    return plan.amount("stove-c", day, 17.0)
