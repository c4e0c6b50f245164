"""A gel time off a data sheet: typed in by hand, and asked for where little else is known."""

from __future__ import annotations

from dataclasses import dataclass

from analytics.catalyst.dose_range import MOST_PCT, as_volume
from analytics.catalyst.gel_records import SheetPoint
from analytics.catalyst.question import check_temperature
from analytics.catalyst.readings import GEL_SPAN_MIN, GelReadings
from analytics.errors import QuestionError

FEW_RECORDS = 5
"""From about this many logged gel times on a data sheet adds little."""


@dataclass(frozen=True)
class SheetGel:
    """A data sheet's gel time [min] at a temperature [°C] and a dose [mass %]."""

    gel_min: float
    temperature_c: float
    catalyst_pct: float

    def point(self, product: str) -> SheetPoint:
        """The same for the model. Raises QuestionError where a figure cannot be."""
        low, high = GEL_SPAN_MIN
        if not low <= self.gel_min <= high:
            raise QuestionError(
                f"{self.gel_min:g} min is no gel time; copy the data sheet's, {low:g} to {high:g}"
            )
        if not 0 < self.catalyst_pct <= MOST_PCT:
            raise QuestionError(
                f"{self.catalyst_pct:g} % is no catalyst dose by mass; copy the dose of the data "
                f"sheet's gel time, up to {MOST_PCT:g} %.{as_volume(self.catalyst_pct)}"
            )
        at_c = check_temperature(self.temperature_c)
        return SheetPoint(product, float(self.gel_min), at_c, float(self.catalyst_pct))


def sheet_wanted(readings: GelReadings, jobs_used: int, product: str) -> str | None:
    """What to say first where neither a data sheet nor the shop's own gel times are behind it."""
    if jobs_used >= FEW_RECORDS or any(p.product == product for p in readings.sheet):
        return None
    return (
        "Give your data sheet's gel time first: the minutes, at which temperature and dose. "
        "Without it and without gel times of your own this is a guess from the trade, which loses "
        "up to 1 in 4 of the hits the best dose would make; with it about 1 in 20. Else cup test "
        "this lot and write it down."
    )
