"""What the shop set, as it wrote it down, and the gel time that came of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol

import pandas as pd

from analytics.catalyst.advice import Learnt, basis_of
from analytics.catalyst.answer import CatalystAdvice, GelTime, Window
from analytics.catalyst.cautions import list_cautions
from analytics.catalyst.dose_range import catalyst_density, dose_limits
from analytics.catalyst.question import Question, working_share
from analytics.catalyst.readings import moment
from analytics.knowledge.model import Knowledge
from analytics.records.log import Log

KIND = "dose"
SAME_PCT = 0.1
"""A dose weighed within this [mass %] of the one decided on is taken for it."""


class Written(Protocol):
    """A journal entry: its name, what it says, when it was written."""

    @property
    def name(self) -> str: ...
    @property
    def content(self) -> Mapping[str, Any]: ...
    @property
    def at(self) -> datetime: ...


@dataclass(frozen=True)
class Outcome:
    """What came of a decision: the mix that followed it, its gel time [min], and how it compares.

    `verdict` is "as expected" (inside the nine-in-ten interval), "sooner" or "later".
    """

    batch_id: str
    gel_min: float
    verdict: str


@dataclass(frozen=True)
class Decision:
    """A dose somebody set: when, what, the gel time expected then, and what came of it.

    `outcome` is None until a gel time of a mix of that day, material and dose (and lot, where one
    was named) is logged.
    """

    name: str
    at: datetime
    material: str
    lot: str | None
    temperature_c: float
    catalyst_pct: float
    pot_kg: float
    grams: float
    ml: float
    expected: GelTime
    outcome: Outcome | None

    def to_json(self) -> dict[str, Any]:
        """Return the decision as plain dicts, numbers and strings."""
        own = {key: value for key, value in vars(self).items() if key not in _NESTED}
        return {
            **own,
            "at": self.at.isoformat(timespec="minutes"),
            "expected": vars(self.expected),
            "outcome": vars(self.outcome) if self.outcome else None,
        }


@dataclass(frozen=True)
class DosesSet:
    """The doses of one material written down as set, newest first, with the ten cautions."""

    material: str
    decisions: tuple[Decision, ...]
    cautions: tuple[str, ...]

    def to_json(self) -> dict[str, Any]:
        """Return the list as plain dicts, lists, numbers and strings."""
        return {
            "material": self.material,
            "set": [one.to_json() for one in self.decisions],
            "cautions": list(self.cautions),
        }


_NESTED = frozenset({"at", "expected", "outcome"})


def content_of(advice: CatalystAdvice) -> dict[str, Any]:
    """What to keep of an answer whose dose was set."""
    kept = ("material", "lot", "temperature_c", "catalyst_pct", "pot_kg", "grams", "ml")
    return {
        **{key: getattr(advice, key) for key in kept},
        "expected": vars(advice.gel_min),
        "window": [advice.window.low, advice.window.high],
        "range": [advice.limits.low, advice.limits.high, advice.limits.source],
        "gel_at": advice.gel_at,
    }


def doses_set(
    entries: Iterable[Written], log: Log, knowledge: Knowledge, material: str, known: Learnt
) -> DosesSet:
    """The doses of a material written down as set, each with what came of it."""
    found = decisions((one for one in entries if one.content["material"] == material), log)
    product = known.readings.last_product
    limits, _ = dose_limits(log.lots, knowledge, material, "", product, None)
    question = Question(
        material=material, temperature_c=20.0, window=Window(1.0, 1.0), pot_kg=1.0, lot="",
        product=product, film=False, humidity_pct=float("nan"), limits=limits,
        working_share=working_share(knowledge),
    )  # fmt: skip
    density = catalyst_density(log.lots, knowledge, None)
    basis = basis_of(known.readings, known.model)
    return DosesSet(material, found, list_cautions(question, density, basis, knowledge))


def decisions(entries: Iterable[Written], log: Log) -> tuple[Decision, ...]:
    """Every dose written down as set, newest first, each with what came of it."""
    written = list(entries)
    if not written:
        return ()
    timed = log.batches.dropna(subset=["gel_min", "catalyst_pct", "date"])
    timed = timed.assign(when=moment(timed))
    found = [_decision(entry, timed) for entry in written]
    return tuple(sorted(found, key=lambda one: one.at, reverse=True))


def _decision(entry: Written, timed: pd.DataFrame) -> Decision:
    said = entry.content
    expected = GelTime(**said["expected"])
    fields = ("material", "lot", "temperature_c", "catalyst_pct", "pot_kg", "grams", "ml")
    return Decision(
        name=entry.name,
        at=entry.at,
        **{key: said[key] for key in fields},
        expected=expected,
        outcome=_outcome(entry, expected, timed),
    )


def _outcome(entry: Written, expected: GelTime, timed: pd.DataFrame) -> Outcome | None:
    """The mix of that day most likely made by it: same material and dose, soonest after."""
    said, at = entry.content, pd.Timestamp(entry.at).tz_localize(None)
    like = timed[
        (timed["material"] == said["material"])
        & (timed["when"].dt.date == at.date())
        & ((timed["catalyst_pct"] - said["catalyst_pct"]).abs() <= SAME_PCT)
        & ((timed["gel_where"] == "film") == (said.get("gel_at") == "film"))
    ]
    if said["lot"]:
        like = like[like["lot"].isna() | (like["lot"] == said["lot"])]
    if like.empty:
        return None
    apart = (like["when"] - at).abs()
    mix = like.loc[apart.idxmin()]
    gel = float(mix["gel_min"])
    verdict = "as expected"
    if not expected.low <= gel <= expected.high:
        verdict = "sooner" if gel < expected.low else "later"
    return Outcome(str(mix["batch_id"]), gel, verdict)
