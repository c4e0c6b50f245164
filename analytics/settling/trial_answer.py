"""How a trial stands, as one object for every screen."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any, Literal

from analytics.settling.trial import Trial

TrialVerdict = Literal[
    "stop-harm", "settled-a", "settled-b", "settled-alike", "spent", "go-on", "stopped"
]


@dataclass(frozen=True)
class Arm:
    """One way of a trial: parts given to it, those with a result, and the faulty ones."""

    said: str
    given: int
    results: int
    faults: int
    share: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class MouldProgress:
    """Results of both ways on one mould."""

    mould: str
    a_results: int
    a_faults: int
    b_results: int
    b_faults: int


@dataclass(frozen=True)
class TrialLook:
    """How a trial stands. `stake` is the evidence so far: 20 settles it.

    `counted` parts are in finished blocks, `waiting` parts have a way and no result yet. `growth`
    is the stake after each finished block. `more` is about how many parts are still to come,
    `months` how long that is at this shop's pace (None where the log has no pace).
    """

    trial: Trial
    title: str
    verdict: TrialVerdict
    sentence: str
    a: Arm
    b: Arm
    counted: int
    waiting: int
    more: int
    months: float | None
    stake: float
    growth: tuple[float, ...]
    by_mould: tuple[MouldProgress, ...]
    harm: tuple[str, ...]
    stop_rule: tuple[str, ...]
    warnings: tuple[str, ...]
    to_do: tuple[str, ...]

    def to_json(self) -> dict[str, Any]:
        """The look as plain dicts, lists, numbers and strings; the seed stays in the journal."""
        plain = asdict(self)
        # Who knows the seed can work out the next way before choosing the part.
        plain["trial"].pop("seed")
        return {k: list(v) if isinstance(v, tuple) else v for k, v in plain.items()}
