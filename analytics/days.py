"""How a day and a month are said: 14 Mar 2024, which no reader takes for another day."""

from __future__ import annotations

from datetime import date

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July",
    "August", "September", "October", "November", "December",
)  # fmt: skip


def day_words(day: date | str | None) -> str:
    """A day as "14 Mar 2024"; text that is no date is given back as it came."""
    if isinstance(day, str) and day:
        try:
            day = date.fromisoformat(day[:10])
        except ValueError:
            return str(day)
    return f"{day.day} {MONTHS[day.month - 1][:3]} {day.year}" if day else "no date"


def month_words(month: str) -> str:
    """The month "2024-03" as "March 2024"."""
    year, _, number = month.partition("-")
    return f"{MONTHS[int(number) - 1]} {year}"
