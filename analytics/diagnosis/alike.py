"""What was different this time: the good parts made most alike, and where they differ."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.columns import column
from analytics.diagnosis.answer import LikeJob

Floats = NDArray[np.float64]

COMPARED_NUMBERS = (
    "air_c", "humidity_pct", "mould_c", "gelcoat_catalyst_pct", "resin_catalyst_pct",
    "gelcoat_wet_mm", "backup_hours", "wax_coats", "pulls_since_renewal", "pva_dry_min",
    "first_ply_g_m2", "plies_in_session", "session_mm", "laying_min", "demould_hours",
    "gelcoat_gel_min", "resin_gel_min", "gelcoat_rest_min", "gelcoat_mix_min", "resin_mix_min",
    "gelcoat_lot_age_months",
)  # fmt: skip
COMPARED_WORDS = (
    "operator", "pva_used", "gelcoat_method", "gelcoat_lot", "resin_lot", "gelcoat_catalyst_lot",
    "gelcoat_mix_method", "wax_type", "waxed_topcoat", "colour", "mould_condition",
)  # fmt: skip
SAME_MOULD_BONUS = 0.5
TELLING_STEP = 0.8
SHOWN_DIFFERENCES = 6


def good_parts(jobs: pd.DataFrame, defects: pd.DataFrame) -> NDArray[np.bool_]:
    """True for parts with a result written, no fault, and not reworked or scrapped."""
    unnamed = jobs["outcome"].fillna("good") != "good"
    good = told_parts(jobs, defects) & ~jobs["part_id"].isin(defects["part_id"]) & ~unnamed
    return good.to_numpy(dtype=bool)


def told_parts(jobs: pd.DataFrame, defects: pd.DataFrame) -> pd.Series[bool]:
    """True for parts whose result says which faults there were, or that there were none.

    A part written off as faulty with no fault named tells nothing about any one defect.
    """
    looked = jobs["looked"].fillna(False).astype(bool)
    named = jobs["part_id"].isin(defects["part_id"])
    return looked & (named | (jobs["outcome"].fillna("good") == "good"))


def like_jobs(
    jobs: pd.DataFrame, good: NDArray[np.bool_], row: int, count: int = 3
) -> tuple[LikeJob, ...]:
    """The `count` good parts most like job `row`, same mould first, with what differs.

    Likeness is 1 / (1 + mean step), a step being a difference in units of this shop's own spread
    (inter-quartile range) or 1 for another word; only fields known on both sides count.
    """
    candidates = np.flatnonzero(good & (np.arange(len(jobs)) != row))
    if not candidates.size:
        return ()
    steps = _steps(jobs, row, candidates)
    known = ~np.isnan(steps)
    shared = known.sum(axis=1)
    mean = np.where(known, steps, 0.0).sum(axis=1) / np.maximum(shared, 1)
    # Few shared fields make any two jobs look alike; unknown ones count as an ordinary step.
    mean += 0.5 * (1 - shared / steps.shape[1])
    same = (jobs["mould_id"].iloc[candidates] == jobs["mould_id"].iloc[row]).to_numpy()
    order = np.argsort(mean - SAME_MOULD_BONUS * same, kind="stable")[:count]
    return tuple(
        _like_job(jobs, row, int(candidates[i]), bool(same[i]), float(mean[i]), steps[i])
        for i in order
    )


def _steps(jobs: pd.DataFrame, row: int, candidates: NDArray[np.intp]) -> Floats:
    columns = []
    for name in COMPARED_NUMBERS:
        values = jobs[name].to_numpy(dtype=np.float64, na_value=np.nan)
        known = values[~np.isnan(values)]
        spread = np.subtract(*np.percentile(known, [75, 25])) if known.size else 0.0
        spread = spread if spread > 0 else (known.std() if known.size else 1.0)
        columns.append(np.abs(values[candidates] - values[row]) / (spread or 1.0))
    for name in COMPARED_WORDS:
        words = jobs[name].astype("str")
        there = words.iloc[candidates]
        differs = (there != words.iloc[row]).to_numpy(dtype=np.float64)
        unknown = there.isna().to_numpy() | bool(pd.isna(words.iloc[row]))
        columns.append(np.where(unknown, np.nan, differs))
    return np.stack(columns, axis=1)


def _like_job(
    jobs: pd.DataFrame, row: int, other: int, same: bool, mean: float, steps: Floats
) -> LikeJob:
    names = (*COMPARED_NUMBERS, *COMPARED_WORDS)
    ranked = sorted(
        (i for i in range(len(names)) if steps[i] >= TELLING_STEP), key=lambda i: -steps[i]
    )
    differs = tuple(
        (column(names[i]).name, shown(jobs, names[i], row), shown(jobs, names[i], other))
        for i in ranked[:SHOWN_DIFFERENCES]
    )
    day = jobs["date"].iloc[other]
    return LikeJob(
        part=str(jobs["part_id"].iloc[other]),
        date="" if pd.isna(day) else f"{day:%Y-%m-%d}",
        same_mould=same,
        likeness=1 / (1 + mean),
        differs=differs,
    )


def shown(jobs: pd.DataFrame, name: str, row: int) -> str:
    """A value of the jobs table as a person writes it, with its unit; "not known" if blank."""
    value = jobs[name].iloc[row]
    if pd.isna(value):
        return "not known"
    said = column(name)
    if said.kind == "yes_no":
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.3g} {said.unit}".strip()
    return str(value)
