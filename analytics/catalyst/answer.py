"""The answer to "how much catalyst, today?": one object that screen, print and JSON share."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import date
from typing import Any


@dataclass(frozen=True)
class DoseLimits:
    """The dose range in force [% by mass of catalyst solution on resin] and where it is from.

    `sheet` is True where it is a data sheet's.
    """

    low: float
    high: float
    source: str
    sheet: bool = False


@dataclass(frozen=True)
class GelTime:
    """Expected gel time [min]: half of such mixes gel by `median`, 90 % from `low` to `high`."""

    median: float
    low: float
    high: float


@dataclass(frozen=True)
class Window:
    """The gel time wanted [min]; `working_min` is set when a working time was asked for."""

    low: float
    high: float
    working_min: float | None = None


@dataclass(frozen=True)
class DosePoint:
    """One point of the chance-against-dose picture: gel times [min], chance [0..1]."""

    catalyst_pct: float
    chance: float
    median: float
    low: float
    high: float


@dataclass(frozen=True)
class Density:
    """Density of the catalyst solution [g/ml] used to turn grams into ml, and where it is from."""

    g_ml: float
    source: str


@dataclass(frozen=True)
class SetAside:
    """A logged gel time the model hardly listened to: which record, why, its weight [0..1]."""

    record: str
    reason: str
    weight: float


@dataclass(frozen=True)
class LearntLaw:
    """What the model believes about this material: each is (mean, standard deviation).

    `gel_min_20c_2pct` is the gel time at 20 °C and 2 % [min] with its sd in ln,
    `energy_kj_mol` the temperature effect, `dose_exponent` the n in time ~ dose**-n,
    `film_over_cup` the ratio of film to cup gel time, `noise_sd` and `lot_sd` are in ln(minutes).
    """

    gel_min_20c_2pct: tuple[float, float]
    energy_kj_mol: tuple[float, float]
    dose_exponent: tuple[float, float]
    film_over_cup: tuple[float, float]
    noise_sd: float
    lot_sd: float
    humidity_per_10_pct: tuple[float, float] | None = None


@dataclass(frozen=True)
class CatalystAdvice:
    """How much catalyst for this pot, what gel time to expect, and what to do where dose fails.

    `feasible` is True when the advised dose puts the expected (median) gel time inside the wanted
    window and the temperature is from 15 to 30 °C; `chance` says how sure that is. When it is
    False the dose is only the nearest one inside the limits, and `instead` says what to do.
    `gel_at` is where the gel time is counted: "cup" (cup or pot) or "film". `cure_risks` are the
    reasons a mix may gel and still not cure. `jobs_used` counts the logged gel times behind the
    figures; `last_record` is the date of the newest. `ask_first` is what to give before anything
    else where the figure rests on next to nothing.
    """

    material: str
    temperature_c: float
    temperature_from: str
    lot: str | None
    pot_kg: float
    window: Window
    catalyst_pct: float
    limits: DoseLimits
    gel_min: GelTime
    gel_at: str
    chance: float
    feasible: bool
    instead: tuple[str, ...]
    grams: float
    ml: float
    density: Density
    curve: tuple[DosePoint, ...]
    cure_risks: tuple[str, ...]
    cautions: tuple[str, ...]
    warnings: tuple[str, ...]
    jobs_used: int
    last_record: date | None
    set_aside: tuple[SetAside, ...]
    law: LearntLaw
    ask_first: str | None = None

    def to_json(self) -> dict[str, Any]:
        """Return the answer as plain dicts, lists, numbers and strings; dates are ISO text."""
        return plain_json(self)


def plain_json(answer: Any) -> dict[str, Any]:
    """An answer object as plain dicts, lists, numbers and strings; dates are ISO text."""
    return {key: _plain(value) for key, value in asdict(answer).items()}


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(inner) for inner in value]
    return value.isoformat() if isinstance(value, date) else value
