"""The books of a made-up shop, kept as shops keep them: titles, totals, notes, odd dates, commas.

Two moulds, one part a working day from October 2023 to March 2024. Tray moulds are waxed through
every ten pulls; from the eighth pull on they stick. Everything here is invented.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np

FIRST, DAYS = date(2023, 10, 2), 180
STUCK = "T-118"
HEADINGS = (
    "Part;Date;Time;By;Mould;Pulls since full wax;Coats of wax;GC mix;GC wet film (thou);"
    "Air °F;RH %;Faults;Result"
)


def write_books(folder: Path) -> tuple[Path, Path, Path]:
    """The job book, the mixing book and the shed logger's export, as files."""
    jobs, mixes = _jobs_and_mixes()
    return (
        _written(folder / "job book.csv", jobs),
        _written(folder / "mixes.csv", mixes),
        _written(folder / "shed logger.csv", _logger()),
    )


def _written(path: Path, lines: list[str]) -> Path:
    path.write_text("\n".join(lines) + "\n", encoding="cp1252")
    return path


def _working_days() -> list[date]:
    days = [FIRST + timedelta(days=n) for n in range(DAYS)]
    return [day for day in days if day.weekday() < 5]


def _jobs_and_mixes() -> tuple[list[str], list[str]]:
    rng = np.random.default_rng(7)
    jobs = ["Job book - trays and lids;;;;;;;;;;;;", ""]
    mixes = ["Mix;Date;Material;Lot;kg;MEKP;Shop °C;Gel time (min)"]
    month, pulls = 0, {"Tray": 0, "Lid": 0}
    for number, day in enumerate(_working_days(), start=1):
        if day.month != month:
            month = day.month
            jobs += [f"{day:%B %Y};;;;;;;;;;;;", HEADINGS]
        mould = "Tray" if number % 2 == 0 else "Lid"
        pulls[mould] = (pulls[mould] + 1) % (10 if mould == "Tray" else 4)
        jobs.append(_job(rng, number, day, mould, pulls[mould]))
        mixes.append(_mix(rng, number, day))
        if number % 40 == 0:
            jobs += [f"total so far;{number};;;;;;;;;;;", "boiler man came, shop cold till noon"]
    return jobs, mixes


def _job(rng: np.random.Generator, number: int, day: date, mould: str, pulls: int) -> str:
    sticks = mould == "Tray" and pulls >= 8
    fault = "stuck fast" if sticks else ("pin holes" if number % 23 == 0 else "-")
    result = "rework" if sticks else ("" if number % 17 == 0 else "ok")
    when = f"{day.day}.{day.month}.{day:%y}" if number % 3 else f"{day:%d/%m/%Y}"
    air = "" if number % 4 == 0 else f"{_air_f(day):.0f}"
    film = f"{18 + rng.normal(0, 1.5):.0f}"
    cells = [
        f"T-{number:03d}", when, "09:00", ("Ann", "Bert")[number % 2], mould, str(pulls), "3",
        f"G{number:03d}", film, air, "" if number % 5 == 0 else "55", fault, result,
    ]  # fmt: skip
    return ";".join(cells)


def _air_f(day: date) -> float:
    return 62 - 6 * np.sin((day - FIRST).days / 57)


def _mix(rng: np.random.Generator, number: int, day: date) -> str:
    air_c = (_air_f(day) - 32) / 1.8
    dose = (1.6, 1.8, 2.0)[number % 3]
    gel = 14 * (2 / dose) ** 0.8 * np.exp(0.065 * (20 - air_c)) * np.exp(rng.normal(0, 0.08))
    cells = [
        f"G{number:03d}", f"{day:%d/%m/%Y}", "gelcoat", "GC-1", "1,2", _comma(f"{dose} %"),
        _comma(f"{air_c:.1f}"), "" if number % 6 == 0 else f"{gel:.0f}",
    ]  # fmt: skip
    return ";".join(cells)


def _comma(number: str) -> str:
    return number.replace(".", ",")


def _logger() -> list[str]:
    start = datetime.combine(FIRST, datetime.min.time())
    times = [start + timedelta(hours=3 * n) for n in range(8 * DAYS)]
    rows = [f"{t:%d/%m/%Y %H:%M};{(_air_f(t.date()) - 32) / 1.8:.1f};58" for t in times]
    return ["Shed logger", "", "Date time;Temp C;RH %", *rows]
