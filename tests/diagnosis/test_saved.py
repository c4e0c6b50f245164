"""A fitted model kept with its log: the same answers, and never a stale or damaged one."""

from __future__ import annotations

from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from analytics.diagnosis.diagnose import diagnose
from analytics.diagnosis.model import ShopModel, fit_shop
from analytics.diagnosis.saved import (
    LaterExposure,
    maker,
    model_bytes,
    model_of,
    table_bytes,
    table_of,
)
from analytics.jobs import jobs_table
from analytics.knowledge.loading import load_knowledge
from analytics.records.log import Log
from analytics.shop import Shop, base
from tests.builders import a_log
from tests.diagnosis.shops import faults, ordinary_jobs

KNOWN = load_knowledge()


@cache
def shop() -> tuple[ShopModel, pd.DataFrame, Log]:
    jobs = ordinary_jobs(160)
    for job in jobs[40:46]:
        job["gelcoat_batch_id"] = "MIX-7"
    mixes = [
        {"batch_id": "MIX-7", "material": "gelcoat", "lot": "G1", "catalyst_pct": 1.8,
         "air_c": 20.0, "gel_min": 14.0},
    ]  # fmt: skip
    bad = [job["part_id"] for job in jobs if job["mould_id"] == "M2"][::2]
    seen = [f for part in bad for f in faults(part, "pinholes")]
    seen += [f for job in jobs[40:46] for f in faults(job["part_id"], "sticking", "cracking")]
    log = a_log(parts=jobs, batches=mixes, defects=seen)
    table = jobs_table(log)
    proved = [("P0002", "pinholes", "mould-porous")]
    return fit_shop(KNOWN, table, log.defects, proved), table, log


def test_a_kept_model_gives_the_very_same_answers() -> None:
    model, jobs, log = shop()
    again = model_of(model_bytes(model), KNOWN, jobs)
    assert again is not None
    assert any(any(s.groups[name] for name in s.groups) for s in model.strengths)
    for part in ("P0002", "P0041", "P0010"):
        for one, other in zip(
            diagnose(model, jobs, log.defects, part),
            diagnose(again, jobs, log.defects, part),
            strict=True,
        ):
            assert other == one


def test_every_part_of_a_kept_model_is_as_it_was() -> None:
    model, jobs, _ = shop()
    again = model_of(model_bytes(model), KNOWN, jobs)
    assert again is not None
    for name in ("grade", "known", "impossible"):
        np.testing.assert_array_equal(getattr(again.exposure, name), getattr(model.exposure, name))
    for name in ("share", "hazard", "chain"):
        np.testing.assert_array_equal(getattr(again.trade, name), getattr(model.trade, name))
    assert again.jobs == model.jobs
    assert again.belief == model.belief
    for one, other in zip(model.strengths, again.strengths, strict=True):
        assert other.groups == one.groups
        np.testing.assert_array_equal(other.shape, one.shape)


def test_exposures_of_some_rows_do_not_wait_for_the_others() -> None:
    model, jobs, _ = shop()
    later = LaterExposure(model.trade.causes, jobs)
    few = later.of(slice(10, 14))
    assert "_whole" not in later.__dict__
    np.testing.assert_array_equal(few.known, later.known[10:14])
    np.testing.assert_array_equal(later.of(np.array([3, 5])).grade, later.grade[[3, 5]])


def test_a_kept_table_comes_back_with_its_own_types() -> None:
    _, jobs, log = shop()
    for table in (jobs, log.defects, jobs.iloc[:0]):
        again = table_of(table_bytes(table))
        assert again is not None
        pd.testing.assert_frame_equal(again, table.reset_index(drop=True))


