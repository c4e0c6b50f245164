"""Scores of given chances against the truth, with bootstrap intervals over parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.diagnosis.cases import Case

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

MEASURES = ("top-1", "top-3", "MRR", "log loss")
LOWER_IS_BETTER = frozenset({"log loss", "ECE first", "ECE all"})
SMALLEST_CHANCE = 1e-3
"""A chance below this counts as this in the log loss: no single miss decides a table."""
NAMED = 0.01
BINS = np.linspace(0, 1, 11)
DRAWS = 400
SEED = 11


@dataclass(frozen=True)
class Scored:
    """What one method made of some cases.

    values : (n, 4) of MEASURES per case; recorded : (n,) the true cause is one a log can show.
    cluster : (n,) number of the part. first, hit : (n,) chance of the cause named first, and
    whether it is a main cause. said, true, owner, visible : one per cause given more than NAMED:
    its chance, whether it is a main cause, the case, and whether a log can show that cause.
    """

    values: Floats
    recorded: Bools
    cluster: NDArray[np.intp]
    first: Floats
    hit: Bools
    said: Floats
    true: Bools
    owner: NDArray[np.intp]
    visible: Bools


def scored(chances: Floats, ids: Sequence[str], cases: Sequence[Case], visible: Bools) -> Scored:
    """Scores of chances (cases, causes); `visible` (causes,) can show in a log."""
    place = {name: i for i, name in enumerate(ids)}
    mains = [[[place[name] for name in names] for names in case.mains] for case in cases]
    truth = np.zeros(chances.shape, dtype=bool)
    for row, sets in enumerate(mains):
        truth[row, [i for own in sets for i in own]] = True
    order = np.argsort(-chances, axis=1, kind="stable")
    rank = np.take_along_axis(truth, order, axis=1).argmax(axis=1)
    loss = [
        -float(np.mean([np.log(max(given[own].sum(), SMALLEST_CHANCE)) for own in sets]))
        for given, sets in zip(chances, mains, strict=True)
    ]
    owner, named = np.nonzero(chances > NAMED)
    parts = {part: i for i, part in enumerate(dict.fromkeys(case.part for case in cases))}
    return Scored(
        values=np.column_stack([rank == 0, rank < 3, 1 / (rank + 1), loss]),
        recorded=np.array([case.recorded for case in cases]),
        cluster=np.array([parts[case.part] for case in cases]),
        first=chances.max(axis=1),
        hit=rank == 0,
        said=chances[owner, named],
        true=truth[owner, named],
        owner=owner,
        visible=visible[named],
    )


def together(many: Sequence[Scored]) -> Scored:
    """The cases of several shops as one; parts of different shops stay apart."""
    parts = np.cumsum([0, *(s.cluster.max() + 1 for s in many)])
    rows = np.cumsum([0, *(len(s.values) for s in many)])
    return Scored(
        values=np.concatenate([s.values for s in many]),
        recorded=np.concatenate([s.recorded for s in many]),
        cluster=np.concatenate([s.cluster + at for s, at in zip(many, parts, strict=False)]),
        first=np.concatenate([s.first for s in many]),
        hit=np.concatenate([s.hit for s in many]),
        said=np.concatenate([s.said for s in many]),
        true=np.concatenate([s.true for s in many]),
        owner=np.concatenate([s.owner + at for s, at in zip(many, rows, strict=False)]),
        visible=np.concatenate([s.visible for s in many]),
    )


def part_weights(cluster: NDArray[np.intp]) -> Floats:
    """(DRAWS + 1, n) weights of the cases: 1 first, then parts drawn again with replacement."""
    parts = int(cluster.max()) + 1
    rng = np.random.default_rng(SEED)
    drawn = rng.multinomial(parts, np.full(parts, 1 / parts), size=DRAWS)
    whole = np.concatenate([np.ones((1, parts)), drawn])
    return np.asarray(whole[:, cluster], dtype=np.float64)


def mean_values(given: Scored, some: Bools, weights: Floats) -> Floats:
    """(DRAWS + 1, 4) mean of MEASURES over `some` cases, NaN where none is drawn."""
    own = weights[:, some]
    total = own.sum(axis=1, keepdims=True)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(own @ given.values[some] / total)


def calibration_error(said: Floats, true: Bools, weights: Floats) -> Floats:
    """(draws,) expected calibration error over ten equal bins (Guo et al. 2017)."""
    bins = _bins(said)
    gap = weights @ ((said - true)[:, None] * bins)
    return np.asarray(np.abs(gap).sum(axis=1) / np.maximum(weights.sum(axis=1), 1e-12))


def honest_error(said: Floats, draws: int = 100) -> float:
    """The calibration error that chances exactly right would show by luck on as many cases."""
    rng = np.random.default_rng(SEED)
    one = np.ones((1, len(said)))
    errors = [calibration_error(said, rng.random(len(said)) < said, one) for _ in range(draws)]
    return float(np.mean(errors)) if len(said) else 0.0


def calibration_table(said: Floats, true: Bools) -> list[dict[str, float]]:
    """Per bin: how many were given such a chance, the mean chance said, the share that was true."""
    bins = _bins(said)
    rows = []
    for number in np.flatnonzero(bins.any(axis=0)):
        own = bins[:, number]
        rows.append(
            {
                "from": float(BINS[number]),
                "to": float(BINS[number + 1]),
                "count": int(own.sum()),
                "said": float(said[own].mean()),
                "true": float(true[own].mean()),
            }
        )
    return rows


def _bins(said: Floats) -> Bools:
    number = np.clip(np.digitize(said, BINS) - 1, 0, len(BINS) - 2)
    return np.asarray(number[:, None] == np.arange(len(BINS) - 1))
