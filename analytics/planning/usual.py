"""What this shop usually does: mould, area, plies, release, ratios, as its log tells them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches

import numpy as np
import pandas as pd

from analytics.errors import QuestionError
from analytics.knowledge.model import Knowledge
from analytics.planning.answer import Span
from analytics.planning.plies import Ply, plies_of, written
from analytics.records.cells import id_key
from analytics.records.log import Log

RECENT = 12
ENOUGH = 12
FEWEST_TO_GO_BY = 3
MATS = (225.0, 300.0, 450.0, 600.0, 900.0)
OFF_BY = 0.15
"""Share by which whole mats may miss the glass weighed and still be taken for the schedule."""


@dataclass(frozen=True)
class MouldState:
    """What the log says of a mould now; None where it does not.

    `pulls_next` counts the parts taken since the release was renewed, before the one planned.
    """

    area_m2: float | None
    schedule: str | None
    schedule_from: str
    release: str | None
    pulls_next: int | None
    pulls_total_next: int | None
    renewed_at: float | None
    deep: bool
    draft: str | None


def known_moulds(log: Log) -> list[str]:
    """Every mould the log names, the one used last first."""
    used = log.parts.sort_values("date", kind="stable", na_position="first")["mould_id"].dropna()
    newest = dict.fromkeys([*used.iloc[::-1], *log.moulds["mould_id"].dropna()])
    return [str(mould) for mould in newest]


def mould_called(log: Log, said: str) -> str:
    """The mould as the log writes it. Raises QuestionError with the nearest where there is none."""
    known = known_moulds(log)
    same = [mould for mould in known if id_key(mould) == id_key(said)]
    if same:
        return same[0]
    near = get_close_matches(said, known, n=3, cutoff=0.3) or known[:3]
    hint = f" Nearest: {', '.join(near)}." if near else " The log names no moulds."
    raise QuestionError(f'no mould is called "{said}" in this log.{hint} Or give the area in m2.')


def mould_state(log: Log, jobs: pd.DataFrame, mould: str) -> MouldState:
    """What a plan on this mould starts from."""
    own = jobs[jobs["mould_id"] == mould]
    card = log.moulds[log.moulds["mould_id"] == mould]
    area = _first(card["area_m2"]) or _median(own["area_m2"])
    schedule, told = _usual_schedule(own, area)
    total = _last(own["mould_pulls_total"])
    return MouldState(
        area_m2=area,
        schedule=schedule,
        schedule_from=told,
        release=_release(own),
        pulls_next=_pulls_next(own, card),
        pulls_total_next=None if total is None else int(total) + 1,
        renewed_at=_renewed_at(own),
        deep=bool(card["deep"].fillna(False).any()),
        draft=_first_text(card["draft"]),
    )


def _first(values: pd.Series) -> float | None:
    known = values.dropna()
    return float(known.iloc[0]) if len(known) and known.iloc[0] > 0 else None


def _first_text(values: pd.Series) -> str | None:
    known = values.dropna()
    return str(known.iloc[0]) if len(known) else None


def _last(values: pd.Series) -> float | None:
    known = values.dropna()
    return float(known.iloc[-1]) if len(known) else None


def _median(values: pd.Series) -> float | None:
    known = values.dropna()
    return float(known.median()) if len(known) else None


def _usual_schedule(own: pd.DataFrame, area_m2: float | None) -> tuple[str | None, str]:
    """The schedule of this mould's latest parts, as written, else as their glass weighs."""
    said = [one for one in own["ply_schedule"].dropna().iloc[::-1][:RECENT] if _readable(one)]
    if said:
        usual = max(dict.fromkeys(said), key=said.count)
        return usual, f"its usual schedule, {said.count(usual)} of its last {len(said)} parts"
    recent = own.tail(4 * RECENT)
    glass = recent["glass_kg"].dropna().tail(RECENT)
    plies, first = (
        _median(recent[name].dropna().tail(RECENT))
        for name in ("plies_in_session", "first_ply_g_m2")
    )
    if area_m2 is None or len(glass) < FEWEST_TO_GO_BY or not plies or not first:
        return None, ""
    found = _from_weights(1000 * float(glass.median()) / area_m2, round(plies), first)
    if found is None:
        return None, ""
    told = f"worked out from the glass, plies and first ply of its last {len(glass)} parts"
    return written(found), told


