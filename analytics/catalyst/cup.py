"""The cup test: what was done, and what one cup says about its lot."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from analytics.catalyst.answer import DoseLimits, GelTime, plain_json
from analytics.catalyst.dose_range import MOST_PCT, as_volume
from analytics.catalyst.question import check_pot, check_temperature, known_material
from analytics.catalyst.readings import GEL_SPAN_MIN, LastMix
from analytics.errors import QuestionError

CUP_NUMBER = "CUP-"
"""How the number of a mix begins that was a cup test and went on no part."""


@dataclass(frozen=True)
class Cup:
    """One cup test: dose [mass %], mean of resin and cup temperature [°C], gel time [min]."""

    material: str
    lot: str
    temperature_c: float
    catalyst_pct: float
    gel_min: float
    mass_kg: float = 0.1

    def checked(self) -> Cup:
        """The same with its material's id. Raises QuestionError where a figure cannot be."""
        low, high = GEL_SPAN_MIN
        if not low <= self.gel_min <= high:
            raise QuestionError(f"{self.gel_min:g} min is no gel time; give {low:g} to {high:g}")
        if not 0 < self.catalyst_pct <= MOST_PCT:
            raise QuestionError(
                f"{self.catalyst_pct:g} % is no dose by mass, {MOST_PCT:g} % at most; weigh the "
                f"catalyst and give mass %.{as_volume(self.catalyst_pct)}"
            )
        return Cup(
            known_material(self.material),
            self.lot.strip(),
            check_temperature(self.temperature_c),
            float(self.catalyst_pct),
            float(self.gel_min),
            check_pot(self.mass_kg),
        )


@dataclass(frozen=True)
class LotOffset:
    """How long a lot takes against the usual lot of its product: 1.2 is a fifth longer.

    `low` and `high` hold 90 %; `cups` counts the gel times of this lot behind it.
    """

    ratio: float
    low: float
    high: float
    cups: int


@dataclass(frozen=True)
class CupAnswer:
    """What a cup test says.

    `expected` is what was expected before it [min], `ratio` the gel time over that. `verdict` is
    "stop" (more than the tolerance off), "drifted", "as expected" or "not enough to tell"; `text`
    says it. `offset` is the lot's, with this cup counted. `kept` names the record it was kept as.
    """

    material: str
    lot: str
    temperature_c: float
    catalyst_pct: float
    gel_min: float
    expected: GelTime
    ratio: float
    verdict: str
    text: tuple[str, ...]
    offset: LotOffset
    limits: DoseLimits
    jobs_used: int
    cautions: tuple[str, ...]
    kept: str | None = None

    def to_json(self) -> dict[str, Any]:
        """Return the answer as plain dicts, lists, numbers and strings."""
        return plain_json(self)


def begun(
    material: str,
    gel_min: float,
    *,
    lot: str | None = None,
    temperature_c: float | None = None,
    catalyst_pct: float | None = None,
    mass_kg: float = 0.1,
    last: LastMix | None = None,
) -> tuple[Cup, tuple[str, ...]]:
    """A cup test with what was left out taken from the last mix, and what was taken.

    Raises QuestionError where neither says at which temperature or dose.
    """
    last = last or LastMix(None, None, None, None)
    given: dict[str, Any] = {"lot": lot, "temperature_c": temperature_c, "dose": catalyst_pct}
    before = {"lot": last.lot, "temperature_c": last.temperature_c, "dose": last.catalyst_pct}
    taken = {k: before[k] for k, v in given.items() if v is None and before[k] is not None}
    use = {**given, **taken}
    missing = [words for name, words in _NEEDED.items() if use[name] is None]
    if missing:
        raise QuestionError(f"say {' and '.join(missing)} too: the log has no mix to take it from")
    told = tuple(f"{_TOLD[name].format(value)}, from the last mix" for name, value in taken.items())
    cup = Cup(material, use["lot"] or "", use["temperature_c"], use["dose"], gel_min, mass_kg)
    return cup, told


_NEEDED = {"temperature_c": "how warm resin and cup were", "dose": "which dose it had"}
_TOLD = {"lot": "lot {}", "temperature_c": "{:.1f} °C", "dose": "{:.2f} % catalyst"}