@pytest.mark.parametrize("damage", ["short", "flipped", "foreign", "empty"])
def test_damaged_or_foreign_bytes_are_no_model_and_no_table(damage: str) -> None:
    model, jobs, _ = shop()
    for kept in (model_bytes(model), table_bytes(jobs)):
        flipped = bytearray(kept)
        flipped[len(kept) // 2] ^= 1
        wrong = {
            "short": kept[:-7],
            "flipped": bytes(flipped),
            "foreign": b"\x80\x04pickled",
            "empty": b"",
        }
        assert model_of(wrong[damage], KNOWN, jobs) is None
        assert table_of(wrong[damage]) is None


def test_what_was_never_kept_is_none() -> None:
    assert table_of(None) is None
    assert model_of(None, KNOWN, shop()[1]) is None


def test_another_knowledge_makes_another_model() -> None:
    from dataclasses import replace

    other = replace(KNOWN, likelihood=(0.01, 0.1, 0.3, 0.6))
    assert maker(other) != maker(KNOWN)
    assert maker(load_knowledge()) == maker(KNOWN)


# -- in a shop's store -----------------------------------------------------------------------------

HEAD = "Part no,Date,Mould,Faults,Pulls since wax\n"
ROWS = "".join(
    f"A{i},{i % 27 + 1} March 2024,M{i % 3},{'stuck' if i % 5 == 0 else 'ok'},{i % 9}\n"
    for i in range(60)
)


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A store with a short log in it, of a laylog that keeps every model."""
    monkeypatch.setattr(base, "WORTH_KEEPING", 1)
    log = tmp_path / "log.csv"
    log.write_text(HEAD + ROWS)
    with_log = opened(tmp_path / "shop.laylog")
    with_log.import_files([log])
    with_log.close()
    return tmp_path / "shop.laylog"


def opened(store: Path) -> Shop:
    return Shop.open(str(store), now=lambda: datetime(2024, 6, 1))


@pytest.fixture
def fits(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """The number of parts of every fit that was made."""
    made: list[int] = []

    def counted(knowledge: Any, jobs: pd.DataFrame, *given: Any) -> ShopModel:
        made.append(len(jobs))
        return fit_shop(knowledge, jobs, *given)

    monkeypatch.setattr("analytics.diagnosis.model.fit_shop", counted)
    return made


def test_a_shop_opened_again_need_not_learn_again(store: Path, fits: list[int]) -> None:
    first = opened(store).why("A5")
    assert fits == [60]
    again = opened(store)
    assert again.why("A5") == first
    assert fits == [60]
    # not even the log is read: its jobs and faults were kept too
    assert "log" not in again._cached.items


def test_an_import_makes_it_learn_again(store: Path, fits: list[int], tmp_path: Path) -> None:
    opened(store).why("A5")
    more = tmp_path / "more.csv"
    more.write_text(HEAD + "A99,4 April 2024,M1,stuck,12\n")
    shop = opened(store)
    shop.why("A5")
    shop.import_files([more])
    assert shop.why("A99")[0].causes[0].cause == "release-worn-out"
    assert fits == [60, 61]


def test_a_confirmed_cause_makes_it_learn_again_from_the_jobs_at_hand(
    store: Path, fits: list[int]
) -> None:
    shop = opened(store)
    shop.why("A5")
    jobs = shop.jobs()
    shop.confirm("A10", "sticking", "poor-draft")
    shop.why("A5")
    assert fits == [60, 60]
    assert shop.jobs() is jobs
    again = opened(store)
    again.why("A5")
    assert fits == [60, 60]
    assert "log" not in again._cached.items


def test_a_bench_result_counts_at_once_without_learning_again(store: Path, fits: list[int]) -> None:
    shop = opened(store)
    before = shop.why("A5")[0]
    check = next(cause.check_id for cause in before.causes if cause.check_id)
    shop.observe("A5", check, next(iter(shop.knowledge.checks[check].results)))
    shop.store.set_setting("density", 1.2)
    shop.store.add_entry("action", "new brush", {}, now=datetime(2024, 6, 1))
    after = shop.why("A5")[0]
    assert [c.probability for c in after.causes] != [c.probability for c in before.causes]
    assert fits == [60]


@pytest.mark.parametrize("wrong", [b"", b"not a model", b"\x80\x04\x95"])
def test_a_damaged_entry_is_learnt_again_quietly(
    store: Path, fits: list[int], wrong: bytes
) -> None:
    shop = opened(store)
    first = shop.why("A5")
    for name, mark in {"jobs": "", "defects": "", base.MODEL_KEY: "0-0"}.items():
        shop.store.cache_put(name, wrong, shop._state_of(mark))
    assert opened(store).why("A5") == first
    assert fits == [60, 60]


def test_a_store_that_cannot_be_written_can_still_be_asked(
    store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from analytics.errors import StoreError
    from analytics.records.store import Store

    def refused(*_: object) -> None:
        raise StoreError("the store cannot be written: it is read-only.")

    monkeypatch.setattr(Store, "cache_put", refused)
    assert opened(store).why("A5")


def test_a_short_log_leaves_nothing_in_the_store(
    store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(base, "WORTH_KEEPING", 61)
    before = store.read_bytes()
    shop = opened(store)
    shop.why("A5")
    shop.close()
    assert store.read_bytes() == before
