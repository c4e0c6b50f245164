"""Process figures drifting: dose, film, waits, plies ... judged on their half-month medians.

Parts of one day share a person, a pot and a mood, so parts are not counted as independent: the
unit is the median of half a month, after taking out what the mould and the air explain. The
last one, two, four ... of them are held against those before with a t-test whose spread is the
wider of what the moving ranges say and what the medians' own spread says.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import stdtr

from analytics.days import day_words
from analytics.month.answer import Signal
from analytics.month.changed import ids
from analytics.month.looks import Look
from analytics.month.results import Bools, Ints, Results
from analytics.month.spells import EPOCH, MOST_HISTORY_SPELLS
from analytics.month.words import field_words, percent, upper_first
from analytics.stats.changes import level_change
from analytics.stats.control import individuals

Floats = NDArray[np.float64]

FIGURES = (
    "gelcoat_catalyst_pct", "resin_catalyst_pct", "gelcoat_wet_mm", "film_spread",
    "backup_hours", "wax_coats", "wax_wait_min", "wax_final_wait_min", "pva_used", "pva_dry_min",
    "pulls_since_renewal", "first_ply_g_m2", "plies_in_session", "session_mm", "laying_over_gel",
    "resin_to_glass", "demould_hours", "trim_hours", "waxed_topcoat", "gelcoat_gel_ratio",
    "resin_gel_ratio", "gelcoat_mix_min", "gelcoat_rest_min", "resin_mix_min", "resin_rest_min",
)  # fmt: skip
WINDOWS = (1, 2, 4, 6, 12, 24)
LEAST_PARTS = 3
LEAST_BEFORE = 8
LEAST_AIR_PAIRS = 30
LEAST_MOULD_PARTS = 8
MEDIAN_LOSS = 1.2533
"""Standard error of a median over that of a mean, for normal readings."""


@dataclass(frozen=True)
class Figure:
    """Half-month medians of one process figure, newest last, with the parts behind them.

    `value` is per part as logged, `level` what is left after mould and air; both NaN if unknown.
    `back` counts the half months back.
    """

    field: str
    value: Floats
    level: Floats
    medians: Floats
    noise: Floats
    two_valued: bool
    back: tuple[int, ...] = ()


def process_looks(results: Results) -> list[Look]:
    """A look at each process figure the log has enough half months of."""
    looks = []
    for field in FIGURES:
        if field in results.jobs:
            figure = process_figure(results, field)
            if figure is not None:
                looks.append(_look(results, figure))
    return looks


def process_figure(results: Results, field: str) -> Figure | None:
    """One figure by half months; None where too few parts have it, or none lately."""
    value = results.figure(field)
    value = np.where(np.isfinite(value), value, np.nan)
    near = results.spells_back < MOST_HISTORY_SPELLS
    if not np.isfinite(value).any():
        return None
    earlier = ~results.this_month & near
    if np.isfinite(value[earlier]).sum() < LEAST_PARTS * LEAST_BEFORE:
        return None
    level = _without_air(_without_mould(value, results, earlier), results, earlier)
    two_valued = results.jobs[field].dtype == "boolean"
    spells = _by_spell(level, np.where(near, results.spells_back, -1))
    if not spells or spells[-1][0] > 1:
        return None
    spread = np.sqrt(np.average([v.var() for _, v in spells], weights=[v.size for _, v in spells]))
    return Figure(
        field,
        value,
        level,
        medians=np.array([v.mean() if two_valued else np.median(v) for _, v in spells]),
        noise=np.array([spread * MEDIAN_LOSS / np.sqrt(v.size) for _, v in spells]),
        two_valued=two_valued,
        back=tuple(at for at, _ in spells),
    )


def _by_spell(level: Floats, back: Ints) -> list[tuple[int, Floats]]:
    """(half months back, known levels) of each half month with enough of them, oldest first."""
    told = np.isfinite(level) & (back >= 0)
    # The parts stand in order of their dates, so those of one half month stand together.
    sorted_back, sorted_level = back[told], level[told]
    edges = np.flatnonzero(np.diff(sorted_back)) + 1
    groups = np.split(sorted_level, edges)
    names = sorted_back[np.concatenate([[0], edges])] if sorted_back.size else []
    return [(int(b), v) for b, v in zip(names, groups, strict=False) if v.size >= LEAST_PARTS]


def _without_mould(value: Floats, results: Results, earlier: Bools) -> Floats:
    """Values less what their mould usually has over the shop's median."""
    told = earlier & np.isfinite(value)
    moulds = results.users("mould")
    codes = moulds.codes[0]
    own = pd.Series(value[told]).groupby(codes[told])
    usual = own.median()[own.size() >= LEAST_MOULD_PARTS]
    offset = np.zeros(len(moulds.names) + 1)
    kept = usual.index.to_numpy() >= 0
    offset[usual.index.to_numpy()[kept]] = usual.to_numpy()[kept] - np.median(value[told])
    level: Floats = value - offset[codes]
    return level


