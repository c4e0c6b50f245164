"""Weighing causes against each other: noisy-OR, weight of evidence, fair shares of credit.

States of n yes/no causes are numbered by bits: bit i of the state number is cause i.

Leak convention: a *link strength* is the chance that a cause brings the defect by itself, all
else shut off; the *leak* is the chance of a defect with no listed cause. A strength asked for
with the leak running must go through `link_strength` first, or the leak is counted twice.
"""

from __future__ import annotations

from math import factorial, log10
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

MAX_CAUSES = 16
MAX_PLAYERS = 12


def noisy_or(presence: ArrayLike, strengths: ArrayLike, leak: float = 0.0) -> Floats:
    """Chance of the defect when each cause acts by itself.

    Parameters
    ----------
    presence : array (..., n)
        1 where the cause is present, 0 where not; between for partly.
    strengths : array (n,)
        Link strengths [0..1].
    leak : float
        Chance of the defect with no listed cause.

    Notes
    -----
    Pearl 1988: 1 - (1 - leak) prod(1 - strength)^presence.
    """
    held = (1.0 - np.asarray(strengths, dtype=float)) ** np.asarray(presence, dtype=float)
    return 1.0 - (1.0 - leak) * held.prod(axis=-1)


def link_strength(elicited: float, leak: float) -> float:
    """Link strength from "with only this cause, and the leak, the chance is `elicited`".

    Source: Henrion 1989. 0 when the leak alone explains as much.
    """
    return max(0.0, 1.0 - (1.0 - elicited) / (1.0 - leak))


def all_states(causes: int) -> NDArray[np.int_]:
    """Presence of each cause (columns) in every state (2^n rows, numbered by bits)."""
    if causes > MAX_CAUSES:
        raise ValueError(f"{causes} causes are too many to try every state (at most {MAX_CAUSES})")
    return (np.arange(2**causes)[:, None] >> np.arange(causes)) & 1


class Posterior(NamedTuple):
    """Chance of what was seen, and of each cause given that it was seen."""

    seen: float
    causes: Floats


def posterior(priors: ArrayLike, likelihood: ArrayLike) -> Posterior:
    """Each cause's chance after the evidence, by trying every state.

    Parameters
    ----------
    priors : array (n,)
        Chance of each cause beforehand, independent of one another.
    likelihood : array (2^n,)
        Chance of what was seen in each state of `all_states(n)`.
    """
    before = np.asarray(priors, dtype=float)
    states = all_states(before.size)
    joint = np.where(states == 1, before, 1 - before).prod(axis=1) * np.asarray(likelihood)
    seen = float(joint.sum())
    if seen == 0:
        raise ValueError("what was seen is impossible in every state")
    return Posterior(seen, joint @ states / seen)


def noisy_or_posterior(priors: ArrayLike, strengths: ArrayLike, leak: float = 0.0) -> Posterior:
    """Chance of the defect, and of each cause given the defect, under noisy-OR."""
    links = np.asarray(strengths, dtype=float)
    return posterior(priors, noisy_or(all_states(links.size), links, leak))


def decibans(ratio: float) -> float:
    """Weight of evidence [db] of odds or of a likelihood ratio: 10 log10; 10 db is ten to one.

    Source: Good 1950; Jaynes 2003, chapter 4.
    """
    return 10.0 * log10(ratio)


def chance_from_decibans(db: float) -> float:
    """Probability [0..1] from odds in decibans."""
    return 1.0 / (1.0 + 10.0 ** (-db / 10.0))


def shapley_values(worth: ArrayLike) -> Floats:
    """Fair share of each player in the worth of all together.

    Parameters
    ----------
    worth : array (2^n,)
        Worth of each group of players, numbered by bits (index 0 is nobody); n at most 12.

    Notes
    -----
    Shapley 1953, exact: the mean of what a player adds over all orders of joining.
    """
    value = np.asarray(worth, dtype=float)
    n = value.size.bit_length() - 1
    if value.size != 2**n or n > MAX_PLAYERS:
        raise ValueError(f"worth must have 2^n entries, n at most {MAX_PLAYERS}")
    groups = np.arange(value.size)
    size = np.bitwise_count(groups).astype(int)
    share = np.array([factorial(s) * factorial(n - s - 1) for s in range(n)]) / factorial(n)
    shares = np.empty(n)
    for player in range(n):
        without = groups[(groups >> player) & 1 == 0]
        shares[player] = share[size[without]] @ (value[without | (1 << player)] - value[without])
    return shares
