"""How long things take here: the shop's own times where enough were logged, else the trade's."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.knowledge.model import Knowledge, PlanFigure
from analytics.physics.curing import hours_at_20c
from analytics.planning.answer import Span

ENOUGH = 12
LOW, USUAL, HIGH = 0.10, 0.50, 0.90
SAME_SHIFT_H = 8.0
GREEN_H = 6.0
FAIR_C = 20.0
TOO_EARLY = ("wrinkling", "tacky-face", "print-through", "delamination", "pre-release")
RELEASE_HARM = ("sticking", "sticking-whole", "sticking-patches", "fish-eyes", "dull-surface")
GREEN_PART = ("warping", "cracking", "dull-surface", "print-through", "tacky-face", "tacky-back")


def trade_span(figure: PlanFigure, knowledge: Knowledge) -> Span:
    """The trade's figure, marked with what kind of source it is from."""
    source = knowledge.sources[figure.source]
    named = source.text if source.kind == "published" else source.text.partition(":")[0]
    whose = "the shop's own rule" if source.kind == "shop" else f"trade figure, {named}"
    return Span(figure.low, figure.usual, figure.high, 0, whose)


class Times:
    """The spans a day is planned with. Times are as at 20 °C, drying as at 20 °C and 50 %."""

    def __init__(self, jobs: pd.DataFrame, defects: pd.DataFrame, knowledge: Knowledge) -> None:
        self.jobs, self.knowledge = jobs, knowledge
        self._faults = defects[["part_id", "defect"]].astype(object)
        self._parts = jobs["part_id"].astype(object)
        self._looked = jobs["looked"].fillna(False).to_numpy(dtype=bool)

    def of(self, name: str) -> Span:
        """The span of a plan figure, learnt where the shop logged enough of it."""
        trade = trade_span(self.knowledge.plan[name], self.knowledge)
        learn = {
            "wax-between-coats": lambda: self._released("wax_wait_min", 600),
            "wax-last-coat": lambda: self._released("wax_final_wait_min", 600),
            "film-dry": lambda: self._released("pva_h_ref_min", 600),
            "gelcoat-ready": self._ready,
            "laying": self._laying,
            "green-trim-opens": self._trim,
            "demould": self._demould,
        }
        own = learn[name]() if name in learn else np.array([])
        if len(own) < ENOUGH:
            return trade
        span = self._learnt(own)
        if name == "demould":
            # the habit is the next morning: the early half of what came out good is the answer
            early = np.quantile(own, [LOW, 0.25, USUAL])
            span = Span(float(early[0]), float(early[1]), float(early[2]), len(own), span.source)
        return span if name == "laying" else _not_under(span, trade.low)

    def _released(self, field: str, most: float) -> NDArray[np.float64]:
        """Waits of the release, on parts that came off clean."""
        return self._between(self.jobs.loc[self._without(RELEASE_HARM), field], 1, most)

    def _ready(self) -> NDArray[np.float64]:
        """Hours at 20 °C to the first ply, laid the same shift on parts that show no harm of it."""
        own = self.jobs[self._without(TOO_EARLY) & (self.jobs["backup_hours"] <= SAME_SHIFT_H)]
        return self._between(own["backup_h20"], 0.1, SAME_SHIFT_H)

    def _laying(self) -> NDArray[np.float64]:
        return self._between(self.jobs["laying_min"] / self.jobs["glass_kg"], 2, 180)

    def _trim(self) -> NDArray[np.float64]:
        """Hours at 20 °C to a green trim; later ones were cut hard."""
        green = self.jobs[self.jobs["trim_hours"] <= GREEN_H]
        energy = self.knowledge.constants["activation-energy"].value
        h20 = hours_at_20c(green["trim_hours"], green["air_c"].fillna(FAIR_C), energy)
        return self._between(pd.Series(h20), 0.2, GREEN_H)

    def _demould(self) -> NDArray[np.float64]:
        return self._between(self.jobs.loc[self._without(GREEN_PART), "demould_h20"], 1, 200)

    def _without(self, faults: tuple[str, ...]) -> NDArray[np.bool_]:
        """Which jobs were looked at and show none of these faults."""
        harmed = set(self._faults.loc[self._faults["defect"].isin(set(faults)), "part_id"])
        return self._looked & ~self._parts.isin(harmed).to_numpy(dtype=bool)

    @staticmethod
    def _between(values: pd.Series, low: float, high: float) -> NDArray[np.float64]:
        found = values.to_numpy(dtype=np.float64, na_value=np.nan)
        return found[np.isfinite(found) & (found >= low) & (found <= high)]

    @staticmethod
    def _learnt(own: NDArray[np.float64]) -> Span:
        low, usual, high = (float(q) for q in np.quantile(own, [LOW, USUAL, HIGH]))
        return Span(low, usual, high, len(own), f"your log, {len(own)} jobs")


def _not_under(span: Span, floor: float) -> Span:
    """A wait nobody should shorten, however often the shop got away with it."""
    if span.low >= floor:
        return span
    return Span(
        floor, max(span.usual, floor), max(span.high, floor), span.jobs,
        f"{span.source}, never under the trade's shortest",
    )  # fmt: skip