def _without_air(value: Floats, results: Results, earlier: Bools) -> Floats:
    """Values less a straight line on air temperature: a dose that follows it is no drift."""
    air = results.figure("air_c")
    both = earlier & np.isfinite(value) & np.isfinite(air)
    if both.sum() < LEAST_AIR_PAIRS or np.ptp(air[both]) == 0.0:
        return value
    warmth = air - air[both].mean()
    slope = float((warmth[both] * value[both]).sum() / (warmth[both] ** 2).sum())
    return value - slope * np.where(np.isfinite(air), warmth, 0.0)


def _look(results: Results, figure: Figure) -> Look:
    tried = {
        window: _shift_p(figure, window)
        for window in WINDOWS
        if len(figure.medians) - window >= max(LEAST_BEFORE, window)
    }
    if not tried:
        return Look()
    window = min(tried, key=lambda each: tried[each])
    return Look(min(1.0, tried[window] * len(tried)), lambda: _signal(results, figure))


def _shift_p(figure: Figure, window: int) -> float:
    """Two-sided P that the last `window` medians come from the same level as those before."""
    before, after = figure.medians[:-window], figure.medians[-window:]
    swing = float(individuals(before).sigma[0])
    spread = max(swing, float(before.std(ddof=1)), float(figure.noise[-window:].mean()))
    if spread == 0.0:
        return 0.0 if after.mean() != before.mean() else 1.0
    t = (after.mean() - before.mean()) / (spread * np.sqrt(1 / len(after) + 1 / len(before)))
    return float(2.0 * stdtr(len(before) - 1, -abs(t)))


def _signal(results: Results, figure: Figure) -> Signal:
    told = np.isfinite(figure.level)
    since_day = _since(results, figure, told)
    since = EPOCH + np.timedelta64(since_day, "D").item()
    after, before = told & (results.day >= since_day), told & (results.day < since_day)
    name, unit = field_words(figure.field)
    now, then = (_level_words(figure, side, unit) for side in (after, before))
    text = (
        f"{upper_first(name)} has moved: {now} since {day_words(since)}, "
        f"before {then} ({after.sum():,} and {before.sum():,} parts)."
    )
    return Signal(
        kind="process", subject=figure.field, since=since, text=text, strength="",
        jobs=int(after.sum()), p_value=1.0, q_value=1.0,
        part_ids=ids(results.jobs["part_id"][after]),
    )  # fmt: skip


def _since(results: Results, figure: Figure, told: Bools) -> int:
    """Day of the likeliest single change of level in the last year and a half."""
    near = told & (results.months_back < 18)
    ranks = pd.Series(figure.level[near]).rank().to_numpy(dtype=float)
    if np.ptp(ranks) == 0.0:
        return int(results.day[near].min())
    return int(results.day[near][level_change(ranks).first_new])


def _level_words(figure: Figure, parts: Bools, unit: str) -> str:
    """The middle value with its unit, or the share of yes of a yes-or-no."""
    values = figure.value[parts]
    if figure.two_valued:
        return f"on {percent(float(values.mean()))} of parts"
    return f"middle {float(np.median(values)):.3g} {unit}".strip()
