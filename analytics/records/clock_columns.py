"""Columns of times of day."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from analytics.records.cells import Finding, Reading
from analytics.records.coded import Coded
from analytics.records.dates import as_clock, clock_text, clocks_with_points, read_clock
from analytics.records.fields import Field


def read_times(cells: Coded, field: Field) -> Reading:
    """A column of times of day as "HH:MM"; what is none is asked about."""
    reading = Reading([None] * len(cells.texts))
    pointed = clocks_with_points([cells.texts[code] for code in cells.filled_codes])
    for code in cells.filled_codes:
        text = cells.texts[code]
        minutes = read_clock(text)
        if minutes is None and pointed:
            minutes = read_clock(as_clock(text))
        if minutes is not None:
            reading.values[code] = clock_text(minutes)
            continue
        expected = f"{field.name}, a time of day"
        action = "left unknown. Type the time as 08:30."
        reading.findings.append(Finding("ask", text, expected, action, code))
    return reading


def clock_texts(clocks: NDArray[np.float64]) -> NDArray[np.object_]:
    """Minutes after midnight per row as "HH:MM", None where there are none."""
    return np.array(
        [None if np.isnan(c) or c == 0 else clock_text(c) for c in clocks], dtype=object
    )
