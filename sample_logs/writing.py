"""From what really happened to what the shop wrote down: readings, results, and blanks."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd

from sample_logs.faults import Fault
from sample_logs.job import Film, Job, Laminate, Mix, Release
from sample_logs.mixing import FILM_OVER_CUP
from sample_logs.plan import ShopPlan
from sample_logs.strengths import UNRECORDED

Row = dict[str, Any]

# Share [0..1] of cells left blank where it is not the shop's ordinary share.
SELDOM_WRITTEN = {
    "barcol": 0.85,
    "exotherm_peak_c": 0.92,
    "gelcoat_wet_min_mm": 0.55,
    "gelcoat_wet_max_mm": 0.55,
    "wax_wait_min": 0.5,
    "wax_final_wait_min": 0.45,
    "mould_c": 0.45,
    "demould_effort": 0.4,
    "cost": 0.5,
    "material_c": 0.5,
    "gel_min": 0.4,
    "gel_where": 0.3,
    "rest_min": 0.4,
    "catalyst_lot": 0.4,
}
ALWAYS_WRITTEN = frozenset(
    {"part_id", "date", "mould_id", "looked", "batch_id", "material", "gelcoat_batch_id",
     "resin_batch_id", "outcome", "defects", "notes", "pva_used"}
)  # fmt: skip
NO_RESULT = 0.06
HURRIED_LINE = 0.04
YES_NO = ("pva_used", "waxed_topcoat")
SCRAP = {"sticking-whole": 0.35, "delamination": 0.4, "wrinkling": 0.15, "tacky-face": 0.15}
PLACES: Mapping[str, tuple[str, ...]] = {
    "sticking-patches": ("corner", "one end", "flange", "bottom"),
    "pinholes": ("edge", "flats", "corner", "all over"),
    "wrinkling": ("edge", "corner", "one end"),
    "print-through": ("flats", "top"),
    "pre-release": ("corner", "flats"),
    "air-voids": ("corner", "flange"),
    "tacky-face": ("bottom", "all over"),
}


def defects_table(faults: Sequence[Fault], silent: set[str], rng: np.random.Generator) -> Any:
    """Canonical defects table of what was seen; slight ones are sometimes missed."""
    rows = []
    for fault in faults:
        severity = str(rng.choice(("slight", "moderate", "severe"), p=(0.3, 0.5, 0.2)))
        place = str(rng.choice(PLACES.get(fault.defect, ("",)))) if rng.random() < 0.4 else ""
        overlooked = severity == "slight" and rng.random() < 0.12
        if fault.part_id not in silent and not overlooked:
            rows.append(
                {
                    "part_id": fault.part_id,
                    "defect": fault.defect,
                    "severity": severity,
                    "place": place or None,
                    "words": fault.defect.replace("-", " "),
                }
            )
    columns = ["part_id", "defect", "severity", "place", "words"]
    return pd.DataFrame(rows, columns=columns).astype("str")


def truth_table(faults: Sequence[Fault], defects: pd.DataFrame) -> pd.DataFrame:
    """part_id, defect, cause, share, recorded (can the book show it), reported (written down)."""
    seen = set(zip(defects["part_id"], defects["defect"], strict=True))
    rows = [
        {
            "part_id": fault.part_id,
            "defect": fault.defect,
            "cause": cause,
            "share": round(share, 3),
            "recorded": cause not in UNRECORDED,
            "reported": (fault.part_id, fault.defect) in seen,
        }
        for fault in faults
        for cause, share in fault.shares.items()
    ]
    columns = ["part_id", "defect", "cause", "share", "recorded", "reported"]
    return pd.DataFrame(rows, columns=columns)


def parts_table(
    jobs: Sequence[Job], defects: pd.DataFrame, silent: set[str], rng: np.random.Generator
) -> pd.DataFrame:
    """Canonical parts table with every cell filled that could have been."""
    seen = {str(part): list(group["defect"]) for part, group in defects.groupby("part_id")}
    rows = []
    for job in jobs:
        found = seen.get(job.part_id, [])
        looked = job.part_id not in silent
        rows.append(_part_row(job) | _result(job, found, rng, looked))
    return _typed(pd.DataFrame(rows))


def batches_table(mixes: Sequence[Mix], rng: np.random.Generator) -> pd.DataFrame:
    """Canonical batches table with every cell filled that could have been."""
    return _typed(pd.DataFrame([_mix_row(mix, rng) for mix in mixes]))


def leave_blanks(
    table: pd.DataFrame, plan: ShopPlan, kept_ids: Collection[str], rng: np.random.Generator
) -> pd.DataFrame:
    """The same table as kept by people: cells missed, hurried lines, columns given up.

    Rows numbered in `kept_ids` were written up in full.
    """
    kept = table["part_id" if "part_id" in table else "batch_id"].isin(list(kept_ids)).to_numpy()
    hurried = rng.random(len(table)) < (HURRIED_LINE if plan.missing_share else 0.0)
    out = table.copy()
    for name in table.columns:
        throw = rng.random(len(table))
        blank = throw < _blank_share(str(name), plan.missing_share)
        blank |= hurried & (throw < 0.6) & (name not in ALWAYS_WRITTEN)
        given_up = [plan.is_on("not-written", d.date(), str(name)) for d in table["date"]]
        out.loc[(blank & ~kept) | np.asarray(given_up), name] = None
    return out


def _blank_share(name: str, ordinary: float) -> float:
    if name in ALWAYS_WRITTEN or not ordinary:
        return 0.0
    return max(ordinary, SELDOM_WRITTEN[name]) if name in SELDOM_WRITTEN else ordinary * 0.8


def _part_row(job: Job) -> Row:
    return {
        "part_id": job.part_id,
        "date": pd.Timestamp(job.start.date()),
        "start_time": job.start.strftime("%H:%M"),
        "operator": job.person.name,
        "mould_id": job.mould.mould_id,
        "product": job.mould.product,
        "colour": job.colour,
        "mould_pulls_total": float(job.pulls_total),
        "mould_condition": job.mould.condition,
        "mould_draft": job.mould.draft,
        "area_m2": job.mould.area_m2,
        **_release_cells(job.release),
        **_film_cells(job.film),
        **_laminate_cells(job.laminate),
        "air_c": round(job.air.air_c, 1),
        "humidity_pct": float(round(job.air.humidity_pct)),
        "mould_c": round(job.air.mould_c, 1),
        "demould_hours": job.demould_hours,
    }


def _release_cells(release: Release) -> Row:
    return {
        "pulls_since_renewal": float(release.pulls_since),
        "release_system": "wax-and-film" if release.pva_used else "wax",
        "wax_type": release.wax_brand,
        "wax_coats": float(release.coats),
        "wax_wait_min": release.between_min,
        "wax_final_wait_min": release.final_wait_min,
        "pva_used": release.pva_used,
        "pva_dry_min": release.pva_dry_min,
        "pva_coverage": release.pva_coverage if release.pva_used else None,
    }


def _film_cells(film: Film) -> Row:
    return {
        "gelcoat_batch_id": film.mix.batch_id,
        "gelcoat_method": "brush",
        "gelcoat_wet_mm": round(film.mean_mm, 2),
        "gelcoat_wet_min_mm": round(film.min_mm, 2),
        "gelcoat_wet_max_mm": round(film.max_mm, 2),
        "backup_hours": film.backup_hours,
    }


def _laminate_cells(laminate: Laminate) -> Row:
    return {
        "resin_batch_id": laminate.mix.batch_id,
        "plies_in_session": float(laminate.plies),
        "first_ply_g_m2": laminate.first_ply_g_m2,
        "session_mm": round(laminate.thickness_mm, 1),
        "laying_min": laminate.laying_min,
        "glass_kg": round(laminate.glass_kg, 2),
        "resin_kg": round(laminate.resin_kg, 1),
        "waxed_topcoat": laminate.waxed_topcoat,
    }


def _result(job: Job, found: list[str], rng: np.random.Generator, looked: bool) -> Row:
    """What was seen at the pull; blank all through when nobody wrote a result."""
    throw, minutes = rng.random(), float(rng.lognormal(3.6, 0.5))
    scrap = found and throw < max(SCRAP.get(d, 0.04) for d in found)
    outcome = "scrap" if scrap else "rework" if found else "good"
    return {
        **_readings(job, found, rng),
        "outcome": outcome if looked else None,
        "rework_min": float(5 * round(minutes / 5)) if looked and outcome == "rework" else np.nan,
        "looked": looked,
        "defects": "; ".join(found) if looked and found else None,
    }


def _readings(job: Job, found: list[str], rng: np.random.Generator) -> Row:
    """How it pulled, how hard and how hot it got."""
    stuck = 2.4 if "sticking-whole" in found else 1.0 if "sticking-patches" in found else 0.0
    # A tiring release pulls harder before it sticks.
    pull = 1.2 + 0.22 * job.release.pulls_since + stuck + float(rng.normal(0, 0.5))
    hardness = 41.0 - 9 * ("tacky-face" in found) - 5 * ("tacky-back" in found)
    hardness -= max(0.0, 10 - job.demould_h20)
    peak = job.air.air_c + 9 * job.laminate.thickness_mm + float(rng.normal(0, 4))
    return {
        "demould_effort": float(np.clip(round(pull), 1, 5)),
        "barcol": float(round(hardness + rng.normal(0, 2))),
        "exotherm_peak_c": float(round(peak)),
    }


def _mix_row(mix: Mix, rng: np.random.Generator) -> Row:
    timed = mix.cup_gel_min * (FILM_OVER_CUP if mix.gel_where == "film" else 1.0)
    return {
        "batch_id": mix.batch_id,
        "date": pd.Timestamp(mix.at.date()),
        "time": mix.at.strftime("%H:%M"),
        "material": mix.lot.material,
        "lot": mix.lot.lot,
        "lot_age_months": round(mix.lot.age_months(mix.at.date()), 1),
        "mass_kg": mix.mass_kg,
        "catalyst_pct": mix.catalyst_pct,
        "catalyst_lot": mix.catalyst_lot.lot,
        "mix_method": mix.person.mixer,
        "mix_min": mix.mix_min,
        "rest_min": mix.rest_min,
        "air_c": round(mix.air_c + float(rng.normal(0, 0.4)), 1),
        "material_c": round(mix.material_c, 1),
        "mould_c": round(mix.mould_c, 1),
        "humidity_pct": round(mix.humidity_pct + float(rng.normal(0, 2))),
        "gel_min": float(round(timed)),
        "gel_where": mix.gel_where,
        "operator": mix.person.name,
    }


def _typed(table: pd.DataFrame) -> pd.DataFrame:
    """Numbers as float64, yes/no as boolean, dates to the nanosecond."""
    out = table.copy()
    out["date"] = out["date"].dt.as_unit("ns")
    for name in (*YES_NO, "looked"):
        if name in out:
            out[name] = out[name].astype("boolean")
    for name in out.select_dtypes("number").columns:
        out[name] = out[name].astype("float64")
    return out
