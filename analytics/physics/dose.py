"""Catalyst doses as shops write them, turned into mass % and back into grams and ml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from numpy.typing import ArrayLike

from analytics.errors import QuestionError
from analytics.physics.numbers import Numbers, above_zero, numbers

CATALYST_G_ML = 1.16
"""MEKP solution [g/ml], range 1.00 to 1.20: a shop should copy its own from the safety sheet."""
RESIN_G_ML = 1.10
"""Liquid polyester [g/ml]; gel coat 1.15 to 1.3, light paste 0.7 to 0.8."""
DROP_ML = 0.05
"""One drop [ml]; real ones run from 0.03 to 0.07, so doses in drops are good to about 30 %."""

# Exact by definition: pound, US and imperial gallon (NIST SP 811, appendix B).
_POUND_G = 453.59237
_US_GALLON_ML = 3785.411784
_US_FLUID_OUNCE_ML = _US_GALLON_ML / 128
_IMPERIAL_GALLON_ML = 4546.09


@dataclass(frozen=True)
class DoseUnit:
    """So much catalyst [g, ml or drop] in so much resin [g or ml] is one of this unit."""

    catalyst: float
    catalyst_in: Literal["g", "ml", "drop"]
    resin: float
    resin_in: Literal["g", "ml"]


DOSE_UNITS: Mapping[str, DoseUnit] = MappingProxyType(
    {
        "%": DoseUnit(1, "g", 100, "g"),
        "g/kg": DoseUnit(1, "g", 1000, "g"),
        "ml/kg": DoseUnit(1, "ml", 1000, "g"),
        "cc/lb": DoseUnit(1, "ml", _POUND_G, "g"),
        "volume %": DoseUnit(1, "ml", 100, "ml"),
        "cc/US qt": DoseUnit(1, "ml", _US_GALLON_ML / 4, "ml"),
        "cc/US gal": DoseUnit(1, "ml", _US_GALLON_ML, "ml"),
        "cc/imp gal": DoseUnit(1, "ml", _IMPERIAL_GALLON_ML, "ml"),
        "fl oz/US gal": DoseUnit(_US_FLUID_OUNCE_ML, "ml", _US_GALLON_ML, "ml"),
        "drops/US fl oz": DoseUnit(1, "drop", _US_FLUID_OUNCE_ML, "ml"),
        "drops/100 g": DoseUnit(1, "drop", 100, "g"),
    }
)


def catalyst_pct(
    amount: ArrayLike,
    unit: str,
    catalyst_g_ml: ArrayLike = CATALYST_G_ML,
    resin_g_ml: ArrayLike = RESIN_G_ML,
    drop_ml: ArrayLike = DROP_ML,
) -> Numbers:
    """Catalyst by mass [%] from a dose in one of `DOSE_UNITS`.

    Parameters
    ----------
    amount : float or array
        The dose in that unit.
    unit : str
        A key of `DOSE_UNITS`.
    catalyst_g_ml, resin_g_ml : float or array
        Densities [g/ml] of catalyst solution and liquid resin.
    drop_ml : float or array
        Size of a drop [ml].

    Raises
    ------
    QuestionError
        The unit is not known.
    """
    return numbers(amount) * _pct_of_one(unit, catalyst_g_ml, resin_g_ml, drop_ml)


def dose_amount(
    pct: ArrayLike,
    unit: str,
    catalyst_g_ml: ArrayLike = CATALYST_G_ML,
    resin_g_ml: ArrayLike = RESIN_G_ML,
    drop_ml: ArrayLike = DROP_ML,
) -> Numbers:
    """The dose in one of `DOSE_UNITS` from catalyst by mass [%]; the reverse of `catalyst_pct`."""
    return numbers(pct) / _pct_of_one(unit, catalyst_g_ml, resin_g_ml, drop_ml)


def catalyst_g(resin_kg: ArrayLike, pct: ArrayLike) -> Numbers:
    """Catalyst [g] for a pot of resin [kg] at a dose by mass [%]."""
    return numbers(resin_kg) * numbers(pct) * 10.0


def catalyst_ml(
    resin_kg: ArrayLike, pct: ArrayLike, catalyst_g_ml: ArrayLike = CATALYST_G_ML
) -> Numbers:
    """Catalyst [ml] for a pot of resin [kg] at a dose by mass [%]; density in g/ml."""
    return catalyst_g(resin_kg, pct) / above_zero(catalyst_g_ml)


def _pct_of_one(
    unit: str, catalyst_g_ml: ArrayLike, resin_g_ml: ArrayLike, drop_ml: ArrayLike
) -> Numbers:
    if unit not in DOSE_UNITS:
        raise QuestionError(f'unknown dose unit "{unit}". Known: {", ".join(DOSE_UNITS)}')
    one = DOSE_UNITS[unit]
    catalyst = above_zero(catalyst_g_ml)
    grams = {"g": 1.0, "ml": catalyst, "drop": catalyst * above_zero(drop_ml)}[one.catalyst_in]
    resin = {"g": 1.0, "ml": above_zero(resin_g_ml)}[one.resin_in]
    return 100.0 * one.catalyst * grams / (one.resin * resin)
