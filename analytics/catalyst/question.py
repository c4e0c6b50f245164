"""What is asked of the catalyst advice, checked before anything is worked out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analytics.catalyst.answer import DoseLimits, Window
from analytics.catalyst.normal import Floats
from analytics.errors import QuestionError
from analytics.knowledge.model import Knowledge

MATERIALS = ("gelcoat", "resin")
# Held here and not in the knowledge, so that no shop's own file can loosen it.
COLD_C, HOT_C = 15.0, 30.0
BELIEVED_C = (-5.0, 45.0)
LONGEST_MIN = 240.0
LARGEST_POT_KG = 50.0
ENOUGH_LOGGED = 12
USES = {
    "general": "general work",
    "food": "food contact",
    "structural": "structural work",
    "classed": "classed work",
}


@dataclass(frozen=True)
class Question:
    """One checked question: everything the model and the sentences need."""

    material: str
    temperature_c: float
    window: Window
    pot_kg: float
    lot: str
    product: str
    film: bool
    humidity_pct: float
    limits: DoseLimits
    working_share: tuple[float, float]
    catalyst_lot: str = ""
    colour: str = ""
    usual: tuple[float, float] | None = None

    @property
    def usual_doses(self) -> tuple[float, float]:
        """The trade's usual doses inside the range [mass %]; all of it where a sheet differs."""
        limits = self.limits
        low, high = self.usual or (limits.low, limits.high)
        low, high = max(low, limits.low), min(high, limits.high)
        return (low, high) if low < high else (limits.low, limits.high)


def known_material(material: str) -> str:
    """The material's id. Raises QuestionError for one there is no gel-time law for."""
    plain = "".join(letter for letter in material.lower() if letter.isalpha())
    named = {"gelcoat": "gelcoat", "resin": "resin", "laminatingresin": "resin"}
    if plain not in named:
        raise QuestionError(
            f'no catalyst figure for "{material}": laylog knows neither its dose range nor how it '
            f"gels; follow its data sheet. Materials: {', '.join(MATERIALS)}"
        )
    return named[plain]


def check_initiator(initiator: str) -> None:
    """Raise QuestionError for anything but MEKP: the law and its limits hold for nothing else."""
    if initiator.strip().upper() not in {"MEKP", "MEKP SOLUTION"}:
        raise QuestionError(
            f'no advice for "{initiator}": these figures hold for MEKP only. '
            "For BPO, CHP, AAP or any other initiator follow its data sheet"
        )


def check_use(use: str, limits: DoseLimits) -> None:
    """Raise QuestionError for work that needs a data sheet where none is loaded."""
    if use not in USES:
        raise QuestionError(f'the work is one of {", ".join(USES)}, not "{use}"')
    if use != "general" and not limits.sheet:
        raise QuestionError(
            f"no advice for {USES[use]} without its data sheet: enter its dose range in the lots "
            "table, or give the range with the sheet's reference"
        )


def check_temperature(temperature_c: float) -> float:
    """The temperature [°C]. Raises QuestionError where it cannot be a workshop's in °C."""
    low, high = BELIEVED_C
    if low <= temperature_c <= high:
        return float(temperature_c)
    as_c, as_f = (temperature_c - 32.0) / 1.8, temperature_c * 1.8 + 32.0
    hint = " Measure the resin and the mould, and give the mean in °C."
    if high < temperature_c and as_c <= high:
        hint = f" If {temperature_c:.4g} °F was meant, that is {as_c:.1f} °C."
    elif temperature_c < low and 0 < as_f <= high:
        hint = f" If it was read in °C, give {as_f:.4g} °C."
    raise QuestionError(f"{temperature_c:.4g} °C is no temperature to laminate at.{hint}")


