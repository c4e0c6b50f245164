"""Whose doing the faults of many parts were."""

from __future__ import annotations

from datetime import datetime
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from analytics.diagnosis import owed as owing
from analytics.diagnosis.diagnose import diagnose
from analytics.diagnosis.model import ShopModel
from analytics.diagnosis.owed import owed, owed_totals
from analytics.diagnosis.suspects import GROUPS
from analytics.shop import Shop
from tests.diagnosis.shops import a_shop, faults, ordinary_jobs

FAULTY = [f"P{i:04d}" for i in range(0, 240, 6)]


@cache
def shop() -> tuple[ShopModel, pd.DataFrame, pd.DataFrame]:
    jobs = ordinary_jobs(240)
    for job in jobs[::12]:
        job["pulls_since_renewal"] = 13.0
    for job in jobs[100:140]:
        job["gelcoat_batch_id"] = f"MIX-{job['mould_id']}"
    seen = [f for part in FAULTY for f in faults(part, "sticking")]
    seen += [f for part in FAULTY[::3] for f in faults(part, "cracking", "pinholes")]
    seen += [f for job in jobs[2::4][:25] for f in faults(job["part_id"], "fish-eyes")]
    model, table, log = a_shop(jobs, seen)
    return model, table, log.defects


def test_the_shares_of_every_fault_sum_to_one() -> None:
    told = owed(*shop(), FAULTY)
    assert list(told.columns) == ["part_id", "defect", "cause", "share"]
    sums = told.groupby(["part_id", "defect"])["share"].sum()
    np.testing.assert_allclose(sums, 1.0, atol=1e-4)
    defects = shop()[2]
    assert len(sums) == defects["part_id"].isin(FAULTY).sum()


def test_a_few_parts_get_the_shares_why_gives() -> None:
    model, jobs, defects = shop()
    told = owed(model, jobs, defects, ["P0012"]).set_index(["defect", "cause"])["share"]
    for answer in diagnose(model, jobs, defects, "P0012"):
        assert told[answer.defect, ""] == pytest.approx(answer.unexplained, abs=0.05)
        for cause in answer.causes:
            assert told[answer.defect, cause.cause] == pytest.approx(cause.probability, abs=1e-9)


def test_a_confirmed_cause_has_all_of_its_fault() -> None:
    proved = {("P0012", "sticking"): "poor-draft"}
    told = owed(*shop(), ["P0012", "P0018"], proved)
    own = told[(told["part_id"] == "P0012") & (told["defect"] == "sticking")]
    assert own[["cause", "share"]].to_numpy().tolist() == [["poor-draft", 1.0]]
    total = next(t for t in owed_totals(*shop(), ["P0012"], proved) if t.cause == "poor-draft")
    assert total.confirmed == 1
    assert total.low >= 1


def test_parts_without_a_fault_or_not_in_the_log_give_nothing() -> None:
    assert owed(*shop(), ["P0001", "NOPE"]).empty
    assert owed_totals(*shop(), []) == ()


def test_totals_add_up_to_the_faults_and_lie_inside_their_bounds() -> None:
    told = owed_totals(*shop(), FAULTY)
    faults_seen = int(shop()[2]["part_id"].isin(FAULTY).sum())
    assert sum(t.expected for t in told) == pytest.approx(faults_seen, abs=0.01)
    assert {t.faults for t in told} == {faults_seen}
    assert all(0 <= t.low <= t.expected <= t.high <= faults_seen for t in told)
    assert [t.expected for t in told] == sorted((t.expected for t in told), reverse=True)


@pytest.fixture
def many(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every question counts as one about many parts."""
    monkeypatch.setattr(owing, "FEW_PARTS", 0)


@pytest.mark.usefixtures("many")
def test_many_parts_are_shared_out_by_the_models_own_hazards() -> None:
    model, jobs, defects = shop()
    told = owed(model, jobs, defects, [f"P{i:04d}" for i in range(240)])
    alone = told[told["defect"] == "fish-eyes"]
    family = model.trade.family_index("fish-eyes")
    assert len(alone["part_id"].unique()) == 25
    for part, rows in alone.groupby("part_id"):
        place = int(np.flatnonzero(jobs["part_id"] == part)[0])
        groups = {name: jobs[name].iloc[place] for name in GROUPS}
        plain = model.hazards(place, groups)
        hazards = plain.believed(model.trade.share, model.belief)
        own = np.append(hazards.total[:, family], hazards.leak[family])
        names = [*(c.id for c in model.trade.causes), ""]
        want = dict(zip(names, own / own.sum(), strict=True))
        for row in rows.itertuples():
            assert row.share == pytest.approx(want[row.cause], abs=1e-12)
    # the shop has something of the kind the shares must take in
    assert any(model.strengths[family].groups.values())


@pytest.mark.usefixtures("many")
def test_a_fault_another_brought_takes_over_its_causes() -> None:
    told = owed(*shop(), FAULTY).set_index(["part_id", "defect", "cause"])["share"]
    # cracked because it stuck, and stuck because the release was worn out
    assert told["P0036", "cracking", "release-worn-out"] > 0.1


def test_a_shop_counts_what_it_was_told(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log.write_text(
        "Part no,Date,Mould,Faults,Pulls since wax\n"
        "A1,4 March 2024,M1,stuck,9\nA2,5 March 2024,M1,ok,1\nA3,6 March 2024,M1,pinholes,2\n"
    )
    shop = Shop.open(str(tmp_path / "shop.laylog"), now=lambda: datetime(2024, 6, 1))
    shop.import_files([log])
    shop.observe("A1", "acetone-swab", "clean")
    shop.confirm("A3", "pinholes", "mould-porous")
    told = shop.owed(["A1", "A2", "A3"]).set_index(["part_id", "cause"])["share"]
    assert told["A3", "mould-porous"] == 1.0
    why = {c.cause: c.probability for c in shop.why("A1")[0].causes}
    assert told["A1", "release-worn-out"] == pytest.approx(why["release-worn-out"], abs=1e-9)
    totals = {t.cause: t for t in shop.owed_totals(["A1", "A3"])}
    assert totals["mould-porous"].confirmed == 1
    assert shop.risk({"pulls_since_renewal": 9.0})[0].defect == "sticking"
    change = shop.best_change({"pulls_since_renewal": 9.0})
    assert change is not None
    assert change.field == "pulls_since_renewal"
    shop.close()
