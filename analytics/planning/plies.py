"""A ply schedule as shops write it: "225+2x450", "3/4 oz + 2 x 1.5 oz", "300 CSM, 600 WR"."""

from __future__ import annotations

import re
from dataclasses import dataclass

from analytics.errors import QuestionError
from analytics.units import SOLD_BY_THE_OUNCE, convert, mat_ounces

LIGHTEST_G_M2, HEAVIEST_G_M2 = 30.0, 1500.0
MOST_PLIES = 24

_FIGURE = r"\d+\s+\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?"
_PLY = re.compile(
    rf"(?:(?P<count>\d+)\s*(?:x|×|\*|off|no|plies(?: of)?|layers(?: of)?)\s*)?"
    rf"(?P<weight>{_FIGURE})\s*"
    r"(?P<unit>oz(?:/ft2|/ft²|/yd2|/yd²)?|g/m2|g/m²|gsm|gm2|g)?\s*"
    r"(?P<kind>[a-z][a-z .-]*)?"
    r"(?:\s*[x×*]\s*(?P<after>\d+))?",
    re.I,
)
_WOVEN = re.compile(r"\b(wr|woven|roving|rovings|cloth|biax|fabric)\b", re.I)
_MAT = re.compile(r"\b(csm|mat|chopped|strand|emulsion|powder|tissue|veil|ply|plies|layer)\b", re.I)


@dataclass(frozen=True)
class Ply:
    """One layer of glass: its weight [g/m2] and whether it is chopped "mat" or "woven"."""

    g_m2: float
    kind: str = "mat"


def plies_of(schedule: str) -> tuple[Ply, ...]:
    """The plies of a schedule in order, first one first.

    Bare figures under 5 are ounces per square foot and others g/m2; ounces above 5 are woven and
    by the square yard. Raises QuestionError with what was not understood.
    """
    found: list[Ply] = []
    for piece in re.split(
        r"\s*(?:\+|;|&|/(?=\s)|(?<=\d{3})/(?=\d{3})|,(?!\d)|\bthen\b|\band\b)\s*", schedule.strip()
    ):
        found += _plies(piece, schedule)
    if not found or len(found) > MOST_PLIES:
        raise QuestionError(
            f'"{schedule}" has {len(found)} plies; give 1 to {MOST_PLIES}, such as 225+2x450'
        )
    return tuple(found)


def _plies(piece: str, schedule: str) -> list[Ply]:
    shape = _PLY.fullmatch(piece.strip())
    if shape is None:
        raise QuestionError(
            f'"{piece.strip() or schedule}" is no ply; write the schedule like 225+2x450 (g/m2) '
            "or 3/4 oz + 2 x 1.5 oz"
        )
    weight, unit, kind = _number(shape["weight"]), (shape["unit"] or "").lower(), shape["kind"]
    count = int(shape["count"] or shape["after"] or 1)
    if count > MOST_PLIES >= weight:
        # "450x2": the other way round
        count, weight = round(weight), float(count)
    if kind and not (_WOVEN.search(kind) or _MAT.search(kind)):
        raise QuestionError(f'"{kind.strip()}" is no kind of glass laylog knows; write CSM or WR')
    ounces = unit.startswith("oz") or (not unit and weight < 5)
    g_m2 = _from_ounces(weight, unit) if ounces else weight
    if not LIGHTEST_G_M2 <= g_m2 <= HEAVIEST_G_M2:
        raise QuestionError(
            f"a ply of {weight:g} {unit or ('oz' if ounces else 'g/m2')} cannot be; mats run from "
            f"{LIGHTEST_G_M2:g} to {HEAVIEST_G_M2:g} g/m2"
        )
    woven = bool(_WOVEN.search(kind or "")) or (ounces and weight > 5)
    return [Ply(g_m2, "woven" if woven else "mat")] * count


def _number(said: str) -> float:
    total = 0.0
    for part in said.replace(",", ".").split():
        over, _, under = part.partition("/")
        if under and float(under) == 0:
            raise QuestionError(f'"{said}" is no weight of mat')
        total += float(over) / float(under) if under else float(over)
    return total


def _from_ounces(weight: float, unit: str) -> float:
    if weight in SOLD_BY_THE_OUNCE:
        return SOLD_BY_THE_OUNCE[weight]
    per = unit.replace("²", "2") if "/" in unit else mat_ounces(weight)
    return convert(weight, per, "g/m2")


def written(plies: tuple[Ply, ...]) -> str:
    """The plies as "225 + 2x450" in g/m2, woven ones marked."""
    groups: list[tuple[Ply, int]] = []
    for ply in plies:
        if groups and groups[-1][0] == ply:
            groups[-1] = (ply, groups[-1][1] + 1)
        else:
            groups.append((ply, 1))
    return " + ".join(
        f"{f'{count}x' if count > 1 else ''}{ply.g_m2:.0f}{' woven' if ply.kind == 'woven' else ''}"
        for ply, count in groups
    )
