"""The dose range in force: the data sheet's, kept inside a floor and a cap nobody passes alone."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from analytics.catalyst.answer import Density, DoseLimits
from analytics.errors import QuestionError
from analytics.knowledge.model import Knowledge
from analytics.physics.dose import CATALYST_G_ML

# Held here and not in the knowledge, so that no shop's own file can loosen it.
FLOOR_PCT, CAP_PCT = 1.0, 2.5
MOST_PCT = 4.0
"""Above this no sheet for MEKP is believed: the figure is likely ml/kg, g/kg or volume."""
VOLUME_ML_KG = (5.0, 50.0)
LEAST_REFERENCE = 3
"""Letters or figures in a sheet's name: a dot typed to get past the cap is none."""


@dataclass(frozen=True)
class SheetRange:
    """A dose range [mass %] typed in from a data sheet; `reference` names the sheet."""

    low_pct: float
    high_pct: float
    reference: str = ""


def dose_limits(
    lots: pd.DataFrame,
    knowledge: Knowledge,
    material: str,
    lot: str,
    product: str,
    asked: SheetRange | None,
) -> tuple[DoseLimits, tuple[str, ...]]:
    """The range in force [mass %] with its source, and warnings where a sheet's was cut back.

    A range typed in comes first, then the lot's own from the lots table, then that of the newest
    lot of the same product, then the trade's.

    Raises
    ------
    QuestionError
        The range is upside down, no mass %, or passes 1.0 to 2.5 % with no sheet reference.
    """
    if asked is not None:
        return _typed_range(asked), ()
    sheet = _lots_table_range(lots, material, lot, product)
    if sheet is not None:
        return _cut_back(sheet)
    return _trade_range(knowledge, material), ()


def _typed_range(asked: SheetRange) -> DoseLimits:
    low, high, reference = asked.low_pct, asked.high_pct, asked.reference.strip()
    if not low <= high:
        raise QuestionError(
            f"the dose range {low:g} to {high:g} % is upside down; give the lower figure first"
        )
    if low <= 0 or high > MOST_PCT:
        raise QuestionError(_no_mass_pct(low, high))
    if not reference and (low < FLOOR_PCT or high > CAP_PCT):
        raise QuestionError(
            f"a dose range of {low:g} to {high:g} % goes outside {FLOOR_PCT:g} to {CAP_PCT:g} %; "
            "that needs the supplier's data sheet: name it (product, issue, date) as the reference"
        )
    if reference and sum(letter.isalnum() for letter in reference) < LEAST_REFERENCE:
        raise QuestionError(
            f'"{reference}" names no data sheet; give its product, issue or date as the reference'
        )
    source = f"data sheet: {reference}" if reference else "given by you"
    return DoseLimits(low, high, source, sheet=bool(reference))


def as_volume(pct: float) -> str:
    """What a dose far too high for mass % would be had ml per kg been meant; empty otherwise."""
    if not VOLUME_ML_KG[0] <= pct <= VOLUME_ML_KG[1]:
        return ""
    return f" If ml per kg was meant, {pct:g} ml/kg is {pct * CATALYST_G_ML / 10.0:.2g} %."


def _no_mass_pct(low: float, high: float) -> str:
    return (
        f"{low:g} to {high:g} % is no dose range by mass: MEKP is used at 1 to 2.5 %, "
        f"never above {MOST_PCT:g} %.{as_volume(high)}"
    )


def _lots_table_range(
    lots: pd.DataFrame, material: str, lot: str, product: str
) -> DoseLimits | None:
    known = lots[lots["material"] == material].dropna(subset=["sheet_low_pct", "sheet_high_pct"])
    known = known.sort_values("received", kind="stable", na_position="first")
    own, like = known[known["lot"] == lot], known[known["product"] == product]
    chosen = own if len(own) else like
    if chosen.empty:
        return None
    last = chosen.iloc[-1]
    source = f"data sheet range of lot {last['lot']}, from the lots table"
    low, high = float(last["sheet_low_pct"]), float(last["sheet_high_pct"])
    return DoseLimits(low, high, source, sheet=True)


def _cut_back(sheet: DoseLimits) -> tuple[DoseLimits, tuple[str, ...]]:
    low, high = max(sheet.low, FLOOR_PCT), min(sheet.high, CAP_PCT)
    if low > high:
        raise QuestionError(
            f"{sheet.source}, is {sheet.low:g} to {sheet.high:g} %, which leaves nothing between "
            f"{FLOOR_PCT:g} and {CAP_PCT:g} %; check it, or give the range with its sheet reference"
        )
    if (low, high) == (sheet.low, sheet.high):
        return sheet, ()
    kept = f"{sheet.source}, kept inside {FLOOR_PCT:g} to {CAP_PCT:g} %"
    cut = DoseLimits(low, high, kept, sheet=True)
    told = (
        f"{sheet.source}, is {sheet.low:g} to {sheet.high:g} %; it was kept inside "
        f"{FLOOR_PCT:g} to {CAP_PCT:g} %. To go further, give the range with the sheet's reference."
    )
    return cut, (told[0].upper() + told[1:],)


def _trade_range(knowledge: Knowledge, material: str) -> DoseLimits:
    limit = knowledge.limits.get(f"{material}-catalyst")
    if limit is None or limit.flag_low is None or limit.flag_high is None:
        raise QuestionError(
            f"there is no dose range for {material}: enter its data sheet range "
            "in the lots table, or give one with the sheet's reference"
        )
    source = knowledge.sources[limit.source]
    whose = "" if source.kind == "shop" else "usual in the trade, "
    return DoseLimits(
        float(max(limit.flag_low, FLOOR_PCT)),
        float(min(limit.flag_high, CAP_PCT)),
        f"{whose}no data sheet entered: {source.text}",
    )


def catalyst_density(lots: pd.DataFrame, knowledge: Knowledge, given_g_ml: float | None) -> Density:
    """Density of the catalyst [g/ml]: as given, else the newest catalyst lot's, else the trade's.

    Raises
    ------
    QuestionError
        A density no MEKP solution has.
    """
    usual = knowledge.constants["peroxide-density"]
    low, high = usual.low or usual.value, usual.high or usual.value
    if given_g_ml is not None:
        if not low <= given_g_ml <= high:
            raise QuestionError(
                f"{given_g_ml:g} g/ml is no density of MEKP solution ({low:.2f} to {high:.2f}); "
                "copy it from the safety data sheet"
            )
        return Density(float(given_g_ml), "given by you")
    own = lots[(lots["material"] == "catalyst") & lots["density_g_ml"].between(low, high)]
    if own.empty:
        return Density(usual.value, "usual figure; copy your own from the safety data sheet")
    last = own.sort_values("received", kind="stable", na_position="first").iloc[-1]
    return Density(float(last["density_g_ml"]), f"catalyst lot {last['lot']}, from the lots table")
