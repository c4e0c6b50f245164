"""From the log to the gel times a model can learn from, and the ones it must leave out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

import numpy as np
import pandas as pd

from analytics.catalyst.answer import SetAside
from analytics.catalyst.gel_records import GelRecords, SheetPoint
from analytics.records.log import Log

LOGGER_REACH = pd.Timedelta("60min")
TEMPERATURE_SPAN_C = (0.0, 45.0)
DOSE_SPAN_PCT = (0.5, 5.0)
GEL_SPAN_MIN = (1.0, 300.0)


@dataclass(frozen=True)
class Reading:
    """One temperature [°C] from the log, when it was taken, and where it was written."""

    temperature_c: float
    when: datetime
    where: str


@dataclass(frozen=True)
class GelReadings:
    """The logged gel times of one material, ready for the model, and what was left out.

    `set_aside` names records no workshop could have made; `incomplete` counts gel times without
    a dose or a temperature; `last_day` is the day of the newest usable record; `last_product` is
    the product in use on it; `products` maps lot to product.
    """

    records: GelRecords
    sheet: tuple[SheetPoint, ...]
    set_aside: tuple[SetAside, ...]
    incomplete: int
    last_day: date | None
    last_product: str
    products: dict[str, str]
    mass_kg: np.ndarray


def gel_readings(log: Log, material: str) -> GelReadings:
    """The gel times logged for a material ("gelcoat" or "resin"), with what was left out.

    The temperature of a mix is the mean of its material and mould readings, else the air beside
    it, else the part's, else the logger within an hour.
    """
    timed = log.batches[(log.batches["material"] == material) & log.batches["gel_min"].notna()]
    products = _products(log.lots, material)
    timed = timed.assign(
        when=moment(timed),
        temperature_c=mix_temperature(timed, log),
        product=_product(timed, products),
        name=_names(timed, log.parts),
        colour=_colours(timed, log.parts),
    )
    complete = timed["temperature_c"].notna() & timed["catalyst_pct"].notna()
    usable = timed[complete]
    aside, sane = _impossible(usable)
    kept = usable[sane].sort_values(["when", "name"], kind="stable")
    return GelReadings(
        records=_records(kept),
        sheet=_sheet_points(log.lots, material),
        set_aside=aside,
        incomplete=int((~complete).sum()),
        last_day=_last_day(kept),
        last_product=str(kept["product"].iloc[-1]) if len(kept) else _only(products),
        products=products,
        mass_kg=kept["mass_kg"].to_numpy(dtype=float),
    )


def last_temperature(log: Log, today: date) -> Reading | None:
    """The newest logger reading up to the end of today, else the newest beside a mix or part."""
    logged = log.logger[["timestamp", "air_c"]].set_axis(["when", "air_c"], axis=1)
    read = _newest(logged, today, "logger")
    if read is not None:
        return read
    written = [
        table[["air_c"]].assign(when=moment(table, clock))
        for table, clock in ((log.batches, "time"), (log.parts, "start_time"))
    ]
    return _newest(pd.concat(written), today, "job log")


def _newest(table: pd.DataFrame, today: date, where: str) -> Reading | None:
    """The newest row up to the end of today; of several, the one written last."""
    read = table.dropna()
    read = read[read["when"] <= datetime.combine(today, time.max)]
    if read.empty:
        return None
    newest = read[read["when"] == read["when"].max()].iloc[-1]
    when = pd.Timestamp(newest["when"]).to_pydatetime()
    return Reading(float(newest["air_c"]), when, where)


@dataclass(frozen=True)
class LastMix:
    """The newest mix of a material, to begin the next entry from; None where not written."""

    lot: str | None
    product: str | None
    temperature_c: float | None
    catalyst_pct: float | None


def last_mix(log: Log, material: str) -> LastMix | None:
    """The newest mix of a material in the log; None where there is none."""
    own = log.batches[log.batches["material"] == material]
    own = own.assign(when=moment(own), temperature_c=mix_temperature(own, log))
    own = own.dropna(subset=["when"]).sort_values("when", kind="stable")
    if own.empty:
        return None
    newest = own.iloc[-1]

    return LastMix(
        *(_known(newest[c]) for c in ("lot", "product", "temperature_c", "catalyst_pct"))
    )


def _known(cell: Any) -> Any:
    if pd.isna(cell):
        return None
    return str(cell) if isinstance(cell, str) else float(cell)


def moment(table: pd.DataFrame, clock: str = "time") -> pd.Series:
    """Date and clock time; midday where no time was written."""
    # a log has far fewer clock times than rows: each is read once
    place, clocks = pd.factorize(table[clock].fillna("12:00"))
    hours = pd.to_timedelta(pd.Series(clocks, dtype="str") + ":00", errors="coerce")
    hours = hours.fillna(pd.Timedelta("12h"))
    return pd.to_datetime(table["date"]) + hours.take(place).set_axis(table.index)


def mix_temperature(mixes: pd.DataFrame, log: Log) -> pd.Series:
    """Temperature [°C] of each mix: resin and mould, else air beside it, the part's, the logger."""
    measured = mixes[["material_c", "mould_c"]].mean(axis=1)
    return (
        measured.fillna(mixes["air_c"])
        .fillna(_part_air(mixes, log))
        .fillna(_logger_air(mixes, log.logger))
    )


