"""Clean tables turned into pages as a shop keeps them: units, habits, slips of the pen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import numpy as np
import pandas as pd

from sample_logs import talk
from sample_logs.workshop import Shop

Cell = str | int | float | date | None
Page = list[list[Cell]]


class Pen:
    """One hand writing: it picks among words and sometimes slips, by seeded chance."""

    def __init__(self, seed: int) -> None:
        self.rng = np.random.default_rng([seed, 9])

    def chance(self, share: float) -> bool:
        """True in that share of cases."""
        return bool(self.rng.random() < share)

    def pick(self, words: Sequence[str]) -> str:
        """One of the words."""
        return words[int(self.rng.integers(len(words)))]

    def blank(self) -> str | None:
        """How a missing reading looks: mostly nothing at all."""
        return None if self.chance(0.7) else self.pick(talk.BLANKS)


Show = Callable[[Any, Pen], Cell]


@dataclass(frozen=True)
class Column:
    """One column of a page: its heading, the field behind it, how its cells are written."""

    header: str
    field: str
    show: Show


def number(digits: int, scale: float = 1.0, unit: str = "", often: float = 0.05) -> Show:
    """Writes a number, now and then with its unit behind it."""

    def show(value: Any, pen: Pen) -> Cell:
        shown = round(float(value) * scale, digits)
        plain: Cell = int(shown) if digits == 0 else shown
        return f"{plain} {unit}" if unit and pen.chance(often) else plain

    return show


def fahrenheit(value: Any, pen: Pen) -> Cell:
    """Whole degrees Fahrenheit, now and then with an F."""
    shown = round(float(value) * 1.8 + 32)
    return f"{shown}F" if pen.chance(0.06) else shown


def text(value: Any, pen: Pen) -> Cell:
    """Text, now and then in other letters or with a space left behind it."""
    word = str(value)
    if pen.chance(0.015):
        return word.upper() if pen.chance(0.5) else word.lower()
    return word + " " if pen.chance(0.01) else word


def exact(value: Any, pen: Pen) -> Cell:
    """Text as it is."""
    return str(value)


def yes_no(value: Any, pen: Pen) -> Cell:
    """A tick, a y, a no."""
    return pen.pick(talk.YES if value else talk.NO)


def day(value: Any, pen: Pen) -> Cell:
    """Mostly a real date; sometimes typed as words or with dots."""
    made: datetime = pd.Timestamp(value).to_pydatetime()
    throw = pen.rng.random()
    if throw < 0.86:
        return made.date()
    if throw < 0.91:
        return f"{made.day} {made:%b}"
    return f"{made:%d/%m/%y}" if throw < 0.96 else f"{made.day}.{made.month}.{made.year}"


COMMON = (
    Column("Job no.", "part_id", exact),
    Column("Date", "date", day),
    Column("Start", "start_time", exact),
    Column("Laid by", "operator", text),
    Column("Mould", "mould_id", text),
    Column("Item", "product", exact),
    Column("Colour", "colour", text),
    Column("Total pulls", "mould_pulls_total", number(0)),
    Column("Pulls since wax", "pulls_since_renewal", number(0)),
    Column("Wax used", "wax_type", exact),
    Column("Coats", "wax_coats", number(0)),
    Column("Between coats (min)", "wax_wait_min", number(0)),
    Column("Wait after last coat (min)", "wax_final_wait_min", number(0)),
    Column("PVA?", "pva_used", yes_no),
    Column("PVA dry (min)", "pva_dry_min", number(0, unit="min")),
    Column("PVA looked", "pva_coverage", exact),
    Column("Gelcoat mix", "gelcoat_batch_id", exact),
    Column("Brush/spray", "gelcoat_method", exact),
)
EARLY_FILM = (
    Column("Wet film (thou)", "gelcoat_wet_mm", number(0, 1 / 0.0254)),
    Column("Thinnest (thou)", "gelcoat_wet_min_mm", number(0, 1 / 0.0254)),
    Column("Thickest (thou)", "gelcoat_wet_max_mm", number(0, 1 / 0.0254)),
)
LATE_FILM = (
    Column("Wet film (um)", "gelcoat_wet_mm", number(0, 1000)),
    Column("Thinnest (um)", "gelcoat_wet_min_mm", number(0, 1000)),
    Column("Thickest (um)", "gelcoat_wet_max_mm", number(0, 1000)),
)
LAYING = (
    Column("Gel coat to first mat (h)", "backup_hours", number(1, unit="h")),
    Column("Resin mix", "resin_batch_id", exact),
    Column("Layers", "plies_in_session", number(0)),
    Column("First mat (g/m2)", "first_ply_g_m2", number(0, unit="g")),
    Column("Laid in one go (mm)", "session_mm", number(1)),
    Column("Laying time (min)", "laying_min", number(0)),
    Column("Glass kg", "glass_kg", number(2)),
    Column("Resin kg", "resin_kg", number(1)),
)
EARLY_AIR = (
    Column("Shop temp (F)", "air_c", fahrenheit),
    Column("RH %", "humidity_pct", number(0)),
    Column("Mould temp (F)", "mould_c", fahrenheit),
)
LATE_AIR = (
    Column("Shop temp (C)", "air_c", number(1, unit="C")),
    Column("RH %", "humidity_pct", number(0, unit="%")),
    Column("Mould temp (C)", "mould_c", number(1)),
)
RESULT = (
    Column("Top coat waxed?", "waxed_topcoat", yes_no),
    Column("Out of mould after (h)", "demould_hours", number(0, unit="h")),
    Column("Pull effort 1-5", "demould_effort", number(0)),
    Column("Barcol", "barcol", number(0)),
    Column("Peak temp (C)", "exotherm_peak_c", number(0)),
)
EARLY = (*COMMON, *EARLY_FILM, *LAYING, *EARLY_AIR, *RESULT)
LATE = (*COMMON, *LATE_FILM, *LAYING, *LATE_AIR, *RESULT)
LAST_HEADERS = ["Faults", "Outcome", "Rework (min)", "Remarks"]


def job_pages(shop: Shop, pen: Pen) -> dict[str, Page]:
    """The job book: a page a quarter."""
    parts = shop.parts
    quarters = parts["date"].dt.to_period("Q")
    faults = {str(p): g for p, g in shop.defects.groupby("part_id")}
    return {
        f"{quarter.year} Q{quarter.quarter}": _job_page(shop, part, faults, pen)
        for quarter, part in parts.groupby(quarters)
    }


def _job_page(shop: Shop, parts: pd.DataFrame, faults: dict[str, pd.DataFrame], pen: Pen) -> Page:
    first = parts["date"].min()
    columns = EARLY if first.date() < shop.plan.new_book else LATE
    header: list[Cell] = [*(c.header for c in columns), *LAST_HEADERS]
    units = "temps F, film in thou" if columns is EARLY else "temps C, film in um"
    page: Page = [[f"Jobs from {first:%B %Y}"], [units], [], header]
    lines = {d: s for d, s in shop.plan.page_lines.items() if d >= first.date()}
    for i, (_, part) in enumerate(parts.iterrows()):
        for when in [d for d in lines if d <= part["date"].date()]:
            page.append([lines.pop(when)])
        if i and i % 48 == 0:
            page.append(list(header))
        found = faults.get(str(part["part_id"]))
        row = [_cell(c, part[c.field], pen) for c in columns]
        page.append(row + _result_cells(shop, part, found, pen))
        if pen.chance(0.01):
            page.append(list(page[-1]))
    return [*page, [], _totals(parts)]


def _cell(column: Column, value: Any, pen: Pen) -> Cell:
    return pen.blank() if pd.isna(value) else column.show(value, pen)


def _totals(parts: pd.DataFrame) -> list[Cell]:
    good = int((parts["outcome"] == "good").sum())
    return ["Total", len(parts), None, f"{good} good"]


def _result_cells(
    shop: Shop, part: pd.Series[Any], found: pd.DataFrame | None, pen: Pen
) -> list[Cell]:
    """Faults, outcome, rework minutes and remark of one part."""
    note = None if pd.isna(part["notes"]) else str(part["notes"])
    if not part["looked"]:
        return [None, None, None, note]
    outcome = str(part["outcome"])
    words = {"good": talk.GOOD_WORDS, "rework": talk.REWORK_WORDS, "scrap": talk.SCRAP_WORDS}
    plain = str(part["part_id"]) in shop.plan.well_kept
    faults = pen.pick(talk.NO_FAULT_WORDS) or None
    if found is not None:
        faults = fault_cell(found, plain, pen)
    elif outcome != "good":
        faults = None
    minutes = None if pd.isna(part["rework_min"]) else int(part["rework_min"])
    return [faults, pen.pick(words[outcome]), minutes, note]


def fault_cell(found: pd.DataFrame, plain: bool, pen: Pen) -> str:
    """All faults of a part in one cell, in the shop's words."""
    join = pen.pick(talk.JOINS)
    return join.join(_fault_words(fault, plain, pen) for _, fault in found.iterrows())


def _fault_words(fault: pd.Series[Any], plain: bool, pen: Pen) -> str:
    defect = str(fault["defect"])
    words = talk.FAULT_WORDS[defect]
    if plain:
        return words[0]
    if defect in talk.VAGUE_WORDS and pen.chance(0.15):
        return talk.VAGUE_WORDS[defect]
    word = words[0] if pen.chance(0.45) else pen.pick(words)
    strength = talk.STRENGTH_WORDS.get(str(fault["severity"]))
    if strength and pen.chance(0.3):
        word = f"{pen.pick(strength)} {word}"
    if pd.notna(fault["place"]) and pen.chance(0.6):
        word = f"{word} ({fault['place']})"
    return word
