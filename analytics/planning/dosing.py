"""The catalyst for each pot of the day: its dose, its gel time, how many pots it takes."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from analytics.catalyst import Learnt, advise
from analytics.catalyst.answer import CatalystAdvice, GelTime
from analytics.knowledge.model import Knowledge
from analytics.planning.amounts import (
    covers_plies,
    largest_mix,
    mixes_needed,
    poured,
    working_min,
)
from analytics.planning.answer import Span
from analytics.planning.plies import Ply
from analytics.planning.question import DayQuestion
from analytics.planning.timeline import Pots
from analytics.records.log import Log

SENTENCE_END = re.compile(r"(?<=\.)\s+(?=[A-Z0-9])")
NAMES = {"gelcoat": "Gel coat", "resin": "Resin"}


@dataclass(frozen=True)
class Doser:
    """Advises the pots of one plan; `learnt` gives the gel times learnt so far of a material."""

    log: Log
    knowledge: Knowledge
    question: DayQuestion
    today: date
    learnt: Callable[[str], Learnt]

    def gelcoat(self, at_c: float, kg: float, on: Span) -> tuple[CatalystAdvice, Pots]:
        """The gel-coat pots at a temperature [°C]; `on` is the time to put it all on [min]."""
        known = self.learnt("gelcoat")
        advice, count = self._advised(known, "gelcoat", at_c, kg, on.usual)
        lot = self.question.gelcoat_lot or ""
        product = known.readings.products.get(lot, known.readings.last_product)
        film = known.model.predict(at_c, advice.catalyst_pct, lot=lot, product=product, film=True)
        low, high = film.interval()
        gel = GelTime(float(film.median[0]), float(low[0]), float(high[0]))
        covers = ["the whole face"] if count == 1 else [f"1/{count} of the face"] * count
        return advice, self._pots(advice, count, on, covers, gel)

    def resin(
        self, at_c: float, kg: float, laying: Span, plies: Sequence[Ply]
    ) -> tuple[CatalystAdvice, Pots]:
        """The laminating pots; `laying` is the time to lay it all [min]."""
        known = self.learnt("resin")
        advice, count = self._advised(known, "resin", at_c, kg, laying.usual)
        return advice, self._pots(advice, count, laying, covers_plies(plies, count), advice.gel_min)

    def _advised(
        self, known: Learnt, material: str, at_c: float, kg: float, work_min: float
    ) -> tuple[CatalystAdvice, int]:
        said = self.question.gelcoat_pct if material == "gelcoat" else self.question.resin_pct
        first = self._advice(known, material, at_c, 1.0, said)
        usable = working_min(first.gel_min.median, self.knowledge)
        most = largest_mix(known.readings.mass_kg, self.knowledge).high
        count = mixes_needed(kg, work_min, usable, most)
        pot_kg = math.ceil(100 * kg / count) / 100
        return self._advice(known, material, at_c, pot_kg, said), count

    def _advice(
        self, known: Learnt, material: str, at_c: float, pot_kg: float, dose_pct: float | None
    ) -> CatalystAdvice:
        asked = self.question
        return advise(
            self.log,
            self.knowledge,
            material=material,
            today=self.today,
            temperature_c=at_c,
            pot_kg=pot_kg,
            lot=asked.gelcoat_lot if material == "gelcoat" else asked.resin_lot,
            dose_pct=dose_pct,
            learnt=known,
        )

    def _pots(
        self, advice: CatalystAdvice, count: int, work: Span, covers: Sequence[str], gel: GelTime
    ) -> Pots:
        usable = working_min(advice.gel_min.median, self.knowledge)
        each = replace(work, low=work.low / count, usual=work.usual / count, high=work.high / count)
        return Pots(poured(advice, count, work.usual, covers, usable), each, gel)


def joined_cautions(doses: Sequence[CatalystAdvice]) -> tuple[str, ...]:
    """The ten cautions of all materials: what they share said once, the rest by material."""
    names = [NAMES[dose.material] for dose in doses]
    return tuple(
        _joined(names, each) for each in zip(*(dose.cautions for dose in doses), strict=True)
    )


def _joined(names: Sequence[str], cautions: Sequence[str]) -> str:
    said = [SENTENCE_END.split(caution) for caution in cautions]
    shared = [line for line in said[0] if all(line in other for other in said)]
    own = [
        f"{name}: {' '.join(line for line in lines if line not in shared)}"
        for name, lines in zip(names, said, strict=True)
        if len(lines) > len(shared)
    ]
    opening = [
        line for line in said[0] if line in shared and said[0].index(line) == shared.index(line)
    ]
    return " ".join([*opening, *own, *(line for line in shared if line not in opening)])


def joined_warnings(doses: Sequence[CatalystAdvice]) -> tuple[str, ...]:
    """What makes a dose doubtful or not enough by itself, by material."""
    return tuple(
        f"{NAMES[dose.material]}: {text}"
        for dose in doses
        for text in (*dose.cure_risks, *dose.instead, *dose.warnings)
    )