def _part_air(mixes: pd.DataFrame, log: Log) -> pd.Series:
    pairs = pd.concat(
        log.parts[[role, "air_c"]].set_axis(["batch_id", "air_c"], axis=1)
        for role in ("gelcoat_batch_id", "resin_batch_id")
    ).dropna()
    by_mix = pairs.groupby("batch_id")["air_c"].mean()
    return mixes["batch_id"].map(by_mix).astype(float)


def _logger_air(mixes: pd.DataFrame, logger: pd.DataFrame) -> pd.Series:
    """The logger within an hour of the mix; unknown where the mix has no clock time."""
    asked = moment(mixes)[mixes["time"].notna()].dropna().sort_values()
    read = logger[["timestamp", "air_c"]].dropna().sort_values("timestamp")
    if read.empty or asked.empty:
        return pd.Series(np.nan, index=mixes.index)
    met = pd.merge_asof(
        asked.astype("datetime64[ns]").rename("timestamp").to_frame(),
        read.astype({"timestamp": "datetime64[ns]"})[["timestamp", "air_c"]],
        on="timestamp", direction="nearest", tolerance=LOGGER_REACH,
    )  # fmt: skip
    return pd.Series(met["air_c"].to_numpy(), index=asked.index).reindex(mixes.index)


def _products(lots: pd.DataFrame, material: str) -> dict[str, str]:
    own = lots[lots["material"] == material].dropna(subset=["lot", "product"])
    return {str(lot): str(product) for lot, product in zip(own["lot"], own["product"], strict=True)}


def _product(mixes: pd.DataFrame, products: dict[str, str]) -> pd.Series:
    """What the mix says, else what its lot is, else the shop's only product, else empty."""
    only = _only(products)
    by_lot = [products.get(lot, only) for lot in mixes["lot"]]
    return mixes["product"].fillna(pd.Series(by_lot, index=mixes.index, dtype="str"))


def _colours(mixes: pd.DataFrame, parts: pd.DataFrame) -> pd.Series:
    """The colour of a gel-coat mix: that of the parts it went on, where they agree."""
    used = parts[["gelcoat_batch_id", "colour"]].dropna()
    by_mix = used.assign(colour=used["colour"].str.strip().str.casefold())
    agreed = by_mix.drop_duplicates().drop_duplicates("gelcoat_batch_id", keep=False)
    return mixes["batch_id"].map(agreed.set_index("gelcoat_batch_id")["colour"]).astype("str")


