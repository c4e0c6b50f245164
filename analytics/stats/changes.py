"""When did it change? One change point in a row of counts, shares or readings.

Convention everywhere: `first_new` is the index (from 0) of the FIRST observation of the new
regime, `last_old` the one before it. Tables that give "the year of change" may mean either.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log, nan, pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Change:
    """Where a change most probably is, and how sure that is.

    `probability[i]` is the chance that observation i is the first new one, given that there is
    one change (index 0 never is). `before` and `after` are the levels either side of
    `first_new`. `log_bayes_factor` is ln(one change : no change); NaN when the prior has no
    finite weight and there is nothing to compare.
    """

    first_new: int
    before: float
    after: float
    probability: Floats
    log_bayes_factor: float

    @property
    def last_old(self) -> int:
        """Index of the last observation of the old regime."""
        return self.first_new - 1

    def interval(self, level: float = 0.95) -> tuple[int, int]:
        """Earliest and latest believable `first_new`, equal tails of the probability."""
        tail, total = (1 - level) / 2, np.cumsum(self.probability)
        return int(np.searchsorted(total, tail)), int(np.searchsorted(total, 1 - tail))


@dataclass(frozen=True)
class LevelChange(Change):
    """A change of level with the residual sums of squares and BIC without and with it."""

    rss_without: float
    rss_with: float
    bic_without: float
    bic_with: float


def rate_change(
    counts: ArrayLike, exposure: ArrayLike | None = None, shape: float = 1.0, rate: float = 1.0
) -> Change:
    """One change in a Poisson rate; every place equally likely beforehand.

    Parameters
    ----------
    counts : array (n,)
        Events per period, in order of time; two periods or more.
    exposure : array (n,), optional
        Parts (or m2, or days) per period; 1 each by default.
    shape, rate : float
        Gamma prior of both rates; with `rate` 0 there is no Bayes factor (NaN).

    Notes
    -----
    Conjugate model of Raftery & Akman 1986, Biometrika 73:85, in discrete time.
    """
    from scipy.special import gammaln

    events = _row(counts)
    time = np.ones_like(events) if exposure is None else _row(exposure)
    scale = shape * log(rate) - float(gammaln(shape)) if rate > 0 else nan

    def evidence(seen: Floats, span: Floats) -> Floats:
        return gammaln(shape + seen) - (shape + seen) * np.log(rate + span)

    old, new, every = _sides(events, time)
    one = evidence(*old) + evidence(*new)
    levels = [(shape + seen) / (rate + span) for seen, span in (old, new)]
    return _change(one, levels, log_no_change=float(evidence(*every)) - scale)


def share_change(
    events: ArrayLike, jobs: ArrayLike, prior_events: float = 0.5, prior_good: float = 0.5
) -> Change:
    """One change in a share (bad of all jobs); every place equally likely beforehand.

    Parameters
    ----------
    events, jobs : array (n,)
        Events and jobs per period in order of time, or 0/1 and 1 for single jobs; n at least 2.
    prior_events, prior_good : float
        Beta prior of both shares, above 0.
    """
    from scipy.special import betaln

    seen = _row(events)
    good = _row(jobs) - seen
    scale = float(betaln(prior_events, prior_good))

    def evidence(bad: Floats, fine: Floats) -> Floats:
        return betaln(prior_events + bad, prior_good + fine) - scale

    old, new, every = _sides(seen, good)
    one = evidence(*old) + evidence(*new)
    levels = [
        (prior_events + bad) / (prior_events + prior_good + bad + fine) for bad, fine in (old, new)
    ]
    return _change(one, levels, log_no_change=float(evidence(*every)))


def level_change(values: ArrayLike) -> LevelChange:
    """One change in the mean of readings with constant spread, by least squares.

    Parameters
    ----------
    values : array (n,)
        Readings in order of time, no NaN; three or more, not all the same.

    Notes
    -----
    BIC counts two parameters without and four with the change (Bai & Perron 2003).
    `probability` is the posterior under flat priors for both means and ln(spread);
    `log_bayes_factor` is half the drop in BIC, an approximation.
    """
    points = _row(values)
    n = points.size
    (old, k), (new, rest), (total, _) = _sides(points, np.ones(n))
    squares = float(((points - total / n) ** 2).sum())
    if squares == 0:
        raise ValueError("all readings are the same: there is no change to look for")
    # The split takes the spread between the two means out of the sum of squares.
    rss = np.maximum(squares - k * rest / n * (old / k - new / rest) ** 2, 1e-12 * squares)
    chance = _chances(-0.5 * np.log(k * rest) - 0.5 * (n - 2) * np.log(rss))
    best = int(np.argmin(rss))
    bics = [
        n * (log(2 * pi) + 1 + log(r / n)) + parameters * log(n)
        for r, parameters in ((squares, 2), (float(rss[best]), 4))
    ]
    return LevelChange(
        first_new=best + 1,
        before=float(old[best] / k[best]),
        after=float(new[best] / rest[best]),
        probability=np.concatenate([[0.0], chance]),
        log_bayes_factor=(bics[0] - bics[1]) / 2,
        rss_without=squares,
        rss_with=float(rss[best]),
        bic_without=bics[0],
        bic_with=bics[1],
    )


def _row(values: ArrayLike) -> Floats:
    row = np.asarray(values, dtype=float)
    if row.ndim != 1 or row.size < 2 or not np.isfinite(row).all():
        raise ValueError("a change needs two or more known observations in one row")
    return row


Pair = tuple[Floats, Floats]


def _sides(one: Floats, other: Floats) -> tuple[Pair, Pair, Pair]:
    """Sums of both rows before and from each possible first new index, and over everything."""
    old = (np.cumsum(one)[:-1], np.cumsum(other)[:-1])
    every = (one.sum(), other.sum())
    return old, (every[0] - old[0], every[1] - old[1]), every


def _chances(log_evidence: Floats) -> Floats:
    weights = np.exp(log_evidence - log_evidence.max())
    return weights / weights.sum()


def _change(log_evidence: Floats, levels: list[Floats], log_no_change: float) -> Change:
    chance = _chances(log_evidence)
    best = int(np.argmax(chance))
    peak = float(log_evidence.max())
    mean_evidence = peak + log(float(np.exp(log_evidence - peak).mean()))
    return Change(
        first_new=best + 1,
        before=float(levels[0][best]),
        after=float(levels[1][best]),
        probability=np.concatenate([[0.0], chance]),
        log_bayes_factor=mean_evidence - log_no_change,
    )
