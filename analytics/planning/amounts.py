"""Mat, resin and gel coat for a part, and the pots they are mixed in."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from analytics.catalyst.answer import CatalystAdvice
from analytics.catalyst.question import working_share
from analytics.knowledge.model import Knowledge
from analytics.physics.dose import catalyst_g, catalyst_ml
from analytics.physics.laminate import gelcoat_kg_m2, resin_kg_for, thickness_mm
from analytics.planning.answer import Materials, Mix, PlyAmount, Span
from analytics.planning.plies import Ply

WOVEN_GLASS_PCT = 47.5
"""Hand-laid woven roving, 45 to 50 % glass by mass: from memory, check before quoting."""
ENOUGH_MIXES = 12


def trade_ratio(knowledge: Knowledge) -> Span:
    """Kilograms of resin to one of chopped mat at the trade's glass content."""
    limit = knowledge.limits["glass-content"]
    low, high = float(limit.low or 27.0), float(limit.high or 33.0)
    lean, usual, rich = (float(resin_kg_for(1.0, pct)) for pct in (high, (low + high) / 2, low))
    whose = knowledge.sources[limit.source].text.partition(",")[0]
    return Span(lean, usual, rich, 0, f"trade figure, {whose}: {low:g} to {high:g} % glass")


def materials(area_m2: float, plies: Sequence[Ply], ratio: Span, knowledge: Knowledge) -> Materials:
    """What the part takes [kg, m2], waste and offcuts added to what is cut and mixed."""
    waste = knowledge.plan["waste"].usual / 100
    film = knowledge.limits["gelcoat-wet-film"]
    wet_mm = ((film.low or 0.4) + (film.high or 0.6)) / 2
    density = knowledge.constants["gelcoat-density"].value
    glass = area_m2 * sum(ply.g_m2 for ply in plies) / 1000
    resin = area_m2 * sum(_resin_kg_m2(ply, ratio.usual) for ply in plies)
    return Materials(
        plies=tuple(
            PlyAmount(
                number, ply.g_m2, ply.kind, area_m2 * (1 + waste),
                area_m2 * (1 + waste) * ply.g_m2 / 1000,
            )
            for number, ply in enumerate(plies, start=1)
        ),
        glass_kg=glass,
        resin_kg=resin * (1 + waste),
        gelcoat_kg=float(gelcoat_kg_m2(wet_mm, density)) * area_m2 * (1 + waste),
        waste_share=waste,
        resin_to_glass=ratio,
        glass_pct=100 * glass / (glass + resin),
        wet_film_mm=wet_mm,
        thickness_mm=thickness(plies, ratio),
    )  # fmt: skip


def thickness(plies: Sequence[Ply], ratio: Span) -> Span:
    """Laminate thickness [mm] without gel coat, by ISO 12215-5, from lean to rich."""
    low, usual, high = (
        sum(float(thickness_mm(ply.g_m2 / 1000, _glass_pct(ply, one))) for ply in plies)
        for one in (ratio.low, ratio.usual, ratio.high)
    )
    return Span(low, usual, high, ratio.jobs, ratio.source)


def _glass_pct(ply: Ply, ratio: float) -> float:
    return WOVEN_GLASS_PCT if ply.kind == "woven" else 100 / (1 + ratio)


def _resin_kg_m2(ply: Ply, ratio: float) -> float:
    return float(resin_kg_for(ply.g_m2 / 1000, _glass_pct(ply, ratio)))


def sessions(plies: Sequence[Ply], ratio: Span, knowledge: Knowledge) -> list[tuple[Ply, ...]]:
    """The plies in goes that stay cool: none thicker, or of more plies, than the trade lays."""
    most_mm = knowledge.limits["session-thickness"].high or math.inf
    most_plies = knowledge.limits["session-plies"].flag_high or math.inf
    goes: list[tuple[Ply, ...]] = []
    for ply in plies:
        grown = (*goes[-1], ply) if goes else (ply,)
        if goes and thickness(grown, ratio).usual <= most_mm and len(grown) <= most_plies:
            goes[-1] = grown
        else:
            goes.append((ply,))
    return goes


def largest_mix(mass_kg: np.ndarray, knowledge: Knowledge) -> Span:
    """Kilograms to mix at once: what this shop usually keeps under, else the trade's figure."""
    own = mass_kg[np.isfinite(mass_kg) & (mass_kg > 0)]
    if len(own) >= ENOUGH_MIXES:
        low, usual, high = (float(q) for q in np.quantile(own, [0.1, 0.5, 0.9]))
        return Span(low, usual, high, len(own), f"your log, {len(own)} mixes")
    trade = knowledge.plan["mix-size"]
    return Span(trade.low, trade.usual, trade.usual, 0, "trade figure, practice estimate")


def working_min(gel_min: float, knowledge: Knowledge) -> float:
    """Minutes a mix can safely be worked: the short end of the trade's share of its gel time."""
    return working_share(knowledge)[0] * gel_min


def mixes_needed(kg: float, work_min: float, usable_min: float, largest_kg: float) -> int:
    """How many equal pots, so that each is used up in time and none is too big."""
    return max(math.ceil(work_min / usable_min - 1e-9), math.ceil(kg / largest_kg - 1e-9), 1)


def poured(
    advice: CatalystAdvice, count: int, work_min: float, covers: Sequence[str], usable_min: float
) -> tuple[Mix, ...]:
    """The pots of one material, all alike, each with its catalyst."""
    return tuple(
        Mix(
            material=advice.material,
            number=number,
            of=count,
            kg=advice.pot_kg,
            catalyst_pct=advice.catalyst_pct,
            grams=float(catalyst_g(advice.pot_kg, advice.catalyst_pct)),
            ml=float(catalyst_ml(advice.pot_kg, advice.catalyst_pct, advice.density.g_ml)),
            working_min=usable_min,
            work_min=work_min / count,
            covers=covers[number - 1],
        )
        for number in range(1, count + 1)
    )


def covers_plies(plies: Sequence[Ply], count: int) -> list[str]:
    """Which plies each of `count` equal resin mixes wets."""
    edges = np.cumsum([0.0, *(ply.g_m2 for ply in plies)])
    share = edges[-1] / count
    told = []
    for number in range(count):
        low, high = share * number, share * (number + 1)
        touched = [
            ply for ply in range(len(plies))
            if edges[ply + 1] > low + 0.02 * share and edges[ply] < high - 0.02 * share
        ]  # fmt: skip
        first, last = touched[0] + 1, touched[-1] + 1
        told.append(f"ply {first}" if first == last else f"plies {first} to {last}")
    return told
