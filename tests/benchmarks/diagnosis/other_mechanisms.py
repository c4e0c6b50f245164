"""A shop where faults come another way: stresses add up, and the part fails past a limit.

Nothing here is shared with the sample logs' simulator: other weather, other habits, other curves,
other gaps in the records. Harmless amounts of several things together can fail a part, which no
noisy-OR does. Kept to be looked at last; every number is made up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.knowledge.model import Knowledge
from analytics.records.log import Log
from tests.benchmarks.diagnosis.cases import UNEXPLAINED, Measured, measured

Floats = NDArray[np.float64]
Job = Mapping[str, Floats]
Stress = Callable[[Job], Floats]

SIZES = (60, 200, 700, 3000)
ORDERS = 32
LIMIT = 0.75
LUCK = 0.09
BLANKS = (0.15, 0.25, 0.40)


def under(field: str, middle: float, width: float) -> Stress:
    """Stress that grows smoothly as the field falls below `middle`: about 1 per `width`."""
    return lambda job: np.logaddexp(0.0, 2 * (middle - job[field]) / width) / 2


def over(field: str, middle: float, width: float) -> Stress:
    """The same upwards."""
    return lambda job: np.logaddexp(0.0, 2 * (job[field] - middle) / width) / 2


def times(stress: Stress, field: str) -> Stress:
    """A stress that counts only as far as `field` [0..1] lets it."""
    return lambda job: stress(job) * job[field]


def there(field: str) -> Stress:
    """1 where that thing was so."""
    return lambda job: job[field]


# stresses of each defect, each with its weight
STRESSES: Mapping[str, Mapping[str, tuple[float, Stress]]] = {
    "sticking": {
        "release-worn-out": (0.50, over("pulls_since_renewal", 6, 3)),
        "film-not-dry": (0.45, times(under("pva_dry_min", 27, 10), "pva")),
        "too-few-wax-coats": (0.35, under("wax_coats", 2.6, 1)),
        "poor-draft": (0.30, there("tight")),
        "release-missed-area": (0.85, there("missed")),
    },
    "pinholes": {
        "air-whipped-into-gelcoat": (0.35, times(under("rest_min", 2.0, 1.5), "drill")),
        "gelcoat-too-thick": (0.40, over("film_mm", 0.72, 0.12)),
        "condensation-on-mould": (0.40, over("humidity_pct", 88, 6)),
        "too-cold": (0.25, under("air_c", 11, 4)),
        "bad-gelcoat-lot": (0.60, there("frothy")),
    },
    "print-through": {
        "heavy-first-ply": (0.55, there("heavy")),
        "gelcoat-too-thin": (0.40, under("film_mm", 0.36, 0.08)),
        "demoulded-too-early": (0.45, under("demould_hours", 9, 4)),
        "too-many-plies-at-once": (0.35, over("session_mm", 6.5, 1.5)),
    },
    "wrinkling": {
        "gelcoat-too-thin": (0.42, under("film_mm", 0.34, 0.08)),
        "backed-up-too-soon": (0.50, under("backup_hours", 1.5, 0.4)),
        "gelcoat-dose-low": (0.40, under("gel_pct", 1.3, 0.25)),
        "acetone-left-in-tools": (0.70, there("acetone")),
    },
    "tacky-surface": {
        "too-cold": (0.38, under("air_c", 10, 4)),
        "resin-dose-low": (0.45, under("resin_pct", 1.15, 0.2)),
        "gelcoat-dose-low": (0.36, under("gel_pct", 1.3, 0.25)),
        "normal-air-side-tack": (0.45, there("no_wax")),
    },
    "air-voids": {
        "air-not-rolled-out": (0.80, there("hurried")),
        "too-little-resin": (0.40, under("ratio", 2.05, 0.2)),
        "heavy-first-ply": (0.35, there("heavy")),
        "worked-after-gel": (0.40, over("laying_gel", 1.15, 0.25)),
    },
    "fish-eyes": {
        "silicone-contamination": (0.85, there("silicone")),
        "dirty-mould": (0.75, there("dirt")),
        "film-not-dry": (0.42, times(under("pva_dry_min", 20, 10), "pva")),
        "damp-air": (0.25, over("humidity_pct", 85, 6)),
    },
    "warping": {
        "demoulded-too-early": (0.55, under("demould_hours", 9, 4)),
        "too-much-resin": (0.40, over("ratio", 2.7, 0.25)),
        "unbalanced-lay-up": (0.40, there("lopsided")),
    },
}
HIDDEN = frozenset(
    {"release-missed-area", "acetone-left-in-tools", "air-not-rolled-out", "dirty-mould",
     "silicone-contamination", "unbalanced-lay-up", UNEXPLAINED}
)  # fmt: skip


def stressed(knowledge: Knowledge, *, most: int, seed: int) -> Iterator[Measured]:
    """One fitted shop of each of SIZES, more cells blank in every next one."""
    for number, size in enumerate(SIZES):
        rng = np.random.default_rng([seed, size])
        job = _jobs(size, rng)
        truth = _faults(job, rng)
        blank = BLANKS[number % len(BLANKS)]
        yield measured(
            f"stress-{size}",
            f"other mechanisms: {size} parts",
            f"{blank:.0%} blank",
            knowledge,
            _log(job, truth, blank, rng),
            truth,
            most=most,
            seed=seed,
        )


def _jobs(n: int, rng: np.random.Generator) -> Job:
    """What every part was really like; hidden things come in spells as well as by chance."""
    day = np.sort(rng.integers(0, 200 + n // 4, n)).astype(float)
    season = np.sin(2 * np.pi * day / 365 + rng.uniform(0, 6))
    weather = np.interp(
        day, np.arange(0, day.max() + 8, 7), rng.normal(0, 2.5, int(day.max()) // 7 + 2)
    )
    person = rng.integers(0, 4, n).astype(float)
    mould = rng.integers(0, 9, n).astype(float)
    air = np.maximum(15 + 6 * season + weather, 5.0)
    habit = rng.normal(0, 1, 4)[person.astype(int)]
    lot = day // 60
    return {
        "day": day,
        "person": person,
        "mould": mould,
        "lot": lot,
        "air_c": air,
        "humidity_pct": np.clip(68 - 1.2 * (air - 15) + rng.normal(0, 9, n), 30, 99),
        "pulls_since_renewal": _pulls(mould, rng),
        "pva": (rng.random(n) < 0.6).astype(float),
        "pva_dry_min": np.maximum(38 + 4 * habit + rng.normal(0, 9, n), 5),
        "wax_coats": rng.choice([2.0, 3.0, 4.0, 5.0], n, p=[0.1, 0.3, 0.4, 0.2]),
        "tight": (mould == 2).astype(float),
        "film_mm": np.clip(0.52 + 0.04 * habit + rng.normal(0, 0.11, n), 0.1, 1.2),
        "backup_hours": np.maximum(2.3 + 0.2 * habit + rng.normal(0, 0.55, n), 0.5),
        "gel_pct": np.clip(1.75 - 0.02 * (air - 18) + rng.normal(0, 0.28, n), 0.6, 3.2),
        "resin_pct": np.clip(1.5 - 0.02 * (air - 18) + rng.normal(0, 0.24, n), 0.5, 3.0),
        "rest_min": rng.choice([0.0, 1.0, 2.0, 4.0], n),
        "drill": (person == 1).astype(float),
        "heavy": ((mould > 5) & (day > 0.6 * day.max())).astype(float),
        "session_mm": np.maximum(4.2 + 0.15 * mould + rng.normal(0, 0.9, n), 1.5),
        "ratio": np.clip(rng.normal(2.35, 0.25, n), 1.4, 3.5),
        "laying_gel": np.exp(rng.normal(-0.45, 0.35, n)),
        "demould_hours": np.where(rng.random(n) < 0.12, rng.uniform(4, 9, n), rng.normal(22, 3, n)),
        "no_wax": (rng.random(n) < 0.15).astype(float),
        "frothy": (lot == 2).astype(float),
        "missed": (rng.random(n) < 0.015).astype(float),
        "acetone": (rng.random(n) < 0.01).astype(float),
        "hurried": (rng.random(n) < 0.02 * (1 + (person == 3))).astype(float),
        "silicone": (np.isin(day // 5, rng.integers(0, day.max() // 5 + 1, 2))).astype(float),
        "dirt": (rng.random(n) < 0.015).astype(float),
        "lopsided": (mould == 4).astype(float),
    }  # fmt: skip


def _pulls(mould: Floats, rng: np.random.Generator) -> Floats:
    """Pulls since renewal of each job, jobs in order; renewed after four to eleven pulls."""
    since, due = np.zeros(9), rng.integers(4, 12, 9)
    pulls = np.zeros(len(mould))
    for job, number in enumerate(mould.astype(int)):
        if since[number] >= due[number]:
            since[number], due[number] = 0, rng.integers(4, 12)
        pulls[job] = since[number]
        since[number] += 1
    return pulls


def _faults(job: Job, rng: np.random.Generator) -> pd.DataFrame:
    """Truth of all faults: part_id, defect, cause, ids, share, recorded."""
    rows = []
    for defect, causes in STRESSES.items():
        parts = {name: weight * stress(job) for name, (weight, stress) in causes.items()}
        parts[UNEXPLAINED] = np.maximum(rng.gumbel(0, LUCK, len(job["day"])), 0)
        stress = np.column_stack(list(parts.values()))
        failed = np.flatnonzero(stress.sum(axis=1) > LIMIT)
        for part, shares in zip(failed, _tipped(stress[failed], rng), strict=True):
            rows += [
                (_name(int(part)), defect, cause, (cause,), share, cause not in HIDDEN)
                for cause, share in zip(parts, shares, strict=True)
                if share > 0
            ]
    return pd.DataFrame(rows, columns=["part_id", "defect", "cause", "ids", "share", "recorded"])


def _tipped(stress: Floats, rng: np.random.Generator) -> Floats:
    """(n, C) share of random orders in which each stress is the one that passes the limit
    (Shapley and Shubik 1954).
    """
    shares = np.zeros_like(stress)
    for _ in range(ORDERS):
        order = rng.permutation(stress.shape[1])
        tips = (stress[:, order].cumsum(axis=1) > LIMIT).argmax(axis=1)
        shares[np.arange(len(stress)), order[tips]] += 1 / ORDERS
    return shares


def _name(part: int) -> str:
    return f"S{part:05d}"


def _log(job: Job, truth: pd.DataFrame, blank: float, rng: np.random.Generator) -> Log:
    """The log as written: cells blank by chance and by whole days, one hand never gauges."""
    n = len(job["day"])
    names = [_name(i) for i in range(n)]
    faults = truth[["part_id", "defect"]].drop_duplicates().assign(words="")
    bad_days = np.isin(job["day"], rng.choice(np.unique(job["day"]), 1 + n // 60))
    parts, gelcoat, resin = _sheets(job)
    for sheet in (parts, gelcoat, resin):
        for name, column in sheet.items():
            gone = (rng.random(n) < blank) | (bad_days & (rng.random(n) < 0.7))
            gone |= (name == "gelcoat_wet_mm") & (job["person"] == 2)
            sheet[name] = column.where(~gone)
    date = pd.Timestamp("2022-02-01") + pd.to_timedelta(job["day"], unit="D")
    fixed = pd.DataFrame({"part_id": names, "date": date, "looked": True})
    fixed["mould_id"] = [f"K{m:.0f}" for m in job["mould"]]
    fixed["outcome"] = np.where(fixed["part_id"].isin(faults["part_id"]), "rework", "good")
    for role in ("gelcoat", "resin"):
        fixed[f"{role}_batch_id"] = [f"{name}/{role}" for name in names]
    batches = [
        sheet.assign(batch_id=fixed[f"{role}_batch_id"], date=date, material=role)
        for role, sheet in (("gelcoat", gelcoat), ("resin", resin))
    ]
    whole = pd.concat([fixed, parts], axis=1)
    return Log.of({"part": whole, "batch": pd.concat(batches), "defect": faults})


def _sheets(job: Job) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame]:
    """What could have been written: of the part, of its gel coat and of its resin."""
    same = ("air_c", "humidity_pct", "pulls_since_renewal", "wax_coats", "backup_hours",
            "session_mm", "demould_hours")  # fmt: skip
    film = job["pva"] > 0
    area = 1.0 + 0.1 * job["mould"]
    parts = pd.DataFrame({name: job[name] for name in same}).assign(
        operator=[f"hand {p:.0f}" for p in job["person"]],
        pva_used=film,
        pva_dry_min=np.where(film, job["pva_dry_min"], np.nan),
        mould_draft=np.where(job["tight"] > 0, "poor", "good"),
        gelcoat_wet_mm=job["film_mm"],
        first_ply_g_m2=np.where(job["heavy"] > 0, 600.0, 300.0),
        glass_kg=area,
        resin_kg=area * job["ratio"],
        laying_min=job["laying_gel"] * 25,
        waxed_topcoat=job["no_wax"] == 0,
    )
    parts["pva_used"] = parts["pva_used"].astype("boolean")
    parts["waxed_topcoat"] = parts["waxed_topcoat"].astype("boolean")
    gelcoat = pd.DataFrame({"catalyst_pct": job["gel_pct"], "rest_min": job["rest_min"]}).assign(
        lot=[f"G{lot:.0f}" for lot in job["lot"]],
        mix_method=np.where(job["drill"] > 0, "drill", "hand stick"),
    )
    resin = pd.DataFrame({"catalyst_pct": job["resin_pct"]}).assign(gel_min=25.0)
    return parts, gelcoat, resin
