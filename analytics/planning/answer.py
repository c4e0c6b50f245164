"""The plan for a day: one object that terminal, page, print and JSON share."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Literal

from analytics.catalyst.answer import CatalystAdvice

if TYPE_CHECKING:
    from analytics.diagnosis.risk import Change, PlannedRisk

State = Literal["ok", "look", "stop", "unknown"]


@dataclass(frozen=True)
class Span:
    """A figure as a range: most days lie from `low` to `high`, about half stay under `usual`.

    `jobs` counts the logged jobs it is learnt from, 0 where it is the trade's; `source` says which
    in a few words.
    """

    low: float
    usual: float
    high: float
    jobs: int
    source: str


@dataclass(frozen=True)
class When:
    """A moment as a range of clock times, in steps of five minutes."""

    early: datetime
    usual: datetime
    late: datetime


@dataclass(frozen=True)
class PlyAmount:
    """One ply: its mat [g/m2], what kind, the mat to cut [m2], its weight with waste [kg]."""

    number: int
    g_m2: float
    kind: str
    cut_m2: float
    cut_kg: float


@dataclass(frozen=True)
class Materials:
    """What to weigh out and cut. `waste_share` [0..1] is in every `cut_*` and `*_kg` but glass_kg.

    `glass_kg` is the dry glass on the part, `resin_to_glass` the ratio resin is worked out by,
    `glass_pct` the glass content [mass %] that gives, `thickness_mm` the laminate without gel coat.
    """

    plies: tuple[PlyAmount, ...]
    glass_kg: float
    resin_kg: float
    gelcoat_kg: float
    waste_share: float
    resin_to_glass: Span
    glass_pct: float
    wet_film_mm: float
    thickness_mm: Span


@dataclass(frozen=True)
class Mix:
    """One pot: what it holds [kg], its catalyst, and how long it stays usable [min].

    `work_min` is how long it should take to use it up, `covers` which plies or how much face.
    """

    material: str
    number: int
    of: int
    kg: float
    catalyst_pct: float
    grams: float
    ml: float
    working_min: float
    work_min: float
    covers: str


@dataclass(frozen=True)
class Step:
    """One line of the day's clock: from when to when, the test by hand, what the times rest on.

    `hands_on` steps need somebody there; the others are waits.
    """

    id: str
    title: str
    starts: When
    ends: When
    hands_on: bool
    test: str
    rests_on: str
    jobs: int
    tomorrow: bool


@dataclass(frozen=True)
class Check:
    """Something to look at before starting: ok, look at it, stop, or unknown until measured."""

    id: str
    title: str
    state: State
    text: str


@dataclass(frozen=True)
class DayPlan:
    """What to weigh, cut and mix, and when to do what.

    `assumed` names everything nobody said. `moves` says what does not fit today, `start_by` is the
    latest start [HH:MM] at which all of it does, if there is one. `doses` is the full catalyst
    advice for one pot of each material; `cautions` joins theirs and stands wherever a dose is
    shown. `jobs_used` counts the parts of the log behind it.
    """

    title: str
    date: date
    start: str
    until: str
    mould_id: str | None
    area_m2: float
    schedule: str
    temperature_c: float
    temperature_from: str
    humidity_pct: float | None
    release: str
    wax_coats: int
    pulls_since_renewal: int | None
    materials: Materials
    mixes: tuple[Mix, ...]
    doses: tuple[CatalystAdvice, ...]
    timeline: tuple[Step, ...]
    fits: bool
    moves: tuple[str, ...]
    start_by: str | None
    checks: tuple[Check, ...]
    risks: tuple[PlannedRisk, ...]
    change: Change | None
    assumed: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    jobs_used: int

    def to_json(self) -> dict[str, Any]:
        """The plan as plain dicts, lists, numbers and strings; times are ISO text."""
        own = {
            name: _plain(getattr(self, name))
            for name in self.__dataclass_fields__
            if name not in ("doses", "risks", "change", "materials", "mixes", "timeline", "checks")
        }
        return {
            **own,
            "materials": _plain(asdict(self.materials)),
            "mixes": [_plain(asdict(mix)) for mix in self.mixes],
            "doses": [dose.to_json() for dose in self.doses],
            "timeline": [_plain(asdict(step)) for step in self.timeline],
            "checks": [asdict(check) for check in self.checks],
            "risks": [risk.to_json() for risk in self.risks],
            "change": self.change.to_json() if self.change else None,
        }


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    if isinstance(value, datetime):
        return value.isoformat(timespec="minutes")
    if isinstance(value, float):
        return round(value, 4)
    return value.isoformat() if isinstance(value, date) else value
