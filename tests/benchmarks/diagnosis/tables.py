"""Figures with intervals, side by side for every method."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tests.benchmarks.diagnosis.scores import (
    MEASURES,
    Floats,
    Scored,
    calibration_error,
    mean_values,
    part_weights,
)

OURS = "laylog"


@dataclass(frozen=True)
class Measure:
    """One figure with its 95 % bootstrap interval, and the draws it comes from."""

    value: float
    low: float
    high: float
    draws: Floats

    @staticmethod
    def of(draws: Floats) -> Measure:
        """From the draws, the first of which is the figure itself."""
        told = draws[1:][~np.isnan(draws[1:])]
        low, high = np.percentile(told, [2.5, 97.5]) if told.size else (np.nan, np.nan)
        return Measure(float(draws[0]), float(low), float(high), draws)

    def to_json(self) -> dict[str, float]:
        return {"value": self.value, "low": self.low, "high": self.high}


Table = dict[str, dict[str, dict[str, Measure]]]  # method -> split -> measure


def group_table(methods: Mapping[str, Scored]) -> Table:
    """Every measure of every method over the same cases; the same parts are drawn for all."""
    table: Table = {}
    weights = part_weights(next(iter(methods.values())).cluster)
    for name, given in methods.items():
        splits = {
            "recorded": given.recorded,
            "unrecorded": ~given.recorded,
            "all": np.ones(len(given.recorded), dtype=bool),
        }
        rows = {}
        for split, some in splits.items():
            draws = mean_values(given, some, weights)
            rows[split] = {m: Measure.of(draws[:, i]) for i, m in enumerate(MEASURES)}
        first = calibration_error(given.first, given.hit, weights)
        named = calibration_error(given.said, given.true, weights[:, given.owner])
        rows["all"] |= {"ECE first": Measure.of(first), "ECE all": Measure.of(named)}
        table[name] = rows
    return table


def markdown(head: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """A table whose columns line up as they stand."""
    wide = [max(len(row[i]) for row in [head, *rows]) for i in range(len(head))]
    line = "|" + "|".join("-" * (w + 2) for w in wide) + "|"
    told = ["| " + " | ".join(c.ljust(w) for c, w in zip(row, wide, strict=True)) + " |"
            for row in [head, *rows]]  # fmt: skip
    return [told[0], line, *told[1:]]
