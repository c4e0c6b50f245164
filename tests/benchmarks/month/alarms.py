"""False alarms in shops where nothing happens, and how soon a doubled rate is found."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from analytics.knowledge.model import Knowledge
from analytics.month import review_month
from tests.month.shops import RATES, a_shop

ONE_KIND: Mapping[str, float] = {"sticking": 0.05}
DOUBLED = "sticking"
BASE_MONTHS, WATCHED_MONTHS = 12, 12
POWER_BASE_MONTHS = 18


@dataclass(frozen=True)
class Quiet:
    """Signals of quiet shops over some years: all of them, and those new in their month."""

    shops: int
    years: float
    shown: int
    new: int
    kinds: Mapping[str, int]

    @property
    def new_a_year(self) -> float:
        return self.new / self.years

    @property
    def spread(self) -> float:
        """Standard error of `new_a_year`, as of a Poisson count."""
        return float(np.sqrt(max(self.new, 1))) / self.years


def quiet(
    shops: int, knowledge: Knowledge, *, seed: int, parts_a_month: int = 60,
    rates: Mapping[str, float] = RATES,
) -> Quiet:  # fmt: skip
    """Reviews of every month of the second year of shops in which nothing changes."""
    shown, new, kinds = 0, 0, dict[str, int]()
    for number in range(shops):
        shop = a_shop(seed + number, months=BASE_MONTHS + WATCHED_MONTHS,
                      parts_a_month=parts_a_month, rates=rates)  # fmt: skip
        for month in sorted(shop.jobs["month"].unique())[BASE_MONTHS:]:
            signals = review_month(shop.jobs, shop.log, knowledge, month=month).signals
            shown += len(signals)
            for signal in signals:
                if signal.new:
                    new += 1
                    kinds[signal.kind] = kinds.get(signal.kind, 0) + 1
    return Quiet(shops, shops * WATCHED_MONTHS / 12, shown, new, kinds)


@dataclass(frozen=True)
class Found:
    """Of `shops` in which one defect doubled: found within one, two, three months."""

    shops: int
    within: tuple[int, int, int]

    @property
    def share(self) -> float:
        return self.within[2] / self.shops


def doubled(
    shops: int, knowledge: Knowledge, *, seed: int, rates: Mapping[str, float] = RATES,
    base_months: int = POWER_BASE_MONTHS, parts_a_month: int = 60,
) -> Found:  # fmt: skip
    """Shops whose 5 % sticking doubles on the first of a month; a rise of it has to be shown."""
    within = np.zeros(3, dtype=int)
    for number in range(shops):
        within += np.array(list(_each_month(seed + number, knowledge, rates, base_months,
                                            parts_a_month)))  # fmt: skip
    return Found(shops, tuple(int(w) for w in within))  # type: ignore[arg-type]


def _each_month(
    seed: int, knowledge: Knowledge, rates: Mapping[str, float], base_months: int, each: int
) -> Iterator[bool]:
    """Whether it is found by the end of the first, second, third month."""
    changed_on = pd.Timestamp("2022-01-01") + pd.DateOffset(months=base_months)

    def plant(parts: pd.DataFrame, chance: dict[str, np.ndarray]) -> None:
        chance[DOUBLED][(parts["date"] >= changed_on).to_numpy()] *= 2.0

    shop = a_shop(seed, months=base_months + 3, parts_a_month=each, rates=rates, plant=plant)
    found = False
    for month in sorted(shop.jobs["month"].unique())[base_months:]:
        if not found:
            signals = review_month(shop.jobs, shop.log, knowledge, month=month).signals
            found = any(one.defect == DOUBLED and not one.fell for one in signals)
        yield found
