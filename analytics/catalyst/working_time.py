"""How warm the shop is while it works: hours of work, and each month's temperatures in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from analytics.catalyst.normal import Floats
from analytics.catalyst.readings import mix_temperature, moment
from analytics.records.log import Log

USUAL_HOURS = (7, 17)
LEAST_STARTS = 20
LEAST_LOGGED = 20
LEAST_BY_HAND = 5
LEAST_DAYS = 3
LEAST_PAIRS = 20
QUANTILES = np.linspace(0.05, 0.95, 10)
PAIR_REACH = pd.Timedelta("60min")


@dataclass(frozen=True)
class Hours:
    """Hours of work, from `start` to `end` o'clock, learnt from `starts` start times (0: usual)."""

    start: int
    end: int
    starts: int

    @property
    def text(self) -> str:
        """Which hours, and who says so."""
        if not self.starts:
            return f"{self.start} to {self.end} o'clock, taken as usual: too few starts are logged"
        return f"{self.start} to {self.end} o'clock, from {self.starts} logged start times"


@dataclass(frozen=True)
class MonthTemperature:
    """One calendar month's temperatures in hours of work [°C], all years together.

    `quantiles` are ten from 5 to 95 %; `source` is "logger" or "job log".
    """

    quantiles: Floats
    readings: int
    days: int
    years: tuple[int, ...]
    source: str

    @property
    def median(self) -> float:
        """Half of the readings lie below it [°C]."""
        return float(self.quantiles[4] + self.quantiles[5]) / 2.0


def working_hours(log: Log) -> Hours:
    """Hours between the early and the late starts of parts and mixes; 7 to 17 where few are."""
    clocks = pd.concat([log.parts["start_time"], log.batches["time"]]).dropna()
    # a log has far fewer clock times than rows: each is read once
    place, distinct = pd.factorize(clocks)
    read = pd.to_timedelta(pd.Series(distinct, dtype="str") + ":00", errors="coerce")
    hours = (read / pd.Timedelta("1h")).take(place).dropna()
    if len(hours) < LEAST_STARTS:
        return Hours(*USUAL_HOURS, 0)
    early, late = np.quantile(hours, [0.02, 0.98])
    return Hours(int(np.floor(early)), int(min(np.ceil(late) + 1, 24)), len(hours))


def month_temperatures(log: Log, hours: Hours) -> tuple[dict[int, MonthTemperature], float]:
    """Temperatures by calendar month (1 to 12), and how far mixes lie from the logger's air [°C].

    The logger in hours of work on days of work comes first, moved by the usual difference between
    resin and mould and the logger's air where enough pairs show one; else what was read beside
    mixes and parts. Months with neither are left out.
    """
    by_hand = _by_hand(log)
    apart = _apart(log)
    logged = _logger(log, hours)
    logged = logged.assign(c=logged["c"] + apart)
    by_logger, hand = (dict(list(one.groupby(one["when"].dt.month))) for one in (logged, by_hand))
    found = {}
    for month in range(1, 13):
        read = _of_month(by_logger.get(month), LEAST_LOGGED, "logger")
        read = read or _of_month(hand.get(month), LEAST_BY_HAND, "job log")
        if read is not None:
            found[month] = read
    return found, apart


def _of_month(own: pd.DataFrame | None, least: int, source: str) -> MonthTemperature | None:
    if own is None or len(own) < least:
        return None
    return MonthTemperature(
        np.quantile(own["c"], QUANTILES),
        len(own),
        int(own["when"].dt.normalize().nunique()),
        tuple(sorted(int(year) for year in own["when"].dt.year.unique())),
        source,
    )


def _by_hand(log: Log) -> pd.DataFrame:
    mixes = pd.DataFrame({"when": moment(log.batches), "c": mix_temperature(log.batches, log)})
    parts = pd.DataFrame({"when": moment(log.parts, "start_time"), "c": log.parts["air_c"]})
    return pd.concat([mixes, parts]).dropna()


def _logger(log: Log, hours: Hours) -> pd.DataFrame:
    """Logger readings in hours of work: on days something was made, else Monday to Friday."""
    read = log.logger[["timestamp", "air_c"]].set_axis(["when", "c"], axis=1).dropna()
    clock = read["when"].dt.hour
    read = read[(clock >= hours.start) & (clock < hours.end)]
    days = read["when"].dt.normalize()
    worked = days.isin(_days_worked(log))
    enough = days.where(worked).groupby(read["when"].dt.month).transform("nunique") >= LEAST_DAYS
    weekday = read["when"].dt.day_of_week < 5
    return read[worked.where(enough, weekday)]


def _days_worked(log: Log) -> Mapping[str, str] | pd.Series:
    return pd.concat([log.parts["date"], log.batches["date"]]).dropna().drop_duplicates()


def _apart(log: Log) -> float:
    """Median of resin-and-mould temperature less the logger's air beside it; 0 where few pairs."""
    own = log.batches[["material_c", "mould_c"]].mean(axis=1)
    mixes = pd.DataFrame({"when": moment(log.batches), "own": own})
    mixes = mixes[own.notna() & log.batches["time"].notna()].dropna().sort_values("when")
    air = log.logger[["timestamp", "air_c"]].set_axis(["when", "air"], axis=1).dropna()
    if mixes.empty or air.empty:
        return 0.0
    pairs = pd.merge_asof(
        mixes.astype({"when": "datetime64[ns]"}),
        air.astype({"when": "datetime64[ns]"}).sort_values("when"),
        on="when", direction="nearest", tolerance=PAIR_REACH,
    ).dropna()  # fmt: skip
    if len(pairs) < LEAST_PAIRS:
        return 0.0
    return float((pairs["own"] - pairs["air"]).median())
