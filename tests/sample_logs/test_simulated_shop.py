"""The simulator: the same shop for the same seed, plain physics, and blame that adds up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from importlib.resources import files
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from analytics.records.log import Log, columns_of
from sample_logs.faults import EXPOSURES
from sample_logs.plan import Change, ShopPlan
from sample_logs.strengths import STRENGTHS, UNRECORDED
from sample_logs.workshop import Shop, simulate

SMALL = ShopPlan(months=12, parts_per_month=30)
# The fault ids the whole project uses.
FAULTS = {
    "sticking-whole", "sticking-patches", "pinholes", "air-voids", "print-through", "tacky-face",
    "tacky-back", "wrinkling", "pre-release", "fish-eyes", "cracking", "delamination", "dry-spots",
    "resin-rich", "warping", "blisters", "dull-surface", "colour-streaks",
}  # fmt: skip


@pytest.fixture(scope="module")
def shop() -> Shop:
    return simulate(SMALL, seed=1)


@pytest.fixture(scope="module")
def neat_shop() -> Shop:
    return simulate(replace(SMALL, missing_share=0.0), seed=1)


def tables(shop: Shop) -> Iterator[pd.DataFrame]:
    yield from shop.tables().values()
    yield shop.truth


def test_same_seed_gives_the_same_shop(shop: Shop) -> None:
    for one, other in zip(tables(shop), tables(simulate(SMALL, seed=1)), strict=True):
        pd.testing.assert_frame_equal(one, other)


def test_another_seed_gives_another_shop(shop: Shop) -> None:
    assert not shop.truth.equals(simulate(SMALL, seed=2).truth)


def test_every_column_is_a_field_of_the_log(shop: Shop) -> None:
    for record, table in shop.tables().items():
        if record != "defect":
            assert set(table.columns) <= set(columns_of(record))


def test_tables_make_a_log_without_losing_a_value(shop: Shop) -> None:
    log = Log.of(shop.tables())
    pd.testing.assert_frame_equal(log.parts[shop.parts.columns], shop.parts)
    pd.testing.assert_frame_equal(log.batches[shop.batches.columns], shop.batches)
    pd.testing.assert_frame_equal(log.logger, log.logger.assign(**shop.logger))


def test_parts_point_to_mixes_that_exist(shop: Shop) -> None:
    known = set(shop.batches["batch_id"])
    assert set(shop.parts["gelcoat_batch_id"]) | set(shop.parts["resin_batch_id"]) == known


def test_shares_of_blame_add_up_to_one(shop: Shop) -> None:
    total = shop.truth.groupby(["part_id", "defect"])["share"].sum()
    assert total.to_numpy() == pytest.approx(np.ones(len(total)), abs=0.003)


def test_every_fault_is_one_the_project_knows() -> None:
    assert set(STRENGTHS) == FAULTS


def test_every_cause_has_an_exposure_and_every_exposure_a_fault() -> None:
    used = {cause for strengths in STRENGTHS.values() for cause in strengths}
    assert used == set(EXPOSURES)
    assert used >= UNRECORDED


def test_every_cause_is_one_the_knowledge_knows() -> None:
    known = {
        Path(entry.name).stem for entry in (files("analytics.knowledge") / "data/causes").iterdir()
    }
    assert {*EXPOSURES, "knocked-at-demould"} - known == {"unexplained"}


def test_exposures_stay_between_none_and_full(shop: Shop) -> None:
    values = [exposure(job) for job in shop.jobs for exposure in EXPOSURES.values()]
    assert min(values) == 0.0
    assert max(values) == 1.0


def test_faults_written_down_are_the_reported_ones_of_the_truth(shop: Shop) -> None:
    reported = shop.truth[shop.truth["reported"]]
    written = set(zip(shop.defects["part_id"], shop.defects["defect"], strict=True))
    assert set(zip(reported["part_id"], reported["defect"], strict=True)) == written


def test_part_without_a_result_has_no_fault_written_down(shop: Shop) -> None:
    silent = set(shop.parts.loc[~shop.parts["looked"], "part_id"])
    assert silent
    assert not silent & set(shop.defects["part_id"])
    assert shop.parts.loc[~shop.parts["looked"], "outcome"].isna().all()


def test_nothing_is_left_blank_when_no_share_is_missing(neat_shop: Shop) -> None:
    sometimes_nothing = {"pva_dry_min", "pva_coverage", "rework_min", "defects", "notes"}
    blank = neat_shop.parts.isna().any()
    assert set(blank[blank].index) <= sometimes_nothing
    assert not neat_shop.batches.isna().any().any()


def test_how_it_is_written_down_does_not_change_what_happened(shop: Shop, neat_shop: Shop) -> None:
    assert shop.jobs == neat_shop.jobs
    told = ["part_id", "defect", "cause", "share"]
    pd.testing.assert_frame_equal(shop.truth[told], neat_shop.truth[told])


def test_warm_mixes_gel_sooner_at_the_rate_put_in(neat_shop: Shop) -> None:
    mixes = neat_shop.batches.query("material == 'resin' and gel_where == 'cup'")
    cold = 1 / (8.314e-3 * (273.15 + (mixes["material_c"] + mixes["mould_c"]) / 2))
    dose = np.log(mixes["catalyst_pct"] / 2)
    design = np.column_stack([np.ones(len(mixes)), cold, dose])
    slopes = np.linalg.lstsq(design, np.log(mixes["gel_min"]), rcond=None)[0]
    assert slopes[1] == pytest.approx(56, abs=6)
    assert slopes[2] == pytest.approx(-0.75, abs=0.25)


def test_winter_is_in_july_in_the_south() -> None:
    south = simulate(replace(SMALL, southern=True, heated=False), seed=1).logger
    by_month = south.groupby(south["timestamp"].dt.month)["air_c"].mean()
    assert by_month.loc[[6, 7, 8]].max() < by_month.loc[[12, 1, 2]].min()


def test_stove_warms_winter_mornings(shop: Shop) -> None:
    cold = simulate(replace(SMALL, heated=False), seed=1)
    winter = shop.parts["date"].dt.month.isin([12, 1])
    assert shop.parts.loc[winter, "air_c"].mean() > cold.parts.loc[winter, "air_c"].mean() + 4


def test_logger_may_read_every_half_hour() -> None:
    logger = simulate(replace(SMALL, months=2, logger_every_min=30), seed=1).logger
    assert logger["timestamp"].diff().min() == pd.Timedelta(minutes=30)


def test_weak_catalyst_gels_late_and_leaves_tack() -> None:
    weak = Change("weak-catalyst", date(2025, 2, 1), date(2025, 5, 31))
    shop = simulate(replace(SMALL, changes=(weak,), missing_share=0.0), seed=1)
    lots = {job.film.mix.catalyst_lot.lot for job in shop.jobs if job.film.mix.catalyst_lot.weak}
    assert len(lots) == 1
    blamed = shop.truth[shop.truth["cause"] == "catalyst-old-or-weak"]
    assert {"tacky-face", "tacky-back"} <= set(blamed["defect"])


def test_film_aimed_thin_is_blamed_as_thin() -> None:
    thin = Change("wet-film-mm", SMALL.start, subject="Hob", amount=0.25)
    shop = simulate(replace(SMALL, changes=(thin,)), seed=1)
    causes = shop.truth.groupby("cause").size()
    usual = simulate(SMALL, seed=1).truth.groupby("cause").size()
    assert causes["gelcoat-too-thin"] > 3 * usual.get("gelcoat-too-thin", 0)


def test_change_ends_on_its_last_day_and_the_latest_wins() -> None:
    first = Change("stove-c", date(2025, 1, 1), date(2025, 1, 31), amount=10)
    later = Change("stove-c", date(2025, 1, 20), date(2025, 1, 25), amount=5)
    plan = replace(SMALL, changes=(first, later))
    days = [date(2024, 12, 31), date(2025, 1, 19), date(2025, 1, 25), date(2025, 1, 31)]
    assert [plan.amount("stove-c", d, 17) for d in days] == [17, 10, 5, 10]
    assert plan.amount("stove-c", date(2025, 2, 1), 17) == 17


def test_log_of_eighteen_months_ends_where_it_should() -> None:
    assert ShopPlan(start=date(2024, 9, 2), months=18).end == date(2026, 3, 1)
    assert ShopPlan(start=date(2024, 9, 2), months=4).end == date(2025, 1, 1)
