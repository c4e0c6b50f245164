"""The strip of the month: each working day with its parts, results, faults and weather."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.month.answer import Day
from analytics.month.results import Results
from analytics.month.spells import EPOCH

Floats = NDArray[np.float64]
Places = NDArray[np.intp]

WORK_FROM_H, WORK_TO_H = 7, 18
"""Hours of the day whose logger readings count: common practice of a day shift."""


def days(results: Results, logger: pd.DataFrame) -> tuple[Day, ...]:
    """Each day of the month that parts were made on, with results and weather."""
    now = results.this_month
    numbers, at = np.unique(results.day[now], return_inverse=True)
    parts, looked, faulty = (
        np.bincount(at, weights=mask).astype(int)
        for mask in (np.ones(len(at)), results.looked[now], results.faulty[now])
    )
    found = np.zeros((len(numbers), len(results.defects)), dtype=int)
    np.add.at(found, at, results.found[now])
    weather = _weather(results, logger, numbers, at)
    return tuple(
        Day(
            date=EPOCH + timedelta(days=int(number)),
            parts=int(parts[i]),
            good=int(looked[i] - faulty[i]),
            faulty=int(faulty[i]),
            unknown=int(parts[i] - looked[i]),
            defects={d: int(n) for d, n in zip(results.defects, found[i], strict=True) if n},
            **{name: _known(values[i]) for name, values in weather.items()},
        )
        for i, number in enumerate(numbers)
    )


def _weather(
    results: Results, logger: pd.DataFrame, numbers: NDArray[np.int64], at: Places
) -> dict[str, Floats]:
    jobs, count = results.jobs[results.this_month], len(numbers)
    hours = _working_hours(logger, numbers)
    told: dict[str, Floats] = {}
    for field, low, high in (
        ("air_c", "air_low_c", "air_high_c"),
        ("humidity_pct", "humidity_low_pct", "humidity_high_pct"),
    ):
        value = jobs[field].to_numpy(dtype=np.float64, na_value=np.nan)
        told[field] = _by_day(value, at, count)[0]
        logged = hours[field].to_numpy(dtype=np.float64, na_value=np.nan)
        both = np.concatenate([value, logged])
        days_of = np.concatenate([at, hours["at"].to_numpy(dtype=np.intp)])
        _, told[low], told[high] = _by_day(both, days_of, count)
    margin = jobs["dew_margin_c"].to_numpy(dtype=np.float64, na_value=np.nan)
    told["dew_margin_c"] = _by_day(margin, at, count)[1]
    return told


def _working_hours(logger: pd.DataFrame, numbers: NDArray[np.int64]) -> pd.DataFrame:
    """Logger readings of the working hours of these days, with `at`, the place of their day."""
    stamps = logger["timestamp"].to_numpy("datetime64[h]")
    day = stamps.astype("datetime64[D]").astype(np.int64)
    hour = stamps.astype(np.int64) - 24 * day
    at = np.searchsorted(numbers, day)
    there = numbers[np.minimum(at, len(numbers) - 1)] == day
    kept = there & (hour >= WORK_FROM_H) & (hour < WORK_TO_H)
    return logger.loc[kept, ["air_c", "humidity_pct"]].assign(at=at[kept])


def _by_day(value: Floats, at: Places, count: int) -> tuple[Floats, Floats, Floats]:
    """(mean, least, most) of each day; NaN where nothing was logged."""
    known = np.isfinite(value)
    readings = np.bincount(at[known], minlength=count).astype(np.float64)
    readings[readings == 0] = np.nan
    mean = np.bincount(at[known], weights=value[known], minlength=count) / readings
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(low, at[known], value[known])
    np.maximum.at(high, at[known], value[known])
    return mean, np.where(np.isfinite(low), low, np.nan), np.where(np.isfinite(high), high, np.nan)


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
