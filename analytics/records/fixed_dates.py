"""Dates and times of one fixed width, as loggers write them, a whole column at a time."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from analytics.records.dates import ORDERS, Order

Stamps = NDArray[np.datetime64]


def fixed_fields(texts: Sequence[str]) -> list[NDArray[np.int64]] | None:
    """The runs of digits of texts that all have the same shape, as numbers; else None."""
    width = len(texts[0])
    if set(map(len, texts)) != {width} or not all(map(str.isascii, texts)):
        return None
    marks = np.array(texts, dtype=f"S{width}").view(np.uint8).reshape(-1, width)
    shape = re.sub(r"\d", "0", texts[0]).encode()
    is_digit = np.array([mark == ord("0") for mark in shape])
    digits = marks[:, is_digit]
    fixed = marks[:, ~is_digit] == np.array([m for m in shape if m != ord("0")], dtype=np.uint8)
    if not fixed.all() or ((digits < 48) | (digits > 57)).any():
        return None
    fields = []
    for run in re.finditer(rb"0+", shape):
        value = np.zeros(len(texts), dtype=np.int64)
        for position in range(*run.span()):
            value = value * 10 + (marks[:, position] - 48)
        fields.append(value)
    return fields


def fixed_stamps(
    fields: Sequence[NDArray[np.int64]], told: Order | None
) -> tuple[Order, Stamps, NDArray[np.float64]] | None:
    """Days and minutes after midnight of dates in fields, in the order that fits them best."""
    if len(fields) not in (5, 6):
        return None
    first, second, third, hour, minute = fields[:5]
    if (hour > 23).any() or (minute > 59).any():
        return None
    options: list[tuple[float, Order, Stamps]] = []
    for order in ORDERS if first.max() < 100 else ("ymd",):
        if told and order not in ("ymd", told):
            continue
        year, month, day = _in_order(order, first, second, third)
        stamps = _days(np.where(year < 100, year + 2000, year), month, day)
        if stamps is not None:
            options.append((float(np.abs(np.diff(stamps).astype(np.int64)).sum()), order, stamps))
    if not options:
        return None
    _, order, stamps = min(options, key=lambda option: option[0])
    seconds = fields[5] if len(fields) == 6 else 0
    return order, stamps, (hour * 60 + minute + seconds / 60).astype(float)


def _in_order(
    order: Order, first: NDArray[np.int64], second: NDArray[np.int64], third: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Year, month and day."""
    if order == "ymd":
        return first, second, third
    return (third, second, first) if order == "dmy" else (third, first, second)


def _days(
    year: NDArray[np.int64], month: NDArray[np.int64], day: NDArray[np.int64]
) -> Stamps | None:
    """The days, or None when any of them does not exist."""
    possible = (month >= 1) & (month <= 12) & (day >= 1) & (year >= 1980) & (year < 2200)
    if not possible.all():
        return None
    months = (year - 1970).astype("datetime64[Y]").astype("datetime64[M]") + (month - 1)
    days = months.astype("datetime64[D]") + (day - 1)
    if (days.astype("datetime64[M]") != months).any():
        return None
    return days.astype("datetime64[ns]")