def _only(products: dict[str, str]) -> str:
    """The product where the shop has one only, else empty: not known."""
    names = set(products.values())
    return names.pop() if len(names) == 1 else ""


def _names(mixes: pd.DataFrame, parts: pd.DataFrame) -> pd.Series:
    """What to call each record: its mix id and part, else the row it was written in."""
    uses = pd.concat(
        parts[["part_id", role]].set_axis(["part_id", "batch_id"], axis=1)
        for role in ("gelcoat_batch_id", "resin_batch_id")
    ).dropna()
    part_of = uses.drop_duplicates("batch_id").set_index("batch_id")["part_id"]
    parts_of = mixes["batch_id"].map(part_of)
    texts = [column.astype("str").fillna("").tolist() for column in (
        mixes["batch_id"], parts_of, mixes["sheet"]
    )]  # fmt: skip
    names = [_name(*row) for row in zip(*texts, mixes["row"].tolist(), strict=True)]
    return pd.Series(names, index=mixes.index, dtype="str")


def _name(batch_id: str, part_id: str, sheet: str, row: int) -> str:
    if not batch_id:
        return f"row {row} of {sheet}" if sheet else f"row {row}"
    if not part_id or batch_id.startswith(part_id):
        return f"mix {batch_id}"
    return f"mix {batch_id} (part {part_id})"


def _impossible(mixes: pd.DataFrame) -> tuple[tuple[SetAside, ...], pd.Series]:
    """The records outside any workshop's range, with the reason, and a mask of the others."""
    checks = (
        ("temperature_c", TEMPERATURE_SPAN_C, "{:g} °C is no temperature to mix at (0 to 45 °C)"),
        ("catalyst_pct", DOSE_SPAN_PCT, "{:g} % is no catalyst dose by mass (0.5 to 5 %)"),
        ("gel_min", GEL_SPAN_MIN, "{:g} min is no gel time (1 to 300 min)"),
    )
    sane = pd.Series(True, index=mixes.index)
    found = []
    for column, (low, high), words in checks:
        wrong = sane & ~mixes[column].between(low, high)
        sane &= ~wrong
        found += [
            SetAside(name, words.format(value), 0.0)
            for name, value in zip(mixes["name"][wrong], mixes[column][wrong], strict=True)
        ]
    return tuple(found), sane


def _records(mixes: pd.DataFrame) -> GelRecords:
    return GelRecords(
        gel_min=mixes["gel_min"].to_numpy(dtype=float),
        temperature_c=mixes["temperature_c"].to_numpy(dtype=float),
        catalyst_pct=mixes["catalyst_pct"].to_numpy(dtype=float),
        humidity_pct=mixes["humidity_pct"].to_numpy(dtype=float),
        film=(mixes["gel_where"] == "film").to_numpy(dtype=bool),
        lot=tuple(mixes["lot"].fillna("")),
        product=tuple(mixes["product"].fillna("")),
        name=tuple(mixes["name"]),
        catalyst_lot=tuple(mixes["catalyst_lot"].fillna("")),
        colour=tuple(mixes["colour"].fillna("")),
    )


def _sheet_points(lots: pd.DataFrame, material: str) -> tuple[SheetPoint, ...]:
    columns = ["sheet_gel_min", "sheet_gel_c", "sheet_gel_pct"]
    given = lots[lots["material"] == material].dropna(subset=columns)
    given = given.assign(product=given["product"].fillna(""))
    spans = (GEL_SPAN_MIN, TEMPERATURE_SPAN_C, DOSE_SPAN_PCT)
    for column, span in zip(columns, spans, strict=True):
        given = given[given[column].between(*span)]
    distinct = given[["product", *columns]].drop_duplicates()
    return tuple(SheetPoint(*row) for row in distinct.itertuples(index=False))


def _last_day(mixes: pd.DataFrame) -> date | None:
    days = mixes["when"].dropna()
    return None if days.empty else pd.Timestamp(days.max()).date()
