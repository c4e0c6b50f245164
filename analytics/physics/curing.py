"""Waiting times made comparable: hours as if at 20 °C, film drying as if at 20 °C and 50 %."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from analytics.physics.air import vapour_pressure_deficit_hpa
from analytics.physics.numbers import Numbers, cold_term, numbers

FILM_REFERENCE_C = 20.0
FILM_REFERENCE_PCT = 50.0
FILM_SPEED_LIMITS = (0.1, 3.0)
"""Slowest and fastest drying believed, times the reference: damp air never stops it quite, and
in hot dry air the water has to come up through the film first."""


def hours_at_20c(hours: ArrayLike, temperature_c: ArrayLike, energy_kj_mol: ArrayLike) -> Numbers:
    """Hours at 20 °C that cure as far as these hours at another temperature.

    Parameters
    ----------
    hours : float or array
        Hours waited. For a changing temperature give the steps and add up the result.
    temperature_c : float or array
        Mean temperature over those hours [°C], trusted from 5 to 40.
    energy_kj_mol : float or array
        Activation energy [kJ/mol].

    Notes
    -----
    Arrhenius rate ratio, hours x exp(-(E/R)(1/T - 1/293.15 K)): standard kinetics. A cure that
    stops because the resin has gone glassy is not in it, so cold waits are flattered.
    """
    return numbers(hours) * np.exp(-numbers(energy_kj_mol) * cold_term(temperature_c))


def film_min_at_reference(
    drying_min: ArrayLike, air_c: ArrayLike, humidity_pct: ArrayLike
) -> Numbers:
    """Minutes at 20 °C and 50 % humidity that dry a water-based film (PVA) as far as these did.

    Parameters
    ----------
    drying_min : float or array
        Minutes the film was left to dry.
    air_c, humidity_pct : float or array
        Air temperature [°C] and relative humidity [%] meanwhile.

    Notes
    -----
    Drying speed taken as proportional to the vapour pressure deficit, held within 0.1 and 3
    times the reference speed: simple physics, no published source. Draught is not in it.
    """
    reference = vapour_pressure_deficit_hpa(FILM_REFERENCE_C, FILM_REFERENCE_PCT)
    speed = vapour_pressure_deficit_hpa(air_c, humidity_pct) / reference
    return numbers(drying_min) * np.clip(speed, *FILM_SPEED_LIMITS)
