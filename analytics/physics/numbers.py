"""What goes into and comes out of every formula here: one number, or an array of them."""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

# Any, because numpy's types cannot say "the same shape as the argument".
Numbers: TypeAlias = Any

ZERO_C_IN_K = 273.15
GAS_CONSTANT_KJ = 8.314462618e-3
"""Molar gas constant [kJ/(mol K)], exact since the 2019 SI."""


def numbers(values: ArrayLike) -> Numbers:
    """The values as floats."""
    return np.asarray(values, dtype=float)


def above_zero(values: ArrayLike) -> Numbers:
    """The values as floats, NaN where not above 0."""
    given = numbers(values)
    return np.where(given > 0, given, np.nan)[()]


def cold_term(temperature_c: ArrayLike) -> Numbers:
    """(1/R)(1/T - 1/293.15 K) [mol/kJ]: 0 at 20 °C, above 0 when colder.

    Times an activation energy [kJ/mol] it is how much ln(time) grows from 20 °C to this
    temperature [°C]. Taking 20 °C away first keeps the digits that 1/T alone would lose.
    """
    kelvin = above_zero(numbers(temperature_c) + ZERO_C_IN_K)
    reference = 20.0 + ZERO_C_IN_K
    return (reference - kelvin) / (GAS_CONSTANT_KJ * kelvin * reference)
