"""Gel time against temperature and catalyst: the law, and the same law turned round.

    ln t = ln t_ref + (E/R)(1/T - 1/293.15 K) - n ln(c / 2 %)

t_ref is the gel time [min] at 20 °C and 2 % catalyst by mass, E the activation energy [kJ/mol],
n the dose power. The Arrhenius factor is standard kinetics; ln t linear in 1/T is the usual
adjustment at fixed conversion, and the power of the dose is an empirical fit that holds inside
1.0 to 2.5 % only. All percentages are mass %.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from analytics.errors import QuestionError
from analytics.physics.numbers import (
    GAS_CONSTANT_KJ,
    ZERO_C_IN_K,
    Numbers,
    above_zero,
    cold_term,
    numbers,
)

REFERENCE_C = 20.0
REFERENCE_PCT = 2.0


def dose_term(catalyst_pct: ArrayLike) -> Numbers:
    """ln(c / 2 %): 0 at 2 % catalyst by mass; NaN for a dose not above 0."""
    return np.log(above_zero(catalyst_pct) / REFERENCE_PCT)


def gel_min(
    temperature_c: ArrayLike,
    catalyst_pct: ArrayLike,
    ref_gel_min: ArrayLike,
    energy_kj_mol: ArrayLike,
    dose_power: ArrayLike,
) -> Numbers:
    """Gel time [min] by the law above.

    Parameters
    ----------
    temperature_c : float or array
        Mean of resin and mould temperature [°C], trusted from 10 to 35.
    catalyst_pct : float or array
        Catalyst [mass %], trusted from 1.0 to 2.5.
    ref_gel_min : float or array
        Gel time at 20 °C and 2 % [min].
    energy_kj_mol : float or array
        Activation energy [kJ/mol], ordinarily 35 to 75.
    dose_power : float or array
        n in the law, ordinarily 0.3 to 1.2.
    """
    cold = numbers(energy_kj_mol) * cold_term(temperature_c)
    return above_zero(ref_gel_min) * np.exp(cold - numbers(dose_power) * dose_term(catalyst_pct))


def catalyst_pct_for(
    wanted_gel_min: ArrayLike,
    temperature_c: ArrayLike,
    ref_gel_min: ArrayLike,
    energy_kj_mol: ArrayLike,
    dose_power: ArrayLike,
) -> Numbers:
    """Catalyst [mass %] that gives the wanted gel time [min] by the law; not capped to any sheet.

    Other parameters as in `gel_min`; `dose_power` above 0.
    """
    log_ratio = np.log(above_zero(wanted_gel_min) / above_zero(ref_gel_min))
    cold = numbers(energy_kj_mol) * cold_term(temperature_c)
    return REFERENCE_PCT * np.exp((cold - log_ratio) / above_zero(dose_power))


def temperature_c_for(
    wanted_gel_min: ArrayLike,
    catalyst_pct: ArrayLike,
    ref_gel_min: ArrayLike,
    energy_kj_mol: ArrayLike,
    dose_power: ArrayLike,
) -> Numbers:
    """Temperature [°C] at which this dose gives the wanted gel time [min] by the law.

    Other parameters as in `gel_min`; `energy_kj_mol` above 0.
    """
    log_ratio = np.log(above_zero(wanted_gel_min) / above_zero(ref_gel_min))
    slowing = log_ratio + numbers(dose_power) * dose_term(catalyst_pct)
    reference_k = REFERENCE_C + ZERO_C_IN_K
    inverse_k = 1 / reference_k + GAS_CONSTANT_KJ * slowing / above_zero(energy_kj_mol)
    return 1 / inverse_k - ZERO_C_IN_K


def activation_energy_kj_mol(temperatures_c: ArrayLike, times: ArrayLike) -> float:
    """Activation energy [kJ/mol] from times at two or more temperatures, same dose.

    Parameters
    ----------
    temperatures_c : array
        Temperatures [°C], at least two different ones.
    times : array
        Gel times, any one unit, or 1 / rate constants.

    Raises
    ------
    QuestionError
        Fewer than two different temperatures with a time.

    Notes
    -----
    Least squares of ln t on (1/R)(1/T - 1/293.15 K); exact for two points.
    """
    cold = np.atleast_1d(cold_term(temperatures_c))
    log_time = np.log(np.atleast_1d(above_zero(times)))
    known = np.isfinite(cold) & np.isfinite(log_time)
    cold, log_time = cold[known], log_time[known]
    if np.unique(cold).size < 2:
        raise QuestionError("gel times at two different temperatures are needed to find the effect")
    spread = cold - cold.mean()
    return float(spread @ (log_time - log_time.mean()) / (spread @ spread))
