"""What was different this time: the good parts made most alike, and where they differ."""

from __future__ import annotations

from dataclasses import dataclass

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


@dataclass(frozen=True)
class Compared:
    """A shop's jobs made comparable once, so that each question costs one pass over them.

    numbers : (COMPARED_NUMBERS, n) values in units of this shop's own spread, NaN unknown.
    words : (COMPARED_WORDS, n) codes, -1 unknown; mould : (n,) codes, -1 unknown.
    good : (n,) True for parts that came out well.
    """

    numbers: Floats
    words: NDArray[np.intp]
    mould: NDArray[np.intp]
    good: NDArray[np.bool_]

    @classmethod
    def of(cls, jobs: pd.DataFrame, defects: pd.DataFrame) -> Compared:
        """The jobs table made comparable; `defects` says which parts came out well."""
        return cls(
            np.stack([_in_own_steps(jobs[name]) for name in COMPARED_NUMBERS]),
            np.stack([pd.factorize(jobs[name])[0] for name in COMPARED_WORDS]),
            pd.factorize(jobs["mould_id"])[0],
            good_parts(jobs, defects),
        )

    def steps(self, row: int, rows: NDArray[np.intp]) -> Floats:
        """(fields, rows) how far each of `rows` is from job `row`, NaN where either is unknown."""
        numbers = np.abs(self.numbers[:, rows] - self.numbers[:, [row]])
        words, own = self.words[:, rows], self.words[:, [row]]
        unknown = (words < 0) | (own < 0)
        return np.concatenate([numbers, np.where(unknown, np.nan, words != own)])

    def distance(self, row: int) -> Floats:
        """(n,) mean step to job `row` over the fields known on both sides.

        Few shared fields make any two jobs look alike: unknown ones count as an ordinary step.
        """
        far, shared = np.zeros(len(self.good)), np.zeros(len(self.good))
        for values in self.numbers:
            if not np.isnan(values[row]):
                known = ~np.isnan(values)
                far += np.where(known, np.abs(values - values[row]), 0.0)
                shared += known
        for codes in self.words:
            if codes[row] >= 0:
                far += (codes >= 0) & (codes != codes[row])
                shared += codes >= 0
        fields = len(self.numbers) + len(self.words)
        return np.asarray(far / np.maximum(shared, 1) + 0.5 * (1 - shared / fields))


def good_parts(jobs: pd.DataFrame, defects: pd.DataFrame) -> NDArray[np.bool_]:
    """True for parts with a result written, no fault, and not reworked or scrapped."""
    unnamed = (jobs["outcome"].fillna("good") != "good").to_numpy(dtype=bool)
    told = told_parts(jobs, defects).to_numpy(dtype=bool)
    return told & ~_named(jobs, defects) & ~unnamed


def told_parts(jobs: pd.DataFrame, defects: pd.DataFrame) -> pd.Series[bool]:
    """True for parts whose result says which faults there were, or that there were none.

    A part written off as faulty with no fault named tells nothing about any one defect.
    """
    looked = jobs["looked"].fillna(False).astype(bool)
    return looked & (_named(jobs, defects) | (jobs["outcome"].fillna("good") == "good"))


def _named(jobs: pd.DataFrame, defects: pd.DataFrame) -> NDArray[np.bool_]:
    # as objects: the same question to a column of pandas text takes forty times as long
    parts = pd.Series(jobs["part_id"].to_numpy(dtype=object), dtype=object)
    return parts.isin(set(defects["part_id"])).to_numpy(dtype=bool)


def like_jobs(
    jobs: pd.DataFrame, compared: Compared, row: int, count: int = 3
) -> tuple[LikeJob, ...]:
    """The `count` good parts most like job `row`, same mould first, with what differs.

    Likeness is 1 / (1 + mean step), a step being a difference in units of this shop's own spread
    (inter-quartile range) or 1 for another word; only fields known on both sides count.
    """
    good = compared.good.copy()
    good[row] = False
    candidates = np.flatnonzero(good)
    if not candidates.size:
        return ()
    mean = compared.distance(row)[candidates]
    same = (compared.mould[candidates] == compared.mould[row]) & (compared.mould[row] >= 0)
    order = np.argsort(mean - SAME_MOULD_BONUS * same, kind="stable")[:count]
    steps = compared.steps(row, candidates[order])
    return tuple(
        _like_job(jobs, row, int(candidates[i]), bool(same[i]), float(mean[i]), steps[:, place])
        for place, i in enumerate(order)
    )


def _in_own_steps(column: pd.Series) -> Floats:
    values = column.to_numpy(dtype=np.float64, na_value=np.nan)
    known = values[~np.isnan(values)]
    spread = np.subtract(*np.percentile(known, [75, 25])) if known.size else 0.0
    spread = spread if spread > 0 else (known.std() if known.size else 1.0)
    return np.asarray(values / (spread or 1.0))


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
