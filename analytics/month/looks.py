"""Many things are looked at each month: which of them stand out beyond what luck turns up.

Looks come in families (defects, suspects, conditions, process, reporting), each with its own
share of the error budget. Within a family p-values are weighted (common defects and rises get
more of the budget: that is where a change can be seen at all) and corrected by
Benjamini-Hochberg. The shares are set so that a year of months with nothing wrong brings at most
one new false alarm on average (a signal that goes on is told as seen before); see
tests/month/test_month_promises.py and `python -m tests.benchmarks.month`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from analytics.month.answer import Signal
from analytics.stats.multiple import benjamini_hochberg

BUDGET: Mapping[str, float] = {
    "defects": 0.095,
    "suspects": 0.008,
    "conditions": 0.01,
    "process": 0.015,
    "reporting": 0.004,
}
"""Chance, per month with nothing wrong, that a family shows anything."""

STRONG, CLEAR = 1e-3, 1e-2


@dataclass(frozen=True)
class Look:
    """One thing looked at: chance that luck shows as much, its weight, how to put it in words.

    `make` is None where there is nothing to tell; the look still counts as one of the many.
    """

    p_value: float = 1.0
    make: Callable[[], Signal] | None = None
    weight: float = 1.0


def standing_out(looks: Sequence[Look], budget: float) -> list[Signal]:
    """Signals of one family whose corrected p-value is within the budget, clearest first."""
    if not looks:
        return []
    weights = np.array([look.weight for look in looks])
    p_values = np.array([look.p_value for look in looks])
    weighted = np.minimum(p_values * weights.mean() / weights, 1.0)
    q_values = benjamini_hochberg(weighted)
    signals = []
    for at in np.argsort(weighted, kind="stable"):
        make = looks[at].make
        if q_values[at] <= budget and make is not None:
            words = strength_words(float(weighted[at]) * len(looks))
            signals.append(
                replace(
                    make(), p_value=looks[at].p_value, q_value=float(q_values[at]), strength=words
                )
            )
    return signals


def strength_words(by_luck: float) -> str:
    """Strength for people; `by_luck` is how often luck alone shows as much per month reviewed."""
    word = "strong" if by_luck <= STRONG else "clear" if by_luck <= CLEAR else "weak"
    months = 1.0 / max(by_luck, 1e-9)
    if months > 10_000:
        return f"{word}: luck alone would show as much in less than 1 month in 10,000"
    rounded = float(f"{months:.1g}") if months >= 10 else round(months)
    return f"{word}: luck alone would show as much in about 1 month in {rounded:,.0f}"
