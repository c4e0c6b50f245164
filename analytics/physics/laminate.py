"""Laminate arithmetic: thickness, resin and gel coat from what was weighed."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from analytics.physics.numbers import Numbers, above_zero, numbers

GLASS_G_ML = 2.56
RESIN_G_ML = 1.20
"""Densities of E-glass and cured polyester [g/ml] that ISO 12215-5 takes."""


def thickness_mm(
    glass_kg_m2: ArrayLike,
    glass_content_pct: ArrayLike,
    glass_g_ml: float = GLASS_G_ML,
    resin_g_ml: float = RESIN_G_ML,
) -> Numbers:
    """Laminate thickness [mm] from the dry glass laid and the glass content.

    Parameters
    ----------
    glass_kg_m2 : float or array
        Dry glass, all plies [kg/m2].
    glass_content_pct : float or array
        Glass by mass [%], above 0 up to 100; chopped mat by hand 25 to 38.
    glass_g_ml, resin_g_ml : float
        Densities [g/ml] of glass and cured resin.

    Notes
    -----
    ISO 12215-5 annex, formula from memory: t = m / 3.072 x (2.56 / psi - 1.36). It is the rule
    of mixtures for these two densities without voids, here for any two.
    """
    psi = _share(glass_content_pct)
    per_kg = (glass_g_ml / psi - (glass_g_ml - resin_g_ml)) / (glass_g_ml * resin_g_ml)
    return numbers(glass_kg_m2) * per_kg


def resin_kg_for(glass_kg: ArrayLike, glass_content_pct: ArrayLike) -> Numbers:
    """Resin [kg, or kg/m2] that brings this glass [same unit] to the glass content [mass %].

    What stays in bucket and roller is not in it: 10 to 15 % more is ordered in practice.
    """
    psi = _share(glass_content_pct)
    return numbers(glass_kg) * (1 - psi) / psi


def glass_content_pct(glass_kg: ArrayLike, resin_kg: ArrayLike) -> Numbers:
    """Glass content by mass [%] from the glass and the resin weighed [kg each], gel coat left out.

    NaN unless both are above 0: a blank or zero weight means it was not weighed.
    """
    glass, resin = above_zero(glass_kg), above_zero(resin_kg)
    return 100.0 * glass / (glass + resin)


def resin_to_glass(glass_kg: ArrayLike, resin_kg: ArrayLike) -> Numbers:
    """Kilograms of resin to one kilogram of glass; 2.33 is a glass content of 30 %."""
    return above_zero(resin_kg) / above_zero(glass_kg)


def gelcoat_kg_m2(wet_mm: ArrayLike, density_g_ml: float = 1.2) -> Numbers:
    """Gel coat on the mould [kg/m2] from wet film thickness [mm] and density [g/ml]."""
    return numbers(wet_mm) * density_g_ml


def _share(glass_content_pct: ArrayLike) -> Numbers:
    given = numbers(glass_content_pct)
    return np.where((given > 0) & (given <= 100), given, np.nan)[()] / 100.0
