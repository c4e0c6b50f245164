"""What reading the rows of one kind gives: a wide table, and what there is to tell about it."""

from __future__ import annotations

from dataclasses import dataclass
from dataclasses import field as dataclass_field

import pandas as pd

from analytics.records.cells import Finding


@dataclass(frozen=True)
class Told:
    """A finding with its column's heading and the rows of the wide table it is about."""

    header: str
    finding: Finding
    rows: tuple[int, ...]


@dataclass
class Wide:
    """One group's records: `frame` has a column per target, with `sheet_no` and `row` (from 0).

    Faults are a column `faults` of tuples; `raw` is the cells as typed, JSON. `remarks` maps a
    target to how its cells were read.
    """

    record: str
    frame: pd.DataFrame
    told: list[Told] = dataclass_field(default_factory=list)
    remarks: dict[str, str] = dataclass_field(default_factory=dict)


def with_moments(frame: pd.DataFrame) -> pd.DataFrame:
    """A logger's readings, date and time of day put together where they are two columns."""
    if "date" not in frame:
        return frame
    clock = frame["time"] if "time" in frame else pd.Series(None, index=frame.index)
    hours = pd.to_timedelta(clock.astype("str").fillna("00:00") + ":00")
    stamps = pd.to_datetime(frame["date"]) + hours
    filled = frame["timestamp"].fillna(stamps) if "timestamp" in frame else stamps
    kept = frame.drop(columns=[c for c in ("date", "time") if c in frame])
    return kept.assign(timestamp=filled)
