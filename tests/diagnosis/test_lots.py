"""A lot is slow when its cups are slow together; one slow cup says little of it."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from analytics.diagnosis.lots import lot_ratios
from analytics.jobs import jobs_table
from tests.builders import a_log

SCATTER = 0.12
GELCOAT, RESIN, CATALYST = range(3)


def cups(
    lots: list[str],
    *,
    slow: dict[str, float],
    catalysts: list[str] | None = None,
    air_c: list[float] | None = None,
    seed: int = 3,
) -> pd.DataFrame:
    """A jobs table: per part a gel-coat and a resin mix, `slow` times what is usual by lot."""
    rng = np.random.default_rng(seed)
    catalysts = catalysts or ["K1"] * len(lots)
    days = pd.date_range("2024-02-05", periods=len(lots), freq="D")
    parts, mixes = [], []
    for i, (lot, catalyst) in enumerate(zip(lots, catalysts, strict=True)):
        parts.append({"part_id": f"P{i:03d}", "date": days[i], "outcome": "good",
                      "gelcoat_batch_id": f"G{i}", "resin_batch_id": f"R{i}"})  # fmt: skip
        for key, material, usual, own in (("G", "gelcoat", 14.0, lot), ("R", "resin", 22.0, "R1")):
            late = slow.get(own, 1.0) * slow.get(catalyst, 1.0) * rng.lognormal(0, SCATTER)
            mixes.append({"batch_id": f"{key}{i}", "material": material, "lot": own,
                          "catalyst_lot": catalyst, "catalyst_pct": 1.8, "date": days[i],
                          "gel_min": usual * late,
                          "air_c": air_c[i] if air_c else 20.0})  # fmt: skip
    return jobs_table(a_log(parts, mixes))


def test_a_lot_slow_in_all_its_cups_stands_out() -> None:
    jobs = cups(["A"] * 20 + ["B"] * 20 + ["C"] * 20, slow={"B": 1.5})
    ratio = pd.Series(lot_ratios(jobs)[:, GELCOAT]).groupby(jobs["gelcoat_lot"]).first()
    assert ratio["B"] > 1.35
    assert ratio[["A", "C"]].max() < 1.1


def test_one_slow_cup_does_not_make_a_bad_lot() -> None:
    jobs = cups(["A"] * 40, slow={})
    jobs.loc[7, "gelcoat_gel_ratio"] = 3.0
    assert lot_ratios(jobs)[7, GELCOAT] < 1.1


def test_a_lot_of_one_cup_is_believed_half_at_most() -> None:
    jobs = cups(["A"] * 40 + ["B"], slow={"B": 2.0})
    assert 1.0 < lot_ratios(jobs)[-1, GELCOAT] < 1.6


def test_weak_catalyst_slows_both_mixes_and_is_told_from_a_slow_lot() -> None:
    bottles = ["K1"] * 20 + ["K3"] * 15 + ["K2"] * 15
    ratio = lot_ratios(cups(["A", "B"] * 25, slow={"K2": 1.5}, catalysts=bottles))[-1]
    assert ratio[CATALYST] > 1.3
    assert max(ratio[GELCOAT], ratio[RESIN]) < 1.15


def test_a_lot_opened_in_the_cold_is_not_slow_for_that() -> None:
    """The gel-time law may miss the cold of this shop: every lot is late then, not one of them."""
    winter = [8.0] * 10 + [20.0] * 20 + [8.0] * 10
    lots = ["A"] * 10 + ["B"] * 20 + ["C"] * 10
    jobs = cups(lots, slow={}, air_c=winter)
    jobs["gelcoat_gel_ratio"] *= np.where(np.array(winter) < 10, 1.3, 1.0)
    ratio = lot_ratios(jobs)[:, GELCOAT]
    assert ratio.max() < 1.25


def test_parts_of_one_mix_count_one_cup() -> None:
    jobs = cups(["A"] * 30 + ["B"] * 6, slow={})
    jobs.loc[jobs.index[30:], "gelcoat_gel_ratio"] = 2.0
    jobs.loc[jobs.index[30:], "gelcoat_batch_id"] = "G30"
    assert lot_ratios(jobs)[-1, GELCOAT] < 1.6


def test_a_lot_nobody_timed_is_unknown() -> None:
    jobs = cups(["A"] * 20 + ["B"] * 3, slow={})
    jobs.loc[jobs["gelcoat_lot"] == "B", "gelcoat_gel_ratio"] = np.nan
    ratio = lot_ratios(jobs)[:, GELCOAT]
    assert np.isnan(ratio[-1])
    assert ratio[0] == pytest.approx(1.0, abs=0.1)


def test_a_log_without_gel_times_tells_nothing_of_lots() -> None:
    jobs = jobs_table(a_log([{"part_id": "P1", "outcome": "good"}]))
    assert np.isnan(lot_ratios(jobs)).all()


def test_a_product_slow_by_design_is_no_bad_lot() -> None:
    jobs = cups(["A"] * 20 + ["B"] * 20, slow={"B": 1.6})
    jobs["gelcoat_product"] = ["plain"] * 20 + ["slow"] * 20
    assert lot_ratios(jobs)[:, GELCOAT].max() < 1.15
