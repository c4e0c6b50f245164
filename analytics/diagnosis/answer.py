"""The answer to "why did this part fail?", as one object that every screen shows."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal

Origin = Literal["trade", "log"]

CLEAR = 0.20
"""Below this the likeliest cause is not called the answer."""
WHERE = "where-map"
"""The check that asks where on the part a fault is: anybody can say, at any time."""
CHANCES = (
    (0.90, "almost certain"),
    (0.65, "very likely"),
    (0.40, "quite likely"),
    (0.20, "perhaps"),
    (0.05, "less likely"),
    (0.0, "unlikely"),
)


def chance_words(chance: float) -> str:
    """A chance [0..1] in a word or two, the same on every screen."""
    return next(words for least, words in CHANCES if chance >= least)


@dataclass(frozen=True)
class Clue:
    """One fact that pulled a cause up or down.

    `decibans` is the weight of evidence it carries: 10 log10 of the likelihood ratio
    (Good 1950); `origin` says whether that weight rests on trade knowledge or on this log.
    """

    text: str
    decibans: float
    origin: Origin


@dataclass(frozen=True)
class RankedCause:
    """One likely cause of one defect on one part.

    `probability` is the chance [0..1] that this cause is the one behind the defect; over all
    causes and `Diagnosis.unexplained` it sums to 1. `low`, `high` bound it (90 %).
    `start` is how often the trade sees it, before any clue. `trade_jobs` and `log_jobs` say how
    many jobs' worth of weight the trade and this log have in its strength.
    """

    cause: str
    title: str
    what: str
    probability: float
    low: float
    high: float
    start: str
    clues_for: tuple[Clue, ...]
    clues_against: tuple[Clue, ...]
    unknown: tuple[str, ...]
    trade_jobs: float
    log_jobs: float
    check: str
    check_id: str | None
    mend: str
    prevent: str
    cautions: tuple[str, ...]
    source: str
    confirmed: bool = False

    def to_json(self) -> dict[str, Any]:
        return {
            "cause": self.cause,
            "title": self.title,
            "what": self.what,
            "probability": round(self.probability, 6),
            "low": round(self.low, 6),
            "high": round(self.high, 6),
            "start": self.start,
            "for": [clue.text for clue in self.clues_for],
            "against": [clue.text for clue in self.clues_against],
            "unknown": list(self.unknown),
            "weights": [
                {"text": c.text, "decibans": round(c.decibans, 2), "from": c.origin}
                for c in (*self.clues_for, *self.clues_against)
            ],
            "trade_jobs": round(self.trade_jobs, 1),
            "log_jobs": round(self.log_jobs, 1),
            "check": self.check,
            "check_id": self.check_id,
            "mend": self.mend,
            "prevent": self.prevent,
            "cautions": list(self.cautions),
            "source": self.source,
            "confirmed": self.confirmed,
        }


@dataclass(frozen=True)
class NextCheck:
    """A bench check worth doing next: `worth` is the expected information [bits per minute]."""

    check: str
    title: str
    how: str
    minutes: float
    bits: float
    results: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]

    @property
    def worth(self) -> float:
        return self.bits / self.minutes

    def to_json(self) -> dict[str, Any]:
        return {
            "check": self.check,
            "title": self.title,
            "how": self.how,
            "minutes": self.minutes,
            "bits": round(self.bits, 4),
            "results": dict(self.results),
            "cautions": list(self.cautions),
        }


@dataclass(frozen=True)
class LikeJob:
    """A good part made much like the failed one, and the fields in which they differ."""

    part: str
    date: str
    same_mould: bool
    likeness: float
    differs: tuple[tuple[str, str, str], ...]  # field title, this part, the good part

    def to_json(self) -> dict[str, Any]:
        return {
            "part": self.part,
            "date": self.date,
            "same_mould": self.same_mould,
            "likeness": round(self.likeness, 3),
            "differs": [
                {"field": name, "this": this, "good": good} for name, this, good in self.differs
            ],
        }


@dataclass(frozen=True)
class Diagnosis:
    """Ranked causes of one defect on one part.

    `causes` is sorted, likeliest first; their probabilities and `unexplained` sum to 1.
    `readings` are what the trade reads from things seen together on this part.
    `jobs_used` counts the parts of this shop's log that taught the model. `places` are what
    `place_check` can be answered with, most telling first, empty once it is; `place_written` is
    where the log says the fault is, in its own words, which nothing is concluded from.
    """

    part: str
    defect: str
    defect_title: str
    words: str
    look: str
    this_part: str
    prevent: str
    causes: tuple[RankedCause, ...]
    unexplained: float
    jobs_used: int
    next_checks: tuple[NextCheck, ...]
    like_jobs: tuple[LikeJob, ...]
    summary: str
    readings: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    seen: tuple[tuple[str, str], ...] = field(default=())
    place_check: str = ""
    places: tuple[tuple[str, str], ...] = ()
    place_written: str = ""

    def to_json(self) -> dict[str, Any]:
        """The fixed keys of `laylog why --json`, and more."""
        return {
            "part": self.part,
            "defect": self.defect,
            "defect_title": self.defect_title,
            "words": self.words,
            "summary": self.summary,
            "readings": list(self.readings),
            "causes": [cause.to_json() for cause in self.causes],
            "unexplained": round(self.unexplained, 6),
            "jobs_used": self.jobs_used,
            "next_checks": [check.to_json() for check in self.next_checks],
            "like_jobs": [job.to_json() for job in self.like_jobs],
            "this_part": self.this_part,
            "prevent": self.prevent,
            "cautions": list(self.cautions),
            "seen": dict(self.seen),
            "places": dict(self.places),
            "place_written": self.place_written,
            "warnings": list(self.warnings),
        }
