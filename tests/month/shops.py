"""Simulated shops for the month in review: everything as usual, unless a change is planted.

Weather by season, lots that last some weeks, moulds and people that differ, process figures with
a hand's own habit. None of it has to do with the defects but for what a test plants.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from analytics.jobs import jobs_table
from analytics.knowledge.model import Cause, Defect, Evidence, Knowledge, Trust
from analytics.records.log import Log

RATES: Mapping[str, float] = {
    "sticking": 0.05,
    "pinholes": 0.05,
    "print-through": 0.04,
    "tacky-surface": 0.03,
    "wrinkling": 0.01,
}
MOULDS = ("M01", "M02", "M03", "M04", "M05")
PEOPLE = ("Ann", "Bob", "Cy")

Plant = Callable[[pd.DataFrame, dict[str, np.ndarray]], None]
"""Changes the drawn parts, and the chance of each defect on each of them, in place."""


@dataclass(frozen=True)
class Shop:
    """A simulated shop's log with its jobs table."""

    log: Log
    jobs: pd.DataFrame


def a_shop(
    seed: int,
    *,
    months: int = 18,
    parts_a_month: int = 60,
    rates: Mapping[str, float] = RATES,
    plant: Plant | None = None,
    first: str = "2022-01-01",
) -> Shop:
    """A shop of so many months in which nothing happens but what `plant` does."""
    rng = np.random.default_rng(seed)
    parts = _parts(rng, pd.Timestamp(first), months, parts_a_month)
    chance = {defect: np.full(len(parts), rate) for defect, rate in rates.items()}
    if plant is not None:
        plant(parts, chance)
    found = {defect: rng.random(len(parts)) < p for defect, p in chance.items()}
    faulty = np.any(list(found.values()), axis=0)
    parts["outcome"] = np.where(faulty, "rework", "good")
    parts["looked"] = True
    if "unwritten" in parts:
        hidden = parts.pop("unwritten").to_numpy(dtype=bool)
        parts.loc[hidden, "outcome"] = None
        parts.loc[hidden, "looked"] = False
        found = {defect: hit & ~hidden for defect, hit in found.items()}
    faults = pd.concat(
        [pd.DataFrame({"part_id": parts["part_id"][hit], "defect": d}) for d, hit in found.items()]
    )
    mixes = _mixes(rng, parts)
    parts = parts.drop(columns=[c for c in parts if c.startswith(("gc_", "rs_"))])
    log = Log.of({"part": parts, "batch": mixes, "defect": faults})
    return Shop(log, jobs_table(log))


def _parts(rng: np.random.Generator, first: pd.Timestamp, months: int, each: int) -> pd.DataFrame:
    last = first + pd.DateOffset(months=months) - pd.Timedelta(days=1)
    working = pd.bdate_range(first, last)
    dates = working[np.sort(rng.integers(0, len(working), months * each))]
    n = len(dates)
    season = -np.cos(2 * np.pi * (dates.day_of_year.to_numpy() - 20) / 365.25)
    day_air = rng.normal(0, 2, len(working))[working.searchsorted(dates)]
    person = rng.choice(len(PEOPLE), n, p=[0.5, 0.3, 0.2])
    since = rng.integers(0, 6, n)
    parts = pd.DataFrame(
        {
            "part_id": [f"P{i:05d}" for i in range(n)],
            "date": dates,
            "mould_id": rng.choice(MOULDS, n, p=[0.35, 0.25, 0.2, 0.12, 0.08]),
            "operator": np.array(PEOPLE)[person],
            "air_c": 16 + 7 * season + day_air,
            "humidity_pct": np.clip(62 + rng.normal(0, 10, n), 25, 98),
            "gelcoat_wet_mm": rng.normal(0.5, 0.06, n) + 0.02 * person,
            "backup_hours": rng.gamma(6, 0.5, n),
            "pulls_since_renewal": since.astype(float),
            "pva_dry_min": rng.normal(35, 8, n) + 3 * person,
            "wax_coats": rng.choice([3.0, 4.0], n, p=[0.8, 0.2]),
            "first_ply_g_m2": rng.choice([225.0, 300.0, 450.0], n, p=[0.2, 0.6, 0.2]),
            "demould_hours": rng.normal(22, 4, n),
            "gc_dose": 1.8 - 0.02 * 7 * season + rng.normal(0, 0.1, n),
            "rs_dose": 1.5 - 0.02 * 7 * season + rng.normal(0, 0.1, n),
            "gc_lot": _lots(rng, dates, "G"),
            "rs_lot": _lots(rng, dates, "R"),
        }
    )
    parts["gelcoat_batch_id"] = [f"GB{i}" for i in range(n)]
    parts["resin_batch_id"] = [f"RB{i}" for i in range(n)]
    return parts


