"""One made-up shop in one season: the chance of the wanted gel time for each way of dosing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from analytics.catalyst.answer import DoseLimits, Window
from analytics.catalyst.choice import dose_to_use
from analytics.catalyst.gel_records import GelRecords, SheetPoint
from analytics.catalyst.model import GelTimeModel, Prediction
from analytics.catalyst.question import Question
from tests.catalyst.simulated import Shop, a_shop, log_of, records

SEASONS_C: Mapping[str, float] = {"winter": 15.5, "spring": 19.0, "summer": 25.0, "autumn": 17.0}
WINDOWS: Mapping[str, tuple[float, float]] = {"gel coat": (8.0, 20.0), "resin": (15.0, 30.0)}
USUAL_DOSES = {WINDOWS["gel coat"]: (1.5, 2.0), WINDOWS["resin"]: (1.25, 2.0)}
DOSES = np.round(np.arange(1.0, 2.51, 0.05), 2)
WAYS = ("best", "laylog", "habit", "1.5 %")
LOT_SD = 0.15
AVERAGE_LOT = 29
SHEET_SLIP = 0.15
TODAYS_LOT = "today"


@dataclass(frozen=True)
class Known:
    """What the advice knows: logged gel times, a data sheet's point, a cup test of today's lot."""

    name: str
    mixes: int
    sheet: bool = False
    cup: bool = False


KNOWN = (
    Known("0, nothing else", 0),
    Known("0, data sheet", 0, sheet=True),
    Known("0, one cup test", 0, cup=True),
    Known("0, data sheet and cup test", 0, sheet=True, cup=True),
    Known("5", 5),
    Known("5, data sheet", 5, sheet=True),
    Known("20", 20),
    Known("200", 200),
)


def drawn(seed: int, mixes: int) -> tuple[Shop, np.random.Generator]:
    """A shop whose lot number AVERAGE_LOT is the usual one, and what else is drawn for it."""
    rng = np.random.default_rng([seed, mixes])
    shop = a_shop(rng)
    shop.lot_offsets[AVERAGE_LOT] = 0.0
    return shop, rng


def taught(shop: Shop, rng: np.random.Generator, known: Known) -> GelTimeModel:
    """The model, told what is known but for the cup test."""
    points = [data_sheet(shop, rng)] if known.sheet else []
    return GelTimeModel().fit(log_of(shop, rng, known.mixes), points)


def data_sheet(shop: Shop, rng: np.random.Generator) -> SheetPoint:
    """The sheet's gel time at 25 °C and 1.8 %, off by SHEET_SLIP (sd in ln)."""
    at = np.array(25.0), np.array(1.8), np.array(AVERAGE_LOT)
    told = float(shop.true_min(*at)) * np.exp(rng.normal(0.0, SHEET_SLIP))
    return SheetPoint("", float(told), 25.0, 1.8)


def true_chances(
    shop: Shop, at_c: float, window: tuple[float, float], lot: float | None = None
) -> np.ndarray:
    """Chance of the window for each dose, for one who knows the law (and a lot's offset)."""
    law = shop.true_min(np.full(DOSES.size, at_c), DOSES, np.full(DOSES.size, AVERAGE_LOT))
    spread = np.hypot(LOT_SD, shop.noise_sd) if lot is None else shop.noise_sd
    level = np.log(law) + (lot or 0.0)
    return Prediction(level, np.full(DOSES.size, spread)).chance(*window)


def habit_pct(at_c: float) -> float:
    """What such a shop sets by habit: about 1.7 %, a little more in the cold (simulated.log_of)."""
    return float(np.clip(1.7 - 0.3 * (at_c - 18.0) / 5.0, 1.0, 2.5))


def chances(seed: int, known: Known, at_c: float, window: tuple[float, float]) -> np.ndarray:
    """True chance of the window by each of WAYS in one shop."""
    shop, rng = drawn(seed, known.mixes)
    if not known.cup:
        model = taught(shop, rng, known)
        truth, lot = true_chances(shop, at_c, window), ""
    else:
        offset = float(rng.normal(0.0, LOT_SD))
        model = _after_a_cup(shop, rng, known, at_c, offset)
        truth, lot = true_chances(shop, at_c, window, offset), TODAYS_LOT
    advised = _advised(model.predict(at_c, DOSES, lot=lot), window)
    by_hand = [int(np.argmin(np.abs(DOSES - pct))) for pct in (habit_pct(at_c), 1.5)]
    return np.array([truth.max(), truth[advised], *truth[by_hand]])


def _advised(made: Prediction, window: tuple[float, float]) -> int:
    """Where in DOSES the advice lands."""
    question = Question(
        material="resin", temperature_c=20.0, window=Window(*window), pot_kg=1.0, lot="",
        product="", film=False, humidity_pct=np.nan, limits=DoseLimits(1.0, 2.5, "", sheet=False),
        working_share=(0.6, 0.8), usual=USUAL_DOSES[window],
    )  # fmt: skip
    return dose_to_use(question, DOSES, made.chance(*window), made.log_mean)


def _after_a_cup(
    shop: Shop, rng: np.random.Generator, known: Known, at_c: float, offset: float
) -> GelTimeModel:
    points = [data_sheet(shop, rng)] if known.sheet else []
    cup = shop.true_min(np.array(at_c), np.array(1.8), np.array(AVERAGE_LOT))
    minutes = float(cup) * np.exp(offset + rng.normal(0.0, shop.noise_sd))
    one: GelRecords = records(
        np.array([max(np.round(minutes), 1.0)]), np.array([at_c]), np.array([1.8]), [TODAYS_LOT]
    )
    return GelTimeModel().fit(one, points)


def covered(seed: int, mixes: int, kept: int = 20) -> tuple[float, float]:
    """Share of held-out gel times inside the 90 % interval: of unseen lots, and of a known one."""
    shop, rng = drawn(seed, mixes)
    log = log_of(shop, rng, mixes)
    model = GelTimeModel().fit(log)
    at_c, pct = rng.uniform(10.0, 27.0, kept), rng.uniform(1.0, 2.5, kept)
    noise = np.exp(rng.normal(0.0, shop.noise_sd, kept))
    unseen = shop.true_min(at_c, pct, rng.integers(16, 29, kept)) * noise
    known = shop.true_min(at_c, pct, np.zeros(kept, dtype=int)) * noise
    first = log.lot[0] if mixes else ""
    return (
        _inside(unseen, model.predict(at_c, pct)),
        _inside(known, model.predict(at_c, pct, lot=first)),
    )


def _inside(gel_min: np.ndarray, made: Prediction) -> float:
    low, high = made.interval()
    return float(np.mean((gel_min >= low) & (gel_min <= high)))
