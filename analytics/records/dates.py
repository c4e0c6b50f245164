"""Dates and times as shops write them; day and month order is settled for a whole column."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from analytics.records.limits import LONGEST_FIGURE
from analytics.records.words import any_of, plain, without_accents, words

Order = Literal["dmy", "mdy", "ymd"]
ORDERS: tuple[Order, ...] = ("dmy", "mdy", "ymd")
ORDER_NAMES = {"dmy": "day/month", "mdy": "month/day", "ymd": "year/month/day"}
_FIRST_YEAR = 1980
_SERIAL_START = dt.date(1899, 12, 30)
_CLOCK = re.compile(
    r"(?<![\d/.\-])(\d{1,2})[:.h](\d{2})(?::(\d{2})(?:\.\d+)?)?\s*([ap])?\.?(?:m\.?)?"
    r"(?:\s*(?:z|[+-]\d{2}:?\d{2}))?$"
)
_CLOCK_HOUR = re.compile(r"(?<![\d/.\-:])(\d{1,2})\s*([ap])\.?m?\.?$")
_ISO = re.compile(r"(\d{4})[-/. ](\d{1,2})[-/. ](\d{1,2})")
_COMPACT = re.compile(r"(\d{4})(\d{2})(\d{2})")
_THREE = re.compile(r"(\d{1,2})\s*[-/., ]\s*(\d{1,2})\s*[-/., ]\s*'?(\d{4}|\d{2})")
_TWO = re.compile(r"(\d{1,2})[-/.](\d{1,2})\.?")
_DAY_ONLY = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?")
_POINTED = re.compile(r"\d{1,2}\.(\d\d)")
_SERIAL = re.compile(r"[2-6]\d{4}(?:\.\d+)?")
_DAY_NAME = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th)?\s*(?:of\s+)?[-/., ]*([a-z]{3,9})\.?[-/., ]*(?:'?(\d{4}|\d{2}))?"
)
_NAME_DAY = re.compile(
    r"([a-z]{3,9})\.?[-/., ]*(\d{1,2})(?:st|nd|rd|th)?(?:[-/., ]+'?(\d{4}|\d{2}))?"
)


@dataclass(frozen=True)
class DateText:
    """A date as typed: either complete, or numbers whose order or year is still open.

    `known` is (year, month, day); `figures` two or three numbers in the order typed; `day_month`
    a day and month without a year, the month 0 where only the day is typed. `clock` is minutes
    after midnight.
    """

    known: tuple[int, int, int] | None = None
    figures: tuple[int, ...] | None = None
    day_month: tuple[int, int] | None = None
    clock: float | None = None


@lru_cache(maxsize=100_000)
def read_date_text(text: str) -> DateText | None:
    """The parts of a date as typed; None when it is no date."""
    if len(text) > LONGEST_FIGURE:
        return None
    flat = without_accents(plain(text)).replace(",", " ")
    flat = re.sub(r"(?<=\d)t(?=\d{2}:)", " ", flat)
    flat = _weekdays().sub(" ", flat).strip(" .-")
    flat = re.sub(r"\s+", " ", flat)
    flat, clock = _split_clock(flat)
    flat = flat.strip(" .-@")
    return _numeric(flat, clock) or _named(flat, clock)


@lru_cache(maxsize=1)
def _weekdays() -> re.Pattern[str]:
    return re.compile(rf"\b(?:{any_of(words().weekdays)})\b\.?")


def _split_clock(flat: str) -> tuple[str, float | None]:
    if " " not in flat and ":" not in flat:
        return flat, None
    match = re.search(r"\s(\d{1,2}(?::|\.|h)\d{2}.*|\d{1,2}\s*[ap]m?)$", flat)
    if not match:
        return flat, None
    minutes = read_clock(match[1])
    return (flat, None) if minutes is None else (flat[: match.start()], minutes)


def _numeric(flat: str, clock: float | None) -> DateText | None:
    found = _ISO.fullmatch(flat) or _COMPACT.fullmatch(flat)
    if found:
        year, month, day = (int(part) for part in found.groups())
        return DateText(known=(year, month, day), clock=clock)
    found = _THREE.fullmatch(flat)
    if found:
        return DateText(figures=tuple(int(part) for part in found.groups()), clock=clock)
    if _SERIAL.fullmatch(flat):
        return _from_serial(float(flat), clock)
    found = _TWO.fullmatch(flat)
    if found:
        return DateText(figures=(int(found[1]), int(found[2])), clock=clock)
    found = _DAY_ONLY.fullmatch(flat)
    return DateText(day_month=(int(found[1]), 0), clock=clock) if found else None


def _from_serial(value: float, clock: float | None) -> DateText:
    day = _SERIAL_START + dt.timedelta(days=int(value))
    part = value - int(value)
    minutes = round(part * 1440, 3) if part else clock
    return DateText(known=(day.year, day.month, day.day), clock=minutes)


def _named(flat: str, clock: float | None) -> DateText | None:
    found = _DAY_NAME.fullmatch(flat)
    if found:
        day, name, year = int(found[1]), found[2], found[3]
    else:
        found = _NAME_DAY.fullmatch(flat)
        if not found:
            return None
        name, day, year = found[1], int(found[2]), found[3]
    month = words().months.get(name)
    if month is None:
        return None
    if year is None:
        return DateText(day_month=(day, month), clock=clock)
    return DateText(known=(full_year(int(year)), month, day), clock=clock)


def full_year(year: int) -> int:
    """A year of two figures as four: 24 is 2024, 97 is 1997."""
    if year >= 100:
        return year
    return 1900 + year if year >= 80 else 2000 + year


def make_date(year: int, month: int, day: int) -> dt.date | None:
    """The date, or None when there is no such day or it lies before 1980."""
    try:
        return dt.date(year, month, day) if year >= _FIRST_YEAR else None
    except ValueError:
        return None


def from_figures(figures: Sequence[int], order: Order, year: int | None) -> dt.date | None:
    """The date of two or three numbers in this order; `year` serves where only two are typed."""
    if len(figures) == 2:
        if year is None:
            return None
        first, second = figures
        return make_date(year, first, second) if order == "mdy" else make_date(year, second, first)
    first, second, third = figures
    if order == "ymd":
        return make_date(full_year(first), second, third)
    day, month = (second, first) if order == "mdy" else (first, second)
    return make_date(full_year(third), month, day)


def years_named(texts: Iterable[str]) -> tuple[int, ...]:
    """Years written in sheet names and title lines, in order, each once."""
    found: dict[int, None] = {}
    for text in texts:
        for year in re.findall(r"(?<!\d)((?:19|20)\d{2})(?!\d)", text):
            found[int(year)] = None
        names = any_of(words().months)
        flat = without_accents(plain(text))
        for year in re.findall(rf"\b(?:{names})\b[ .\-_']*(\d{{2}})(?!\d)", flat):
            found[full_year(int(year))] = None
    return tuple(found)


def months_named(texts: Iterable[str]) -> tuple[int, ...]:
    """Months (1 to 12) named in sheet names and title lines, each once."""
    found: dict[int, None] = {}
    for text in texts:
        for name in re.findall(r"[a-z]+", without_accents(plain(text))):
            if name in words().months:
                found[words().months[name]] = None
    return tuple(found)


def nearest_year(day: int, month: int, around: dt.date) -> dt.date | None:
    """The day and month in the year that brings it nearest to another date."""
    options = [make_date(around.year + shift, month, day) for shift in (-1, 0, 1)]
    real = [option for option in options if option]
    return min(real, key=lambda option: abs((option - around).days)) if real else None


# ---------------------------------------------------------------- times of day


@lru_cache(maxsize=20_000)
def read_clock(text: str) -> float | None:
    """Minutes after midnight of a time as typed: "08:05", "8.05am", "0805", "8 am", "14h30"."""
    if len(text) > LONGEST_FIGURE:
        return None
    flat = plain(text).rstrip(".")
    flat = re.sub(r"\s*(?:hrs|hours|uhr|o'?clock)$", "", flat)
    flat = {"noon": "12:00", "midday": "12:00", "midnight": "00:00"}.get(flat, flat)
    if re.fullmatch(r"0?\.\d{3,}", flat):
        return round(float(flat) * 1440, 2)
    found = _CLOCK.fullmatch(flat)
    if found:
        return _minutes(int(found[1]), int(found[2]), int(found[3] or 0), found[4])
    found = _CLOCK_HOUR.fullmatch(flat)
    if found:
        return _minutes(int(found[1]), 0, 0, found[2])
    found = re.fullmatch(r"(\d{1,2})(\d{2})", flat)
    return _minutes(int(found[1]), int(found[2]), 0, None) if found else None


def clocks_with_points(texts: Sequence[str]) -> bool:
    """Whether a column writes 8.30 for half past eight, so that a spreadsheet shows it as 8.3.

    Some cell must be no decimal of an hour (8.05, 8.20), and none past its 59th minute.
    """
    minutes = [found[1] for text in texts if (found := _POINTED.fullmatch(text.strip()))]
    past = any(int(m) > 59 for m in minutes)
    return not past and any(m not in ("00", "25", "50", "75") for m in minutes)


def as_clock(text: str) -> str:
    """A time of day that lost its noughts to a spreadsheet: "8.3" is "8.30", "9" is "9.00"."""
    if re.fullmatch(r"\d{1,2}\.\d", text.strip()):
        return f"{text.strip()}0"
    return f"{text.strip()}.00" if re.fullmatch(r"\d{1,2}", text.strip()) else text


def _minutes(hour: int, minute: int, second: int, half: str | None) -> float | None:
    if half and 1 <= hour <= 12:
        hour = hour % 12 + (12 if half == "p" else 0)
    if hour > 23 or minute > 59:
        return None
    return hour * 60 + minute + second / 60


def clock_text(minutes: float) -> str:
    """Minutes after midnight as "HH:MM"."""
    whole = int(minutes + 1e-6)
    return f"{whole // 60:02d}:{whole % 60:02d}"


def told_order(texts: Iterable[str]) -> Order | None:
    """The order a heading or title states: "d/m/y", "mm/dd/yyyy", "US dates"."""
    letters: Mapping[str, Order] = {"dmy": "dmy", "mdy": "mdy", "ymd": "ymd"}
    for text in texts:
        for found in re.findall(
            r"\b([dmy]+)\s*[-/. ]?\s*([dmy]+)\s*[-/. ]?\s*([dmy]+)\b", plain(text)
        ):
            order = letters.get("".join(part[0] for part in found))
            if order:
                return order
        if re.search(r"\bday\s*[/-]\s*month", plain(text)):
            return "dmy"
        if re.search(r"\bmonth\s*[/-]\s*day|\b(?:us|american) dates?\b", plain(text)):
            return "mdy"
    return None
