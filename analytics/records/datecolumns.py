"""A whole column of dates: one order of day and month, missing years and days filled from above."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.records.cells import Finding
from analytics.records.coded import Coded
from analytics.records.date_order import OrderChoice, choose_order
from analytics.records.dates import (
    ORDER_NAMES,
    DateText,
    Order,
    from_figures,
    make_date,
    nearest_year,
    read_date_text,
)
from analytics.records.fixed_dates import fixed_fields, fixed_stamps
from analytics.records.hints import Hints

Stamps = NDArray[np.datetime64]
_ISO_MOMENT = re.compile(r"\d{4}-\d\d-\d\d[ T]\d\d:\d\d(:\d\d)?$")
_NOT = np.datetime64("NaT", "ns")
_LOOKED_AT = 20_000
_LONG = 2_000
_ROUND = 8
_NEAR_DAYS = 60


@dataclass(frozen=True)
class DateColumn:
    """A column read: a time stamp per row, minutes after midnight per row, findings, remarks."""

    stamps: Stamps
    clocks: NDArray[np.float64]
    findings: tuple[Finding, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True)
class Place:
    """Where the rows of a column stand: sheet of each row, hints of each sheet, order told.

    `lent` is the order that other columns of dates in the same file can only be read in.
    """

    sheet_of: NDArray[np.intp]
    hints: Sequence[Hints]
    told: Order | None
    lent: Order | None = None


def certain_order(column: Coded, told: Order | None, today: dt.date) -> Order | None:
    """The order the dates of a column can only be read in, None when they leave it open."""
    if told:
        return told
    written = [column.texts[code] for code in column.filled_codes[:_LOOKED_AT]]
    if len(written) >= _LONG and _year_first(written):
        return None
    texts = [read_date_text(text) for text in written]
    choice = choose_order(texts, [()] * len(texts), None, today)
    return choice.order if choice and choice.certain else None


def _year_first(texts: Sequence[str]) -> bool:
    """Whether all are one moment each as "2024-03-04 08:30", which leaves no order open."""
    fields = fixed_fields(texts) if _ISO_MOMENT.match(texts[0]) else None
    return fields is not None and fixed_stamps(fields, "ymd") is not None


def read_dates(column: Coded, place: Place, today: dt.date) -> DateColumn:
    """A column of dates, with or without the time of day.

    Dates to come and days that do not exist stay unknown and are told. A date without a year
    takes it from the sheet's name or title, else from the nearest row that has one.
    """
    quick = _quick(column, place, today)
    if quick is not None:
        return quick
    texts = {code: read_date_text(column.texts[code]) for code in column.filled_codes}
    choice = choose_order(*_for_order(column, texts, place), place.told, today)
    if choice and not choice.certain and place.lent:
        choice = OrderChoice(place.lent, "as the other dates in the file", certain=True)
    order: Order = choice.order if choice else "dmy"
    by_code = np.full(len(column.texts), _NOT)
    clocks = np.full(len(column.texts), np.nan)
    findings: list[Finding] = []
    for code, date in texts.items():
        made = _complete(date, order)
        if made is not None:
            by_code[code] = np.datetime64(made, "ns")
        if date and date.clock is not None:
            clocks[code] = date.clock
        if date is None or (made is None and not _yearless(date)):
            findings.append(_no_date(code, column.texts[code], order))
    stamps = by_code[column.codes]
    findings += _without_future(column, stamps, today)
    yearless = {code: date for code, date in texts.items() if date and _yearless(date)}
    findings += _fill_years(column, stamps, yearless, place, order, today)
    findings += _without_slips(column, stamps)
    if choice and not choice.certain:
        findings.append(_assumed(column, texts, choice.order, choice.why))
    remarks = (f"dates read {ORDER_NAMES[order]}: {choice.why}",) if choice else ()
    return DateColumn(stamps, clocks[column.codes], tuple(findings), remarks)


def _quick(column: Coded, place: Place, today: dt.date) -> DateColumn | None:
    """Long columns of one fixed-width format, as loggers write; None when it is not such a column.

    Works on all cells at once; the result is the same as cell by cell.
    """
    codes = np.array(column.filled_codes)
    if len(codes) < _LONG:
        return None
    fields = fixed_fields([column.texts[code] for code in column.filled_codes])
    made = fixed_stamps(fields, place.told) if fields else None
    if made is None:
        return None
    order, days, minutes = made
    by_code = np.full(len(column.texts), _NOT)
    by_code[codes] = days
    clocks = np.full(len(column.texts), np.nan)
    clocks[codes] = minutes
    stamps = by_code[column.codes]
    findings = _without_future(column, stamps, today)
    remarks = (f"dates read {ORDER_NAMES[order]}",)
    return DateColumn(stamps, clocks[column.codes], tuple(findings), remarks)


def _for_order(
    column: Coded, texts: dict[int, DateText | None], place: Place
) -> tuple[list[DateText | None], list[tuple[int, ...]]]:
    """Dates from top to bottom, repeats of the row above left out, with their sheets' months."""
    codes, sheets = column.codes[:_LOOKED_AT], place.sheet_of[:_LOOKED_AT]
    moved = np.concatenate([[True], np.diff(codes) != 0]) if len(codes) else np.zeros(0, bool)
    rows = np.flatnonzero(moved)
    dates = [texts.get(int(codes[row])) for row in rows]
    return dates, [place.hints[int(sheets[row])].months for row in rows]