def _lots(rng: np.random.Generator, dates: pd.DatetimeIndex, letter: str) -> list[str]:
    """A drum after another, each lasting four to eight weeks."""
    days = (dates - dates[0]).days.to_numpy()
    ends = np.cumsum(rng.integers(28, 57, int(days.max()) // 28 + 2))
    return [f"{letter}{10 + k}" for k in np.searchsorted(ends, days, side="right")]


def _mixes(rng: np.random.Generator, parts: pd.DataFrame) -> pd.DataFrame:
    rows = []
    for material, batch, lot, dose in (
        ("gelcoat", "gelcoat_batch_id", "gc_lot", "gc_dose"),
        ("resin", "resin_batch_id", "rs_lot", "rs_dose"),
    ):
        rows.append(
            pd.DataFrame(
                {
                    "batch_id": parts[batch],
                    "date": parts["date"],
                    "material": material,
                    "lot": parts[lot],
                    "catalyst_pct": parts[dose],
                    "gel_min": rng.normal(18, 3, len(parts)),
                    "air_c": parts["air_c"],
                }
            )
        )
    return pd.concat(rows, ignore_index=True)


def some_knowledge() -> Knowledge:
    """A little trade knowledge: enough for names, groups and conditions."""
    defects = {
        "sticking": _defect("sticking", members=("sticking-whole", "sticking-patches")),
        "sticking-whole": _defect("sticking-whole", group="sticking"),
        "sticking-patches": _defect("sticking-patches", group="sticking"),
        "pinholes": _defect("pinholes"),
        "print-through": _defect("print-through"),
        "tacky-surface": _defect("tacky-surface"),
        "wrinkling": _defect("wrinkling"),
    }
    causes = {
        "cold": _cause("cold", _below("air_c", 18.0, 12.0), "tacky-surface"),
        "wax-worn": _cause("wax-worn", _above("pulls_since_renewal", 4.0, 8.0), "sticking"),
        "film-thin": _cause("film-thin", _below("gelcoat_wet_mm", 0.45, 0.35), "wrinkling"),
        "film-wet": _cause("film-wet", _below("pva_dry_min", 30.0, 10.0), "sticking"),
        "ply-heavy": _cause("ply-heavy", _above("first_ply_g_m2", 300.0, 600.0), "print-through"),
        "dose-low": _cause("dose-low", _below("gelcoat_catalyst_pct", 1.5, 1.0), "wrinkling"),
    }
    trust = Trust(check_hit=0.9, check_false=0.1, note_hit=0.8, note_false=0.1)
    return Knowledge({}, defects, causes, {}, {}, {}, (0.0,) * 4, (0.0,) * 4, trust)


def _defect(defect: str, *, members: tuple[str, ...] = (), group: str | None = None) -> Defect:
    title = defect.replace("-", " ").capitalize()
    return Defect(defect, title, "", "", "", (), 0.05, (), "memory", members, group)


def _cause(cause: str, evidence: Evidence, defect: str) -> Cause:
    return Cause(
        cause, cause, "", "part", "", (evidence,), "any", {defect: 3}, {}, {}, {}, "", "", "",
        (), (), "memory",
    )  # fmt: skip


def _below(field: str, none: float, full: float) -> Evidence:
    return Evidence(field, "below", "", "", "memory", none, full)


def _above(field: str, none: float, full: float) -> Evidence:
    return Evidence(field, "above", "", "", "memory", none, full)
