"""What may not be compared or tried, and why: the guards of the trade knowledge."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from analytics.catalyst.dose_range import CAP_PCT, FLOOR_PCT
from analytics.columns import column
from analytics.knowledge.model import Guard, Knowledge
from analytics.settling.ways import Bools, Way

DOSES = {"gelcoat_catalyst_pct": "gelcoat", "resin_catalyst_pct": "resin"}


@dataclass(frozen=True)
class Refusal:
    """Why a question is not answered, and the dangers to name with it."""

    reason: str
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class Allowed:
    """The range of a guarded field nobody goes beyond."""

    low: float
    high: float
    source: str


def refusal(
    knowledge: Knowledge,
    ways: Sequence[Way],
    words: Iterable[str] = (),
    *,
    lots: pd.DataFrame | None = None,
    trial: bool = False,
) -> Refusal | None:
    """Why these ways (and words said about them) are refused; None where nothing is against it."""
    for guard in knowledge.guards.values():
        if guard.trials_only and not trial:
            continue
        reason = _by_figures(guard, knowledge, ways, lots, trial) or _by_words(guard, ways, words)
        if reason:
            return Refusal(reason, tuple(knowledge.cautions[name] for name in guard.cautions))
    return None


def within(
    field: str, cells: pd.Series, knowledge: Knowledge, lots: pd.DataFrame | None = None
) -> Bools:
    """(n,) False where a guarded field was beyond its range: such parts are left out."""
    fine = np.ones(len(cells), dtype=bool)
    for guard in knowledge.guards.values():
        if guard.field == field and not guard.trials_only:
            allowed = _allowed(guard, knowledge, lots)
            number = cells.to_numpy(dtype=np.float64, na_value=np.nan)
            fine &= ~((number < allowed.low) | (number > allowed.high))
    return fine


def _by_figures(
    guard: Guard,
    knowledge: Knowledge,
    ways: Sequence[Way],
    lots: pd.DataFrame | None,
    trial: bool,
) -> str:
    if not guard.field:
        return ""
    allowed = _allowed(guard, knowledge, lots)
    said = column(guard.field)
    span = f"{allowed.low:g} to " if allowed.low > -np.inf else "up to "
    for way in (way for way in ways if way.field == guard.field):
        if _beyond(way, allowed):
            return (
                f"{guard.reason}. Asked: {said.name} {way.said}; allowed: "
                f"{span}{allowed.high:g} {said.unit} ({allowed.source})."
            )
        if trial and (way.other or not way.low > -np.inf or not way.high < np.inf):
            return (
                f"A trial of {said.name} needs a figure or a range with both ends for each way, "
                f'inside {span}{allowed.high:g} {said.unit}; "{way.said}" has an open end.'
            )
    return ""


def _beyond(way: Way, allowed: Allowed) -> bool:
    """True where a way names a figure beyond the range, or means nothing but what is beyond."""
    past_top = way.low >= allowed.high and not way.low_in
    past_bottom = way.high <= allowed.low and not way.high_in
    named = any(not allowed.low <= figure <= allowed.high for figure in way.figures)
    return named or ((past_top or past_bottom) and not way.other)


def _by_words(guard: Guard, ways: Sequence[Way], words: Iterable[str]) -> str:
    spoken = " ".join([*words, *(way.said for way in ways if not way.figures)]).lower()
    found = next((w for w in guard.words if re.search(rf"\b{re.escape(w)}\b", spoken)), None)
    if found is None:
        return ""
    if guard.field:
        if any(way.figures for way in ways):
            return ""
        return (
            f"A trial about {found} is said in figures, so that no dose goes past its range: "
            f'name the field and two doses, such as --field {guard.field} "1.5" "2".'
        )
    return f'{guard.reason}. Asked: "{found}".'


def _allowed(guard: Guard, knowledge: Knowledge, lots: pd.DataFrame | None) -> Allowed:
    limit = knowledge.limits[guard.limit]
    low = -np.inf if limit.flag_low is None else limit.flag_low
    high = np.inf if limit.flag_high is None else limit.flag_high
    source = knowledge.sources[limit.source].text
    if guard.field in DOSES:
        sheet = _sheet(lots, DOSES[guard.field])
        low, high, source = sheet or (low, high, source)
        # The cap is held in code: no shop's own file can loosen it.
        low, high = max(low, FLOOR_PCT), min(high, CAP_PCT)
    return Allowed(float(low), float(high), source)


def _sheet(lots: pd.DataFrame | None, material: str) -> tuple[float, float, str] | None:
    """The range of the newest data sheet the lots table has for this material."""
    if lots is None:
        return None
    known = lots[lots["material"] == material].dropna(subset=["sheet_low_pct", "sheet_high_pct"])
    if known.empty:
        return None
    last = known.sort_values("received", kind="stable", na_position="first").iloc[-1]
    return (
        float(last["sheet_low_pct"]), float(last["sheet_high_pct"]),
        f"data sheet of lot {last['lot']}",
    )  # fmt: skip
