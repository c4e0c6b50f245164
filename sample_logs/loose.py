"""The other papers: mixes and logger as text exports, lots and moulds as a spreadsheet."""

from __future__ import annotations

from typing import Any

import pandas as pd

from analytics.physics.dose import dose_amount
from sample_logs.scribble import Page, Pen
from sample_logs.workshop import Shop

MATERIAL_WORDS = {"gelcoat": ("gel coat", "gelcoat", "Gel"), "resin": ("resin", "lam resin")}
MIX_HEADERS = (
    "Mix;Date;Time;Material;Lot;Lot age (months);Mass kg;Catalyst;Catalyst lot;Mixed with;"
    "Mix min;Stood min;Shop °C;Drum temp °C;Mould °C;RH %;Gel (min);Gel time in;By"
)
LOT_HEADERS = (
    "Lot;Material;Product;Received;Opened;Use by;Min catalyst %;Max catalyst %;"
    "Sheet gel time (min);at °C;with catalyst %;Density g/ml"
)
LOT_FIELDS = ("lot", "material", "product", "received", "opened", "expires", "sheet_low_pct",
              "sheet_high_pct", "sheet_gel_min", "sheet_gel_c", "sheet_gel_pct",
              "density_g_ml")  # fmt: skip
MOULD_HEADERS = (
    "Mould;Makes;Made;Area m2;Surface;Draft;Deep?;Tightest corner mm;Last full wax;Notes"
)
MOULD_FIELDS = ("mould_id", "product", "made", "area_m2", "surface", "draft", "deep",
                "corner_radius_mm", "last_renewal", "notes")  # fmt: skip


def mixes_csv(shop: Shop, pen: Pen) -> bytes:
    """Mixes as a semicolon file with decimal commas in Windows letters."""
    lines = ["Mixing book;kept by the scales", "", MIX_HEADERS]
    for _, mix in shop.batches.iterrows():
        line = _mix_line(mix, pen)
        lines.append(line)
        if pen.chance(0.004):
            lines.append(line)
    return ("\r\n".join(lines) + "\r\n").encode("cp1252")


def logger_csv(shop: Shop, pen: Pen) -> bytes:
    """The logger's own export: a few lines of chatter, then readings; some read twice."""
    lines = ["Shed data logger export", f"Interval min,{shop.plan.logger_every_min}", ""]
    lines.append("Date time,Temperature C,Relative humidity %")
    table = shop.logger
    again = len(table) // 3
    rows = pd.concat([table[: again + 24], table[again:]])
    for when, air, humidity in zip(
        rows["timestamp"], rows["air_c"], rows["humidity_pct"], strict=True
    ):
        lines.append(f"{when:%d/%m/%Y %H:%M},{air:.1f},{humidity:.0f}")
    for i in pen.rng.integers(5, len(lines), 12):
        lines[int(i)] = lines[int(i)].split(",")[0] + ",---,---"
    return ("\n".join(lines) + "\n").encode("utf-8-sig")


def stock_pages(shop: Shop) -> dict[str, Page]:
    """A page of lots and a page of moulds."""
    lots: Page = [["What is on the shelf"], [], [*LOT_HEADERS.split(";")]]
    lots += [[_plain(lot[f]) for f in LOT_FIELDS] for _, lot in shop.lots.iterrows()]
    moulds: Page = [[*MOULD_HEADERS.split(";")]]
    moulds += [[_plain(mould[f]) for f in MOULD_FIELDS] for _, mould in shop.moulds.iterrows()]
    return {"Lots": lots, "Moulds": moulds}


def _mix_line(mix: pd.Series[Any], pen: Pen) -> str:
    cells = [
        mix["batch_id"],
        f"{mix['date']:%d.%m.%Y}",
        _known(mix["time"], str, pen),
        pen.pick(MATERIAL_WORDS[mix["material"]]),
        _known(mix["lot"], str, pen),
        _known(mix["lot_age_months"], _comma, pen),
        _known(mix["mass_kg"], _comma, pen),
        _dose(mix["catalyst_pct"], mix["operator"], pen),
        _known(mix["catalyst_lot"], str, pen),
        _known(mix["mix_method"], str, pen),
        *(_known(mix[f], _comma, pen) for f in ("mix_min", "rest_min", "air_c", "material_c")),
        *(_known(mix[f], _comma, pen) for f in ("mould_c", "humidity_pct")),
        _known(mix["gel_min"], lambda v: f"~{v:.0f}" if pen.chance(0.04) else f"{v:.0f}", pen),
        _known(mix["gel_where"], str, pen),
        _known(mix["operator"], str, pen),
    ]
    return ";".join(cells)


def _known(value: Any, show: Any, pen: Pen) -> str:
    if pd.isna(value):
        return (pen.blank() or "").replace("–", "-")
    return str(show(value))


def _comma(value: float) -> str:
    """A number with a decimal comma, without a needless ,0."""
    return f"{value:g}".replace(".", ",")


def _dose(pct: float, who: object, pen: Pen) -> str:
    """The dose as that person writes it: by the kilo, by the beaker, or in per cent."""
    if pd.isna(pct):
        return (pen.blank() or "").replace("–", "-")
    if who == "Hob":
        return f"{_comma(round(pct * 10, 1))} g/kg"
    if who == "Tully":
        return f"{_comma(round(float(dose_amount(pct, 'ml/kg')), 1))} ml/kg"
    return f"{_comma(pct)} %" if pen.chance(0.8) else f"{_comma(pct)}%"


def _plain(value: Any) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    if pd.isna(value):
        return None
    return value.date() if isinstance(value, pd.Timestamp) else float(value)
