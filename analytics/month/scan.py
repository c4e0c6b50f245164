"""Has a rate changed, and since when? An exact scan over many possible start days.

Counts of one thing in spells of time, oldest first. The last spell, the last two, the last three
... are each held against all that went before. Given the total over all spells, the chance of
every count is known exactly, so the chance that luck alone makes *any* of those windows stand out
this much is known exactly too (a boundary-crossing sum over the spells, below). That corrects for
having tried every start day, for few jobs and for a base as uncertain as the log is short.

Takes plain numbers; knows nothing of parts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import betainc, betaln, gammaln, xlog1py, xlogy

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

TIE = 1.0 + 1e-9
"""Windows as unlikely as the worst one, but for rounding, count as being as unlikely."""
MANY_FOUND = 800
"""From so many found on, the sum over spells takes long and a bound tells nearly as much."""
QUIET_Z = 1.0
"""Below this many standard errors in its worst window a scan is not worked out: p is 1."""


@dataclass(frozen=True)
class Scan:
    """Chance [0..1] that luck alone shows a rise (fall) this clear, and the window it is in.

    `rise_window` and `fall_window` are how many of the last spells the clearest window holds.
    """

    rise_p: float
    fall_p: float
    rise_window: int
    fall_window: int


def scan(made: Ints, found: Ints, chance: Floats, weights: Floats, spread: float = 0.0) -> Scan:
    """Chance that luck alone makes the last spells stand out so much from those before.

    Parts
    -----
    made, found : parts looked at and parts with it, per spell, oldest first.
    chance : expected chance [0..1] per part in each spell; only ratios between spells matter much.
    weights : one per window (last spell, last two ...): how much of the error budget it gets.
    spread : extra variance of a spell's rate (intraclass correlation), 0 for plain binomial.

    Notes
    -----
    Conditioning on the total is Fisher's device for two groups; the sum over windows is the exact
    distribution of a Markov chain with absorbing boundary. Checked in tests by simulation and, for
    one window, against Fisher's exact test.
    """
    rise, fall = _worst_z(made, found, chance, len(weights))
    if max(rise, fall) < QUIET_Z or found.sum() == 0:
        return Scan(1.0, 1.0, 1, 1)
    level = chance * (found.sum() / (made * chance).sum())
    if found.sum() >= MANY_FOUND:
        return _bounded(made, found, level, weights, spread)
    chains = _Chains(made, int(found.sum()), level, len(weights), spread)
    recent = np.cumsum(found[::-1])[: len(weights)]
    rise_p, rise_window = chains.crossing(recent, weights, up=True) if rise >= QUIET_Z else (1.0, 1)
    fall_p, fall_window = (
        chains.crossing(recent, weights, up=False) if fall >= QUIET_Z else (1.0, 1)
    )
    return Scan(rise_p, fall_p, rise_window, fall_window)


def _worst_z(made: Ints, found: Ints, chance: Floats, windows: int) -> tuple[float, float]:
    """Largest rise and largest fall of any window, in rough standard errors."""
    expected = made * chance
    total = expected.sum()
    if total <= 0 or found.sum() == 0:
        return 0.0, 0.0
    share = np.cumsum(expected[::-1])[:windows] / total
    recent = np.cumsum(found[::-1])[:windows]
    error = np.sqrt(np.maximum(found.sum() * share * (1.0 - share), 1e-9))
    z = (recent - found.sum() * share) / error
    return float(z.max()), float(-z.min())


def _bounded(made: Ints, found: Ints, level: Floats, weights: Floats, spread: float) -> Scan:
    """Never below the true chances: what each window alone has, added up over the windows.

    Given the total, the count in a window is taken as binomial: a little wider than it is.
    Extra spread between spells divides the counts by as much as it multiplies their variance.
    """
    windows, total = len(weights), float(found.sum())
    expected = made * level
    wider = expected * (1.0 - level) * (1.0 + np.maximum(made - 1, 0) * spread)
    alike = min(1.0, float((expected * (1.0 - level)).sum() / wider.sum()))
    share = np.clip(np.cumsum(expected[::-1])[:windows] / expected.sum(), 1e-12, 1.0 - 1e-12)
    recent = np.cumsum(found[::-1])[:windows] * alike
    rest = total * alike - recent
    more = betainc(np.maximum(recent, 1e-9), rest + 1.0, share)
    fewer = betainc(np.maximum(rest, 1e-9), recent + 1.0, 1.0 - share)
    chances = []
    for tail in (more, fewer):
        score = tail / weights
        chances += [float(min(1.0, score.min() * weights.sum())), int(score.argmin()) + 1]
    return Scan(chances[0], chances[2], int(chances[1]), int(chances[3]))


class _Chains:
    """Exact distributions of the counts in the last spells, given the total over all spells."""

    def __init__(self, made: Ints, total: int, chance: Floats, windows: int, spread: float) -> None:
        self.total = total
        self.windows = windows
        self.spells = _spell_chances(made, chance, total, spread)
        self.before = self._chances_before()
        self.tails = self._tails()

    def _chances_before(self) -> list[Floats]:
        """Chances of each count in the spells before the last one, before the last two ..."""
        sums = [np.ones(1)]
        for spell in self.spells:
            sums.append(self._add(sums[-1], spell))
        return [sums[len(self.spells) - window] for window in range(self.windows + 1)]

    def _add(self, first: Floats, second: Floats) -> Floats:
        return np.convolve(first, second)[: self.total + 1]

    def _given_total(self, recent: Floats, window: int) -> Floats:
        """Joint weight of each count in the window with the rest of the total before it."""
        before = self.before[window]
        rest = self.total - np.arange(len(recent))
        fits = rest < len(before)
        return np.where(fits, recent * before[np.where(fits, rest, 0)], 0.0)

    def _tails(self) -> list[tuple[Floats, Floats]]:
        """Per window: chance of this count or more, and of this count or fewer."""
        recent, tails = np.ones(1), []
        for window in range(1, self.windows + 1):
            recent = self._add(recent, self.spells[-window])
            joint = self._given_total(recent, window)
            joint = joint / joint.sum()
            tails.append((joint[::-1].cumsum()[::-1], joint.cumsum()))
        return tails

    def crossing(self, recent: Ints, weights: Floats, *, up: bool) -> tuple[float, int]:
        """Chance that any window is as unlikely as the worst seen, and which window that was."""
        side = 0 if up else 1
        tails = [pair[side] for pair in self.tails]
        seen = np.array(
            [tail[min(count, len(tail) - 1)] for tail, count in zip(tails, recent, strict=True)]
        )
        score = seen / weights
        limits = score.min() * weights * TIE
        alive = np.ones(1)
        for window, (tail, limit) in enumerate(zip(tails, limits, strict=True), start=1):
            alive = self._add(alive, self.spells[-window])
            alive = np.where(tail[: len(alive)] <= limit, 0.0, alive)
        quiet = self._given_total(alive, self.windows).sum() / self.before[0][self.total]
        worst = int(score.argmin())
        # 1 - quiet cannot be trusted below 1e-15; the worst window alone is never above the truth.
        return float(min(1.0, max(1.0 - quiet, seen[worst]))), worst + 1


def _spell_chances(made: Ints, chance: Floats, total: int, spread: float) -> list[Floats]:
    """Chance of 0, 1, 2 ... found in each spell: binomial, or beta-binomial where spread > 0."""
    centre = made * chance
    wide = np.sqrt(centre * (1.0 + np.maximum(made - 1, 0) * spread))
    most = np.minimum(np.minimum(made, total), np.ceil(centre + 12.0 * wide + 30.0)).astype(int)
    counts = np.arange(int(most.max(initial=0)) + 1)[:, None]
    n, p = made[None, :].astype(float), np.clip(chance, 1e-9, 1.0 - 1e-9)[None, :]
    inside = counts <= n
    x = np.where(inside, counts, 0.0)
    log_ways = gammaln(n + 1.0) - gammaln(x + 1.0) - gammaln(n - x + 1.0)
    if spread > 0.0:
        a, b = p * (1.0 / spread - 1.0), (1.0 - p) * (1.0 / spread - 1.0)
        log_chance = log_ways + betaln(x + a, n - x + b) - betaln(a, b)
    else:
        log_chance = log_ways + xlogy(x, p) + xlog1py(n - x, -p)
    table = np.where(inside, np.exp(log_chance), 0.0)
    return [table[: top + 1, spell] for spell, top in enumerate(most)]
