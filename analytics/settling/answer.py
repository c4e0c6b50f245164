"""The answer to "one way or the other?": what was compared, what came out, what it cannot know."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from math import isfinite
from typing import Any, Literal

Verdict = Literal[
    "a-better", "b-better", "alike", "not-enough", "never-alike", "elsewhere", "refused"
]
VERDICT_WORDS: dict[str, str] = {
    "a-better": "The first way is better",
    "b-better": "The second way is better",
    "alike": "Practically alike",
    "not-enough": "Not enough jobs to tell",
    "never-alike": "Never used under like conditions",
    "elsewhere": "Not a matter of counting faults",
    "refused": "Not to be tried",
}


@dataclass(frozen=True)
class Side:
    """One way: in words and as typed, parts with a result, and those that could be compared."""

    said: str
    typed: str
    parts: int
    compared: int


@dataclass(frozen=True)
class LeftOut:
    """Parts that could not count, and why."""

    why: str
    parts: int


@dataclass(frozen=True)
class Shares:
    """Faulty parts among parts, with a Wilson interval of the share [0..1]."""

    faults: int
    parts: int
    share: float
    low: float
    high: float


@dataclass(frozen=True)
class MouldPair:
    """Both ways on one mould, among the parts that could be compared."""

    mould: str
    a_faults: int
    a_parts: int
    b_faults: int
    b_parts: int


@dataclass(frozen=True)
class Tangle:
    """Something recorded that differed between the two ways as well."""

    field: str
    text: str


@dataclass(frozen=True)
class Adjusted:
    """Shares of both ways over the same mix of like conditions [0..1], and their difference a - b.

    `odds_ratio` is the Mantel-Haenszel one (None where no strata tell), `p_value` its test.
    `a_low` to `b_high` are the intervals of the two shares; `everywhere` is the difference
    standardised to all compared parts instead.
    """

    share_a: float
    share_b: float
    difference: float
    low: float
    high: float
    a_low: float
    a_high: float
    b_low: float
    b_high: float
    everywhere: float
    odds_ratio: float | None
    p_value: float
    q_value: float


@dataclass(frozen=True)
class Finding:
    """What one fault says of the two ways. Numbers are None where there are too few jobs to speak.

    `more_each` is how many more parts of each way it takes to tell (0: told already).
    """

    defect: str
    title: str
    verdict: Verdict
    sentence: str
    a: Shares | None
    b: Shares | None
    adjusted: Adjusted | None
    more_each: int | None
    by_mould: tuple[MouldPair, ...] = ()


@dataclass(frozen=True)
class Comparison:
    """Two ways compared on a shop's own log.

    `held` names what was held alike (mould, season, person); `compared` counts the parts in
    conditions where both ways were used; `tangled` lists what else differed, so that the log
    alone cannot say which of the two did it; `matters` is the smallest difference worth a change.
    """

    question: str
    title: str
    field: str
    field_name: str
    where: str
    a: Side
    b: Side
    verdict: Verdict
    sentence: str
    findings: tuple[Finding, ...]
    held: tuple[str, ...]
    compared: int
    out: tuple[LeftOut, ...]
    tangled: tuple[Tangle, ...]
    to_do: tuple[str, ...]
    cannot_know: tuple[str, ...]
    warnings: tuple[str, ...]
    least: str
    jobs_used: int
    refused: str = ""
    cautions: tuple[str, ...] = ()
    matters: float = 0.0

    def to_json(self) -> dict[str, Any]:
        """The answer as plain dicts, lists, numbers and strings."""
        plain: dict[str, Any] = _plain(asdict(self))
        return plain


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(inner) for inner in value]
    if isinstance(value, float) and not isfinite(value):
        return None
    return value