def check_humidity(humidity_pct: float | None) -> float:
    """The humidity [%], NaN where none is given. Raises QuestionError outside 1 to 100."""
    if humidity_pct is None:
        return float("nan")
    if not 1.0 <= humidity_pct <= 100.0:
        raise QuestionError(
            f"a humidity of {humidity_pct:g} cannot be; give percent from 1 to 100, such as 65"
        )
    return float(humidity_pct)


def check_pot(pot_kg: float) -> float:
    """The pot [kg]. Raises QuestionError where it is not above 0 or no hand mix."""
    if not pot_kg > 0:
        raise QuestionError(f"a pot of {pot_kg:g} kg cannot be; give the kilograms you will mix")
    if pot_kg > LARGEST_POT_KG:
        raise QuestionError(
            f"a pot of {pot_kg:g} kg is no hand mix; if grams were meant, that is "
            f"{pot_kg / 1000:g} kg"
        )
    return float(pot_kg)


def usual_doses(knowledge: Knowledge, material: str) -> tuple[float, float] | None:
    """The doses usual in the trade, from and to [mass %]; None where it names none."""
    limit = knowledge.limits.get(f"{material}-catalyst")
    if limit is None or limit.low is None or limit.high is None:
        return None
    return float(limit.low), float(limit.high)


def working_share(knowledge: Knowledge) -> tuple[float, float]:
    """Working time as a share of cup gel time, least and most (0.6 to 0.8 in the trade)."""
    share = knowledge.constants["working-time-share"]
    return share.low or share.value, share.high or share.value


def wanted_window(
    window_min: tuple[float, float] | None,
    working_min: float | None,
    knowledge: Knowledge,
    material: str,
    logged_min: Floats,
) -> tuple[Window, tuple[str, ...]]:
    """The gel time wanted [min], and a warning where it is not the user's own.

    A working time of w asks for a gel time from w/0.8 to w/0.6. Where nothing is asked for it is
    the trade's usual time, else the middle half of the gel times this shop has logged.
    """
    if window_min is not None and working_min is not None:
        raise QuestionError("give either the gel time wanted or the working time, not both")
    if working_min is not None:
        return _from_working_time(working_min, working_share(knowledge)), ()
    if window_min is not None:
        return _checked(*window_min), ()
    return _usual_window(knowledge, material, logged_min)


def _usual_window(
    knowledge: Knowledge, material: str, logged_min: Floats
) -> tuple[Window, tuple[str, ...]]:
    usual = knowledge.limits.get(f"{material}-gel-time")
    if usual is not None and usual.low is not None and usual.high is not None:
        whose = f"usual in the trade ({knowledge.sources[usual.source].text})"
        if knowledge.sources[usual.source].kind == "shop":
            whose = "the shop's own rule"
        low, high = float(usual.low), float(usual.high)
    elif len(logged_min) >= ENOUGH_LOGGED:
        low, high = (float(np.round(q)) for q in np.quantile(logged_min, [0.25, 0.75]))
        whose = "the middle half of those in this log"
    else:
        raise QuestionError(
            "say what is wanted: a gel time from … to … minutes, or the working time in minutes"
        )
    told = f"No time was asked for: a gel time of {low:g} to {high:g} min was taken, {whose}."
    return _checked(low, high), (told,)


def _from_working_time(working_min: float, share: tuple[float, float]) -> Window:
    if not 0 < working_min <= LONGEST_MIN:
        raise QuestionError(
            f"a working time of {working_min:g} min cannot be; give 1 to {LONGEST_MIN:g} min"
        )
    least, most = share
    return Window(working_min / most, working_min / least, float(working_min))


def _checked(low: float, high: float) -> Window:
    if not low < high:
        raise QuestionError(
            f"the window {low:g} to {high:g} min is upside down; give the shorter time first"
        )
    if low <= 0 or high > LONGEST_MIN * 2:
        raise QuestionError(
            f"a gel time from {low:g} to {high:g} min cannot be aimed at; give minutes above 0"
        )
    return Window(float(low), float(high))
