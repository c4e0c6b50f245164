"""Which bench check to do next: the one that tells most per minute of work."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from analytics.diagnosis.answer import WHERE, NextCheck
from analytics.diagnosis.trade import Trade
from analytics.knowledge.model import BenchCheck

Floats = NDArray[np.float64]

WORTH_BITS = 0.02


def next_checks(
    trade: Trade, chances: Floats, unexplained: float, done: Mapping[str, str], count: int = 4
) -> tuple[NextCheck, ...]:
    """Bench checks not yet done, most expected information per minute first.

    Parameters
    ----------
    chances : (K,) probability of each cause; with `unexplained` they sum to 1.
    done : check id to result, left out of the offer.

    Notes
    -----
    Expected information is the mutual information [bits] between the cause and the check's
    result (Shannon 1948), with the trade's trust in a check for the chance of each result.
    """
    told = np.append(chances, unexplained)
    offers = [
        _offer(trade, check, information_bits(told, result_chances(trade, check)))
        for check in trade.knowledge.checks.values()
        if check.id not in done
    ]
    useful = [offer for offer in offers if offer.bits >= WORTH_BITS]
    return tuple(sorted(useful, key=lambda offer: -offer.worth)[:count])


def result_chances(trade: Trade, check: BenchCheck) -> Floats:
    """(K + 1, results) chance of each result under each cause, and under something unrecorded."""
    results = list(check.results)
    trust = trade.knowledge.trust
    shows = {row: c.checks[check.id] for row, c in enumerate(trade.causes) if check.id in c.checks}
    plain = np.array([trust.check_false if r in shows.values() else 1.0 for r in results])
    table = np.tile(plain / plain.sum(), (len(trade.causes) + 1, 1))
    for row, result in shows.items():
        table[row] = (1 - trust.check_hit) / max(len(results) - 1, 1)
        table[row, results.index(result)] = trust.check_hit
    return table


def places(trade: Trade, chances: Floats, done: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """Where the fault may be, as result and meaning: places that tell of likelier causes first.

    Empty where it has been said already, or the knowledge does not ask.
    """
    check = trade.knowledge.checks.get(WHERE)
    if check is None or WHERE in done:
        return ()
    told = dict.fromkeys(check.results, 0.0)
    for row, cause in enumerate(trade.causes):
        if WHERE in cause.checks:
            told[cause.checks[WHERE]] += float(chances[row])
    return tuple((result, check.results[result]) for result in sorted(told, key=lambda r: -told[r]))


def information_bits(chances: Floats, table: Floats) -> float:
    """Mutual information [bits] of a cause, chances (K,), and its result, table (K, results)."""
    joint = chances[:, None] * table
    result = joint.sum(axis=0)
    outer = chances[:, None] * result[None, :]
    some = (joint > 0) & (outer > 0)
    return float((joint[some] * np.log2(joint[some] / outer[some])).sum())


def _offer(trade: Trade, check: BenchCheck, bits: float) -> NextCheck:
    return NextCheck(
        check=check.id,
        title=check.title,
        how=check.how,
        minutes=check.minutes,
        bits=bits,
        results=tuple(check.results.items()),
        cautions=tuple(trade.knowledge.cautions[name] for name in check.cautions),
    )
