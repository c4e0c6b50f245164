"""Catalyst for a pot: grams, millilitres, or the unit the shop is used to, from mass %."""

from __future__ import annotations

from numpy.typing import ArrayLike

from analytics.physics.numbers import Numbers, above_zero, numbers
from analytics.units import Densities, dose_pct

CATALYST_G_ML = 1.16
"""MEKP solution [g/ml], range 1.00 to 1.20: a shop should copy its own from the safety sheet."""
RESIN_G_ML = 1.10
"""Liquid polyester [g/ml]; gel coat 1.15 to 1.3, light paste 0.7 to 0.8."""
DROP_ML = 0.05
"""One drop [ml]; real ones run from 0.03 to 0.07, so doses in drops are good to about 30 %."""

USUAL = Densities(CATALYST_G_ML, RESIN_G_ML, DROP_ML)


def catalyst_g(resin_kg: ArrayLike, pct: ArrayLike) -> Numbers:
    """Catalyst [g] for a pot of resin [kg] at a dose by mass [%]."""
    return numbers(resin_kg) * numbers(pct) * 10.0


def catalyst_ml(
    resin_kg: ArrayLike, pct: ArrayLike, catalyst_g_ml: ArrayLike = CATALYST_G_ML
) -> Numbers:
    """Catalyst [ml] for a pot of resin [kg] at a dose by mass [%]; density in g/ml."""
    return catalyst_g(resin_kg, pct) / above_zero(catalyst_g_ml)


def dose_amount(pct: ArrayLike, unit: str, densities: Densities = USUAL) -> Numbers:
    """A dose by mass [%] in one of `analytics.units.DOSES`: the reverse of `units.dose_pct`.

    Raises KeyError for a unit that is not there.
    """
    return numbers(pct) / dose_pct(1.0, unit, densities)
