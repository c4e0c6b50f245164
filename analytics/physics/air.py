"""Water in the air: when a mould face gets wet, and how fast a film can dry."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from analytics.physics.numbers import Numbers, numbers

# Magnus constants over liquid water, WMO-No. 8 (Guide to Instruments), humidity chapter.
_PRESSURE_AT_0C_HPA = 6.112
_MAGNUS_A = 17.62
_MAGNUS_B_C = 243.12


def saturation_pressure_hpa(air_c: ArrayLike) -> Numbers:
    """Water vapour pressure of saturated air [hPa].

    Parameters
    ----------
    air_c : float or array
        Air temperature [°C], trusted from -45 to 60.

    Notes
    -----
    Magnus form over liquid water, constants of WMO-No. 8. Within 0.4 % of the ASHRAE formula
    from 0 to 50 °C.
    """
    air = numbers(air_c)
    return _PRESSURE_AT_0C_HPA * np.exp(_MAGNUS_A * air / (_MAGNUS_B_C + air))


def dew_point_c(air_c: ArrayLike, humidity_pct: ArrayLike) -> Numbers:
    """Dew point [°C]: the surface temperature at which this air starts to wet it.

    Parameters
    ----------
    air_c : float or array
        Air temperature [°C], trusted from -45 to 60.
    humidity_pct : float or array
        Relative humidity [%], above 0 up to 100; anything else gives NaN.

    Notes
    -----
    Magnus form over liquid water (WMO-No. 8), also below 0 °C, where the frost point of
    ice-based tables is up to 1.3 °C higher.
    """
    air = numbers(air_c)
    k = np.log(_humidity_share(humidity_pct)) + _MAGNUS_A * air / (_MAGNUS_B_C + air)
    return _MAGNUS_B_C * k / (_MAGNUS_A - k)


def dew_margin_c(surface_c: ArrayLike, air_c: ArrayLike, humidity_pct: ArrayLike) -> Numbers:
    """How far a surface is above the dew point [°C]; below 0 it is wet.

    Parameters
    ----------
    surface_c : float or array
        Temperature of the mould face [°C].
    air_c, humidity_pct : float or array
        Air temperature [°C] and relative humidity [%], see `dew_point_c`.
    """
    return numbers(surface_c) - dew_point_c(air_c, humidity_pct)


def vapour_pressure_deficit_hpa(air_c: ArrayLike, humidity_pct: ArrayLike) -> Numbers:
    """How much more vapour the air could hold [hPa]: 0 when saturated, large when warm and dry.

    Parameters
    ----------
    air_c, humidity_pct : float or array
        Air temperature [°C] and relative humidity [%], see `dew_point_c`.
    """
    return saturation_pressure_hpa(air_c) * (1.0 - _humidity_share(humidity_pct))


def _humidity_share(humidity_pct: ArrayLike) -> Numbers:
    given = numbers(humidity_pct)
    return np.where((given > 0) & (given <= 100), given, np.nan)[()] / 100.0