def _readable(schedule: str) -> bool:
    try:
        return bool(plies_of(schedule))
    except QuestionError:
        return False


def _from_weights(g_m2: float, plies: int, first: float) -> tuple[Ply, ...] | None:
    """A first ply and equal whole mats behind it that weigh what was weighed; None if none does."""
    if plies == 1:
        return (Ply(first),) if abs(first - g_m2) <= OFF_BY * g_m2 else None
    if plies < 1:
        return None
    rest = (g_m2 - first) / (plies - 1)
    mat = min(MATS, key=lambda one: abs(one - rest))
    if abs(first + mat * (plies - 1) - g_m2) > OFF_BY * g_m2:
        return None
    return (Ply(first), *[Ply(mat)] * (plies - 1))


def _release(own: pd.DataFrame) -> str | None:
    """The release of the latest parts: as written, else wax with or without film as used."""
    said = own["release_system"].dropna().tail(RECENT)
    if len(said):
        return str(said.iloc[-1])
    film = own["pva_used"].dropna().tail(RECENT)
    if film.empty:
        return None
    return "wax-and-film" if bool(film.mean() >= 0.5) else "wax"


def _pulls_next(own: pd.DataFrame, card: pd.DataFrame) -> int | None:
    pulls = own.dropna(subset=["pulls_since_renewal"])
    renewed = card["last_renewal"].dropna().max()
    after = own["date"].max()
    if pd.notna(renewed) and (pd.isna(after) or renewed > after):
        return 0
    if pulls.empty:
        return None
    later = own.loc[pulls.index[-1] :]
    return int(pulls["pulls_since_renewal"].iloc[-1]) + len(later)


def _renewed_at(own: pd.DataFrame) -> float | None:
    """Pulls at which this mould's release is usually renewed; None where that was never seen."""
    pulls = own["pulls_since_renewal"].dropna()
    before_renewal = pulls[(pulls.shift(-1) < pulls).to_numpy()]
    if len(before_renewal) < FEWEST_TO_GO_BY:
        return None
    return float(before_renewal.tail(RECENT).median()) + 1


def usual_coats(jobs: pd.DataFrame) -> float | None:
    """Wax coats of this shop's latest renewals."""
    return _median(jobs["wax_coats"].dropna().tail(4 * RECENT))


def resin_ratio(jobs: pd.DataFrame, knowledge: Knowledge) -> Span | None:
    """Kilograms of resin to one of glass in this shop's own parts; None where too few weighed."""
    limit = knowledge.limits["resin-to-glass"]
    own = jobs["resin_to_glass"].dropna()
    own = own[own.between(limit.flag_low or 0, limit.flag_high or np.inf)]
    if len(own) < ENOUGH:
        return None
    low, usual, high = (float(q) for q in np.quantile(own, [0.1, 0.5, 0.9]))
    return Span(low, usual, high, len(own), f"your log, {len(own)} parts weighed")


def lot_in_use(log: Log, jobs: pd.DataFrame, role: str) -> str | None:
    """The lot the latest jobs used of "gelcoat", "resin", or catalyst ("gelcoat_catalyst")."""
    return _first_text(jobs[f"{role}_lot"].dropna().iloc[::-1])


def expiry(log: Log, lot: str) -> date | None:
    """The day a lot runs out, where the lots table says."""
    days = log.lots.loc[log.lots["lot"] == lot, "expires"].dropna()
    return None if days.empty else pd.Timestamp(days.iloc[-1]).date()


def lot_of(log: Log, material: str, said: str) -> str:
    """The lot as the log writes it, or as said where it is a new one."""
    own = log.lots.loc[log.lots["material"] == material, "lot"]
    mixed = log.batches.loc[log.batches["material"] == material, "lot"]
    known = [str(lot) for lot in (*own.dropna(), *mixed.dropna())]
    return next((lot for lot in known if id_key(lot) == id_key(said)), said.strip())
