"""Following the advice, in shops whose law is known: how often the wanted gel time is met."""

from __future__ import annotations

import numpy as np
import pytest

from analytics.catalyst.model import GelTimeModel, Prediction, SheetPoint
from tests.catalyst.simulated import Shop, a_shop, log_of

SEASONS_C = {"winter": 15.5, "spring": 19.0, "summer": 25.0}
DOSES = np.round(np.arange(1.0, 2.51, 0.05), 2)
FIXED = int(np.argmin(np.abs(DOSES - 1.5)))
WINDOW = (15.0, 30.0)
LOT_SD = 0.15
AVERAGE_LOT = 29


def true_chances(shop: Shop, at_c: float) -> np.ndarray:
    """Chance of the window for each dose, over new lots, for one who knows the shop's law."""
    law = shop.true_min(np.full(DOSES.size, at_c), DOSES, np.full(DOSES.size, AVERAGE_LOT))
    spread = np.full(DOSES.size, np.hypot(LOT_SD, shop.noise_sd))
    return Prediction(np.log(law), spread).chance(*WINDOW)


def data_sheet(shop: Shop, rng: np.random.Generator) -> list[SheetPoint]:
    at = np.array(25.0), np.array(1.8), np.array(AVERAGE_LOT)
    return [SheetPoint("", float(shop.true_min(*at)) * np.exp(rng.normal(0.0, 0.15)), 25.0, 1.8)]


def hits(mixes: int, sheet: bool, shops: int, season: str) -> tuple[float, float, float]:
    """Mean chance of the window: following the advice, knowing the law, always 1.5 %."""
    found = []
    for seed in range(shops):
        rng = np.random.default_rng([seed, mixes])
        shop = a_shop(rng)
        shop.lot_offsets[AVERAGE_LOT] = 0.0
        points = data_sheet(shop, rng) if sheet else []
        model = GelTimeModel().fit(log_of(shop, rng, mixes), points)
        truth = true_chances(shop, SEASONS_C[season])
        chances = model.predict(SEASONS_C[season], DOSES).chance(*WINDOW)
        found.append((truth[np.argmax(chances)], truth.max(), truth[FIXED]))
    advised, best, fixed = np.mean(found, axis=0)
    return float(advised), float(best), float(fixed)


@pytest.mark.parametrize("season", SEASONS_C)
@pytest.mark.parametrize(
    ("mixes", "sheet", "shops", "share"),
    [(0, True, 60, 0.90), (5, False, 60, 0.92), (20, False, 40, 0.95), (200, False, 15, 0.97)],
)
def test_advice_comes_close_to_knowing_the_law_and_beats_a_fixed_dose(
    mixes: int, sheet: bool, shops: int, share: float, season: str
) -> None:
    advised, best, fixed = hits(mixes, sheet, shops, season)
    assert advised >= share * best
    assert advised > fixed + 0.05


def test_knowing_nothing_is_no_worse_than_a_fixed_dose_over_the_year() -> None:
    by_season = [hits(0, False, 100, season) for season in SEASONS_C]
    advised, _, fixed = np.mean(by_season, axis=0)
    assert advised > fixed + 0.03