def _complete(date: DateText | None, order: Order) -> dt.date | None:
    if date is None:
        return None
    if date.known:
        return make_date(*date.known)
    if date.figures and len(date.figures) == 3:
        return from_figures(date.figures, order, None)
    return None


def _yearless(date: DateText) -> bool:
    return date.day_month is not None or (date.figures is not None and len(date.figures) == 2)


def _no_date(code: int, text: str, order: Order) -> Finding:
    return Finding(
        "date",
        text,
        f"a date, {ORDER_NAMES[order]}",
        "date left unknown. Type the date again.",
        code,
    )


def _without_future(column: Coded, stamps: Stamps, today: dt.date) -> list[Finding]:
    """Take out days that have not come yet, and say so."""
    ahead = stamps > np.datetime64(today, "ns")
    findings = [
        Finding(
            "date",
            column.texts[code],
            f"a day up to {today.isoformat()}",
            "date left unknown, that day has not come yet. Put the right date in the log.",
            int(code),
        )
        for code in np.unique(column.codes[ahead])
    ]
    stamps[ahead] = _NOT
    return findings


def _without_slips(column: Coded, stamps: Stamps) -> list[Finding]:
    """Take out dates a year away from all rows round them, as in January with last year's year."""
    rows = np.flatnonzero(~np.isnat(stamps))
    if len(rows) < _ROUND:
        return []
    days = stamps[rows].astype("datetime64[D]").astype(np.int64)
    around = np.stack([days[:-4], days[1:-3], days[3:-1], days[4:]])
    middle, spread = np.median(around, axis=0), np.ptp(around, axis=0)
    off = days[2:-2] - middle
    slipped = (spread <= _NEAR_DAYS) & (np.abs(np.abs(off) - 365.25) <= _NEAR_DAYS)
    findings = {}
    for row, away in zip(rows[2:-2][slipped], off[slipped], strict=True):
        code = int(column.codes[row])
        year = int(str(stamps[row])[:4]) + (1 if away < 0 else -1)
        findings[code] = Finding(
            "date",
            column.texts[code],
            "a date near those of the rows round it",
            f"date left unknown, it is a year away from them. If {year} was meant, put that.",
            code,
        )
        stamps[row] = _NOT
    return list(findings.values())


def _assumed(column: Coded, texts: dict[int, DateText | None], order: Order, why: str) -> Finding:
    example = next(column.texts[code] for code, date in texts.items() if date and date.figures)
    other = "m/d/y" if order == "dmy" else "d/m/y"
    return Finding(
        "assumed",
        example,
        "dates that say which number is the day",
        f"read as {ORDER_NAMES[order]}: {why}. If that is wrong, put ({other}) in the heading.",
    )


def _fill_years(
    column: Coded,
    stamps: Stamps,
    yearless: dict[int, DateText],
    place: Place,
    order: Order,
    today: dt.date,
) -> list[Finding]:
    """Give dates without a year the year of their sheet or of the nearest dated row."""
    if not yearless:
        return []
    dated = ~np.isnat(stamps)
    lost: dict[int, None] = {}
    for row in np.flatnonzero(np.isin(column.codes, list(yearless))):
        code = int(column.codes[row])
        day, month = _day_month(yearless[code], order)
        made = _with_year(day, month, int(row), stamps, dated, place)
        if made is None or made > today:
            lost[code] = None
        else:
            stamps[row] = np.datetime64(made, "ns")
    return [
        Finding(
            "date",
            column.texts[code],
            "a date with its year",
            "date left unknown. Put the year in the sheet's name, in a title line or in the cell.",
            code,
        )
        for code in lost
    ]


def _day_month(date: DateText, order: Order) -> tuple[int, int]:
    if date.day_month:
        return date.day_month
    first, second = (date.figures or (0, 0))[:2]
    return (second, first) if order == "mdy" else (first, second)


def _with_year(
    day: int, month: int, row: int, stamps: Stamps, dated: NDArray[np.bool_], place: Place
) -> dt.date | None:
    sheet = int(place.sheet_of[row])
    years = place.hints[sheet].years
    if month == 0:
        months = place.hints[sheet].months
        if len(months) != 1:
            return None
        month = months[0]
    if len(years) == 1:
        return make_date(years[0], month, day)
    near = _nearest_dated(row, dated, place.sheet_of == sheet)
    if near is None and years:
        near_day: dt.date | None = dt.date(years[0], 7, 1)
    else:
        near = _nearest_dated(row, dated, np.ones(len(dated), bool)) if near is None else near
        near_day = None if near is None else pd.Timestamp(stamps[near]).date()
    return nearest_year(day, month, near_day) if near_day else None


def _nearest_dated(row: int, dated: NDArray[np.bool_], allowed: NDArray[np.bool_]) -> int | None:
    rows = np.flatnonzero(dated & allowed)
    return int(rows[np.argmin(np.abs(rows - row))]) if len(rows) else None
