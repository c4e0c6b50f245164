"""The table every question reads: one row per part, with its mixes, air, timings and waits."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.knowledge.loading import load_knowledge
from analytics.knowledge.model import Knowledge
from analytics.physics import air as air_physics
from analytics.physics import curing, gel_time
from analytics.records.log import ORIGIN, Log

MIX_ROLES = ("gelcoat", "resin")
MIX_FIELDS = (
    "product", "lot", "lot_age_months", "mass_kg", "catalyst_pct", "catalyst_lot", "mix_method",
    "mix_min", "rest_min", "air_c", "material_c", "mould_c", "humidity_pct", "gel_min", "operator",
)  # fmt: skip
LOGGER_REACH = pd.Timedelta("60min")
DAY_START, DAY_END = "08:00", "16:00"
NIGHT_HOURS = 18
FAIR_C, FAIR_PCT = 20.0, 50.0
MOULD_FACTS = ("mould_condition", "mould_draft")


def jobs_table(log: Log, knowledge: Knowledge | None = None) -> pd.DataFrame:
    """One row per part, oldest first: its own fields, its mixes, filled air and derived waits.

    Columns: every part field, but not where it was read from nor its cells as typed; every mix
    field prefixed `gelcoat_`/`resin_`; `started` (datetime); `air_c`, `humidity_pct`,
    `mould_condition`, `mould_draft`, `pulls_since_renewal`, `mould_pulls_total`, `wax_coats`
    filled where another record tells them, with `<field>_from` naming where from ("part", "mix",
    "logger", "mould", "neighbours"; missing when unknown); and dew_margin_c [°C],
    night_low_c [°C], backup_h20 and demould_h20 [h at 20 °C], pva_h_ref_min [min at 20 °C and
    50 %], gelcoat_gel_ratio and resin_gel_ratio [observed/expected], laying_over_gel [-],
    resin_to_glass [-], film_spread [-], mould_young_pulls, mould_deep, mould_corner_radius_mm,
    month, day. Missing stays missing. Waits and gel times are compared across temperatures by
    the gel-time constants of `knowledge` (the built-in trade's if None).
    """
    law = (knowledge or load_knowledge()).constants
    jobs = _with_start(log.parts.drop(columns=list(ORIGIN)))
    jobs = _with_mixes(jobs, log.batches)
    jobs = _with_mould_history(jobs, log.moulds)
    jobs = _with_air(jobs, log.logger)
    return _with_derived(jobs, law["activation-energy"].value, law["dose-exponent"].value)


def _with_start(parts: pd.DataFrame) -> pd.DataFrame:
    clock = pd.to_timedelta(parts["start_time"].fillna("10:00") + ":00", errors="coerce")
    started = pd.to_datetime(parts["date"]) + clock.fillna(pd.Timedelta("10h"))
    jobs = parts.assign(started=started)
    return jobs.sort_values(["started", "part_id"], kind="stable", na_position="first").reset_index(
        drop=True
    )


def _with_mixes(jobs: pd.DataFrame, batches: pd.DataFrame) -> pd.DataFrame:
    mixes = batches.drop_duplicates("batch_id").set_index("batch_id")
    joined = {}
    for role in MIX_ROLES:
        matched = mixes.reindex(jobs[f"{role}_batch_id"])
        for field in MIX_FIELDS:
            joined[f"{role}_{field}"] = matched[field].set_axis(jobs.index)
    return jobs.assign(**joined)


def _filled(jobs: pd.DataFrame, field: str, value: pd.Series, source: str) -> pd.DataFrame:
    """`jobs` with blanks of `field` taken from `value`, and `<field>_from` telling which were."""
    tag = f"{field}_from"
    if tag not in jobs:
        own = pd.Series("part", index=jobs.index, dtype="str").where(jobs[field].notna())
        jobs = jobs.assign(**{tag: own})
    take = jobs[field].isna() & value.notna()
    return jobs.assign(
        **{field: jobs[field].where(~take, value), tag: jobs[tag].where(~take, source)}
    )


def _with_mould_history(jobs: pd.DataFrame, moulds: pd.DataFrame) -> pd.DataFrame:
    """Fill what one mould's other pulls tell: its condition, its counters, its waxing."""
    card = moulds.drop_duplicates("mould_id").set_index("mould_id")
    jobs = _filled(jobs, "mould_draft", jobs["mould_id"].map(card["draft"]), "mould")
    for fact in ("deep", "corner_radius_mm"):
        jobs = jobs.assign(**{f"mould_{fact}": jobs["mould_id"].map(card[fact])})
    by_mould = jobs.groupby("mould_id", sort=False)
    for fact in MOULD_FACTS:
        near = by_mould[fact].transform(lambda s: s.ffill().bfill())
        jobs = _filled(jobs, fact, near, "neighbours")
    for counter in ("mould_pulls_total", "pulls_since_renewal"):
        jobs = _filled(jobs, counter, _counted(jobs, counter), "neighbours")
    cycle = _release_cycle(jobs)
    coats = jobs.groupby([jobs["mould_id"], cycle], sort=False)["wax_coats"]
    agreed = coats.transform("median").where(coats.transform("nunique") == 1)
    return _filled(jobs, "wax_coats", agreed, "neighbours")


def _counted(jobs: pd.DataFrame, counter: str) -> pd.Series:
    """A counter that goes up by one each pull, read off the pulls before and after a blank.

    Counting back from the next reading never goes below 0, so where it would, the renewal lay in
    between and the count goes on from the reading before. A blank with no later reading stays
    unknown: the release may have been renewed since.
    """
    order = jobs.groupby("mould_id", sort=False).cumcount()
    offset = (jobs[counter] - order).groupby(jobs["mould_id"], sort=False)
    back = offset.bfill() + order
    return back.where(back >= 0, (offset.ffill() + order).where(back.notna()))


def _release_cycle(jobs: pd.DataFrame) -> pd.Series:
    """A number that steps up on a mould whenever its pulls-since-renewal counter falls back."""
    pulls = jobs["pulls_since_renewal"]
    by_mould = pulls.groupby(jobs["mould_id"], sort=False, dropna=False)
    previous = by_mould.transform(lambda s: s.ffill().shift())
    fell = (pulls <= previous) | (pulls == 0)
    return fell.groupby(jobs["mould_id"], sort=False, dropna=False).cumsum()


def _with_air(jobs: pd.DataFrame, logger: pd.DataFrame) -> pd.DataFrame:
    for field in ("air_c", "humidity_pct"):
        for role in MIX_ROLES:
            jobs = _filled(jobs, field, jobs[f"{role}_{field}"], "mix")
    jobs = _filled(jobs, "mould_c", jobs["gelcoat_mould_c"], "mix")
    record = logger.dropna(subset=["timestamp"]).sort_values("timestamp")
    if record.empty:
        return jobs.assign(night_low_c=np.nan, cure_c=jobs["air_c"])
    for field in ("air_c", "humidity_pct"):
        jobs = _filled(jobs, field, _logged_near(jobs, record, field), "logger")
    return jobs.assign(**_night_and_cure(jobs, record))


def _logged_near(jobs: pd.DataFrame, record: pd.DataFrame, field: str) -> pd.Series:
    """Logger reading nearest the start; the working-day mean where no start time was written."""
    readings = record.dropna(subset=[field])
    if readings.empty:
        return pd.Series(np.nan, index=jobs.index)
    timed = _asof(jobs["started"], readings, field, LOGGER_REACH, "nearest")
    working = readings.set_index("timestamp")[field].between_time(DAY_START, DAY_END)
    daily = working.groupby(pd.DatetimeIndex(working.index).normalize()).mean()
    day = jobs["date"].map(daily).astype("float64")
    return timed.where(jobs["start_time"].notna(), day)


def _asof(
    when: pd.Series, readings: pd.DataFrame, field: str, reach: pd.Timedelta, direction: str
) -> pd.Series:
    asked = when.dropna().astype("datetime64[ns]").sort_values()
    table = readings.astype({"timestamp": "datetime64[ns]"})[["timestamp", field]]
    met = pd.merge_asof(
        asked.rename("timestamp").to_frame(), table, on="timestamp",
        direction=direction, tolerance=reach,  # type: ignore[arg-type]
    )  # fmt: skip
    return pd.Series(met[field].to_numpy(), index=asked.index).reindex(when.index)


def _night_and_cure(jobs: pd.DataFrame, record: pd.DataFrame) -> dict[str, pd.Series]:
    """Coldest and mean air over the hours after the start: what the laminate lay in."""
    span = pd.Timedelta(hours=NIGHT_HOURS)
    series = record.dropna(subset=["air_c"]).drop_duplicates("timestamp")
    rolled = series.set_index("timestamp")["air_c"].rolling(span)
    readings = pd.DataFrame({"low": rolled.min(), "mean": rolled.mean()}).reset_index()
    ends = jobs["started"] + span
    low = _asof(ends, readings, "low", LOGGER_REACH, "backward")
    mean = _asof(ends, readings, "mean", LOGGER_REACH, "backward")
    return {"night_low_c": low, "cure_c": mean.fillna(jobs["air_c"])}


def _numbers(jobs: pd.DataFrame, field: str) -> NDArray[np.float64]:
    return jobs[field].to_numpy(dtype=np.float64, na_value=np.nan)


def _with_derived(jobs: pd.DataFrame, energy: float, power: float) -> pd.DataFrame:
    air, humidity = _numbers(jobs, "air_c"), _numbers(jobs, "humidity_pct")
    face = np.where(np.isnan(_numbers(jobs, "mould_c")), air, _numbers(jobs, "mould_c"))
    cure = _numbers(jobs, "cure_c")
    # A wait was written down even where its air was not: it is taken as a wait in a fair shop.
    fair_face, fair_cure, fair_air = (np.where(np.isnan(t), FAIR_C, t) for t in (face, cure, air))
    fair_humidity = np.where(np.isnan(humidity), FAIR_PCT, humidity)
    derived: dict[str, Any] = {
        "dew_margin_c": air_physics.dew_margin_c(face, air, humidity),
        "backup_h20": curing.hours_at_20c(_numbers(jobs, "backup_hours"), fair_face, energy),
        "demould_h20": curing.hours_at_20c(_numbers(jobs, "demould_hours"), fair_cure, energy),
        "pva_h_ref_min": curing.film_min_at_reference(
            _numbers(jobs, "pva_dry_min"), fair_air, fair_humidity
        ),
        "resin_to_glass": _numbers(jobs, "resin_kg") / _numbers(jobs, "glass_kg"),
        "film_spread": _numbers(jobs, "gelcoat_wet_max_mm") / _numbers(jobs, "gelcoat_wet_min_mm"),
        "mould_young_pulls": jobs["mould_pulls_total"],
        "month": jobs["date"].dt.strftime("%Y-%m"),
        "day": jobs["date"].dt.strftime("%Y-%m-%d"),
    }
    expected = {role: _expected_gel_min(jobs, role, face, energy, power) for role in MIX_ROLES}
    for role in MIX_ROLES:
        derived[f"{role}_gel_ratio"] = _numbers(jobs, f"{role}_gel_min") / expected[role]
    observed = _numbers(jobs, "resin_gel_min")
    working = np.where(np.isnan(observed), expected["resin"], observed)
    derived["laying_over_gel"] = _numbers(jobs, "laying_min") / working
    jobs = jobs.assign(**derived)
    return jobs.assign(session_mm=jobs["session_mm"].fillna(_usual_session_mm(jobs)))


def _expected_gel_min(
    jobs: pd.DataFrame, role: str, face_c: NDArray[np.float64], energy: float, power: float
) -> NDArray[np.float64]:
    """Gel time [min] the trade's law gives at this temperature and dose, set to this shop's level.

    The shop's own median offset takes up its resin; where it never timed a gel, unknown.
    """
    mix_c = _numbers(jobs, f"{role}_air_c")
    at_c = np.where(np.isnan(mix_c), face_c, mix_c)
    dose = _numbers(jobs, f"{role}_catalyst_pct")
    usual = float(np.nanmedian(dose)) if np.isfinite(dose).any() else np.nan
    assumed = np.where(np.isnan(dose), usual, dose)
    shape = gel_time.gel_min(at_c, assumed, 1.0, energy, power)
    ratio = _numbers(jobs, f"{role}_gel_min") / shape
    known = ratio[np.isfinite(ratio)]
    return shape * (float(np.median(known)) if known.size else np.nan)


def _usual_session_mm(jobs: pd.DataFrame) -> pd.Series:
    """Session thickness [mm] this shop usually reaches with that many plies; else unknown."""
    return jobs.groupby("plies_in_session")["session_mm"].transform("median")
