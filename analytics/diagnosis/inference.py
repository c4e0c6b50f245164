"""Exact inference in a two-layer noisy-OR: which causes were at work, given all that was seen.

Causes are independent switches; each finding (a defect, a bench result, a phrase in a note) is a
noisy-OR of the causes with a leak. Findings that are absent multiply in; findings that are
present are summed over with alternating signs (Heckerman 1989, "quickscore"), so the cost grows
with 2^(findings present) but not with the number of causes.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

MOST_PRESENT = 10


@dataclass(frozen=True)
class Network:
    """K causes `active` with chances (K,), F findings with chances `link` (K, F), `leak` (F,)."""

    active: Floats
    link: Floats
    leak: Floats


@dataclass(frozen=True)
class Blame:
    """For one finding: chance (K,) that each cause was at work and brought it, and of the leak.

    `fired` and `leaked` are chances of having fired given all findings; several may fire at once,
    so they can sum to more than 1. `active` (K,) is the chance of each cause being at work.
    """

    fired: Floats
    leaked: float
    active: Floats

    def shares(self) -> tuple[Floats, float]:
        """`fired` and `leaked` brought to a sum of 1: whose doing this finding was."""
        total = float(self.fired.sum() + self.leaked)
        return self.fired / total, self.leaked / total


def blame(network: Network, present: list[int], absent: list[int], target: int) -> Blame:
    """Posterior blame for finding `target`, which must be among `present`.

    At most MOST_PRESENT present findings count (the target first), the rest are left out.
    """
    others = [f for f in present if f != target][: MOST_PRESENT - 1]
    spared = (
        np.prod(1 - network.link[:, absent], axis=1) if absent else np.ones(len(network.active))
    )
    leak_spared = float(np.prod(1 - network.leak[absent])) if absent else 1.0
    signs, quiet, leak_quiet = _subsets(network, others)
    quiet = quiet * spared
    leak_quiet = leak_quiet * leak_spared
    off, on = 1 - network.active, network.active[None, :] * quiet
    factors = off + on  # (subsets, K): each cause summed over being off or on but quiet
    whole = signs * leak_quiet * np.prod(factors, axis=1)
    silent = 1 - network.link[:, target]
    without = signs * leak_quiet * np.prod(off + on * silent, axis=1) * (1 - network.leak[target])
    evidence = float(whole.sum() - without.sum())
    rest = whole[:, None] / factors
    fired = (rest * on * network.link[:, target]).sum(axis=0)
    working = (rest * on).sum(axis=0) - (without[:, None] / (off + on * silent) * on * silent).sum(
        axis=0
    )
    safe = max(evidence, 1e-300)
    return Blame(
        fired=np.clip(fired / safe, 0, 1),
        leaked=float(np.clip(network.leak[target] * whole.sum() / safe, 0, 1)),
        active=np.clip(working / safe, 0, 1),
    )


def _subsets(network: Network, others: list[int]) -> tuple[Floats, Floats, Floats]:
    """Sign, (subsets, K) chance each active cause stays quiet, and that of the leak, per subset."""
    picks = np.array(list(product((0.0, 1.0), repeat=len(others))), dtype=np.float64)
    picks = picks.reshape(2 ** len(others), len(others))
    signs = np.where(picks.sum(axis=1) % 2, -1.0, 1.0)
    quiet = np.exp(picks @ np.log1p(-np.minimum(network.link[:, others], 1 - 1e-12)).T)
    leak_quiet = np.exp(picks @ np.log1p(-np.minimum(network.leak[others], 1 - 1e-12)))
    return signs, quiet, leak_quiet
