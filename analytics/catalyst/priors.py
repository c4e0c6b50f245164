"""What is believed about gel time before the shop's own records are read."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from analytics.catalyst.regression import Spread
from analytics.knowledge.model import Constant

NINETY_PCT_Z = 1.6448536269514722
"""Half width of a 90 % interval of a normal distribution, in standard deviations."""


@dataclass(frozen=True)
class Belief:
    """A normal belief about one number, with the bounds outside which it is not believed."""

    mean: float
    sd: float
    low: float = -math.inf
    high: float = math.inf


@dataclass(frozen=True)
class GelPrior:
    """Beliefs about the gel-time law (analytics.physics.gel_time) of one material.

    `log_gel_min` is ln of the gel time [min] at 20 °C and 2 %: a practice estimate, used where no
    data sheet gives a point; `sheet_log_sd` replaces most of its width where one does. Its spread
    is shared between what all products of the shop have in common and what each has of its own.
    `film_over_cup` is ln of the ratio. `humidity_per_10_pct` is the change in ln t per 10 %
    humidity, looked for only in more than `humidity_least_records` records. `slip_share` of the
    records are expected to be slips of the pen. `group_sd` is the spread between catalyst lots and
    between colours, used only where the log shows them to differ. Spreads (`noise`, `lot`) and
    everything called sd are in ln(minutes).
    """

    log_gel_min: Belief = Belief(math.log(17.5), 0.35)
    energy_kj_mol: Belief = Belief(53.0, 7.0, 35.0, 75.0)
    dose_power: Belief = Belief(0.8, 0.2, 0.3, 1.2)
    film_over_cup: Belief = Belief(math.log(1.8), 0.2)
    humidity_per_10_pct: Belief = Belief(0.0, 0.05)
    humidity_least_records: int = 30
    sheet_log_sd: float = 0.2
    noise: Spread = field(default_factory=lambda: _noise(0.2))
    lot: Spread = field(default_factory=lambda: _lot(0.15))
    slip_share: float = 0.02
    slip_log_sd: float = 1.0
    group_sd: Mapping[str, float] = field(
        default_factory=lambda: {"catalyst_lot": 0.1, "colour": 0.15}
    )

    @classmethod
    def of(cls, constants: Mapping[str, Constant], material: str) -> GelPrior:
        """The beliefs the knowledge in force gives for a material ("gelcoat" or "resin")."""
        level = constants[f"{material}-gel-at-reference"]
        ratio = constants["film-over-cup"]
        ratio_low, ratio_high = _bounds(ratio)
        return cls(
            log_gel_min=Belief(math.log(level.value), _sd(level) / level.value),
            energy_kj_mol=_belief(constants["activation-energy"]),
            dose_power=_belief(constants["dose-exponent"]),
            film_over_cup=Belief(
                math.log(ratio.value), 0.5 * math.log(ratio_high / ratio_low) / NINETY_PCT_Z
            ),
            humidity_least_records=int(constants["humidity-least-records"].value),
            noise=_noise(constants["noise-spread"].value),
            lot=_lot(constants["lot-spread"].value),
            group_sd={
                "catalyst_lot": constants["catalyst-lot-spread"].value,
                "colour": constants["colour-spread"].value,
            },
        )


def _noise(middle: float) -> Spread:
    return Spread(middle, 0.3, 0.05, 0.5, 25)


def _lot(middle: float) -> Spread:
    return Spread(middle, 0.5, 0.03, 0.5, 7)


def _belief(constant: Constant) -> Belief:
    return Belief(constant.value, _sd(constant), *_bounds(constant))


def _bounds(constant: Constant) -> tuple[float, float]:
    low = -math.inf if constant.low is None else constant.low
    high = math.inf if constant.high is None else constant.high
    return low, high


def _sd(constant: Constant) -> float:
    """Its sd, else a third of its range (a shop's own entry may give either)."""
    low, high = _bounds(constant)
    return (high - low) / 3.0 if constant.sd is None else constant.sd
