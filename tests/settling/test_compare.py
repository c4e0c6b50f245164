"""Two ways compared like with like, and an honest answer."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
import pytest
from statsmodels.stats.contingency_tables import StratifiedTable

from analytics.errors import QuestionError
from analytics.knowledge.loading import load_knowledge
from analytics.records.log import Log
from analytics.settling.answer import Comparison
from analytics.settling.compare import compare, own_question
from analytics.settling.findings import Asked, SideBySide, finding, judged_together
from analytics.settling.like import held_alike, season_of
from analytics.settling.ways import read_way
from analytics.stats.differences import jobs_each
from tests.settling.shops import a_shop, tables

KNOWN = load_knowledge()


def asked_of(log: Log, *ways: str, field: str = "wax_coats", **how: Any) -> Comparison:
    jobs, defects = tables(log)
    faults = how.pop("defects", ["sticking"])
    where = how.pop("where", None)
    question = own_question(jobs, field, ways or ("1", "3+"), faults, KNOWN, where)
    return compare(jobs, defects, KNOWN, question, **how)


def test_a_true_difference_is_found_and_said_the_right_way_round() -> None:
    found = asked_of(a_shop(share_one=0.4, share_three=0.05))
    assert found.verdict == "b-better"
    assert found.held == ("mould", "season", "person")
    assert "Less sticking, wax coats 3 or more" in found.sentence
    assert "with the same mould, season and person" in found.sentence
    assert asked_of(a_shop(share_one=0.05, share_three=0.4)).verdict == "a-better"


def test_no_difference_in_a_small_log_is_not_enough_and_never_called_alike() -> None:
    found = asked_of(a_shop(parts=150))
    assert found.verdict == "not-enough"
    assert found.sentence.startswith("Not enough jobs to tell")
    assert (found.findings[0].more_each or 0) > 100


def test_more_parts_are_counted_for_the_difference_that_is_said() -> None:
    log = a_shop(parts=150)
    small, large = asked_of(log, matters=0.05), asked_of(log, matters=0.12)
    adjusted = small.findings[0].adjusted
    assert adjusted is not None
    assert 0.05 < abs(adjusted.difference) < 0.12
    assert small.to_do[0].endswith("would tell a difference of this size.")
    assert large.to_do[0].endswith("would tell a difference of 12 in 100.")


def test_no_difference_in_a_very_big_log_is_practically_alike() -> None:
    found = asked_of(a_shop(parts=6000, share_one=0.05, share_three=0.05))
    assert found.verdict == "alike"
    assert found.findings[0].more_each == 0
    assert "cheaper" in found.to_do[0]


def test_a_bad_mould_that_got_one_way_is_not_blamed_on_the_way() -> None:
    log = a_shop(parts=600, bad_mould_gets=0.85)
    found = asked_of(log)
    (sticking,) = found.findings
    assert sticking.a is not None
    assert sticking.b is not None
    assert sticking.adjusted is not None
    assert sticking.a.share - sticking.b.share > 0.15
    assert abs(sticking.adjusted.difference) < 0.06
    assert found.verdict != "b-better"


def test_false_verdicts_are_rare_where_the_ways_do_nothing() -> None:
    jobs, _ = tables(a_shop(parts=240, seed=5))
    is_a = (jobs["wax_coats"] == 1).to_numpy()
    everyone = np.ones(len(jobs), dtype=bool)
    like = held_alike(jobs, "wax_coats", is_a, everyone, 20)
    asked = Asked(
        own_question(jobs, "wax_coats", ("1", "3+"), ["sticking"], KNOWN),
        read_way("wax_coats", "1"), read_way("wax_coats", "3+"), (), 0.05,
    )  # fmt: skip
    rng = np.random.default_rng(6)
    rates = np.where(jobs["mould_id"] == "TL-1", 0.4, 0.1)
    wrong = 0
    for _ in range(150):
        stuck = jobs["part_id"][rng.random(len(jobs)) < rates]
        defects = pd.DataFrame({"part_id": stuck, "defect": "sticking"})
        one = finding("sticking", SideBySide(jobs, defects, is_a, everyone, like), asked, KNOWN)
        wrong += judged_together((one,), asked)[0].verdict in ("a-better", "b-better")
    assert wrong / 150 <= 0.05


def test_ways_never_used_on_the_same_mould_are_said_to_be_beyond_comparing() -> None:
    log = a_shop(parts=200)
    parts = log.parts.assign(wax_coats=np.where(log.parts["mould_id"] == "TL-1", 1.0, 3.0))
    found = asked_of(replace(log, parts=parts))
    assert found.verdict == "never-alike"
    assert "never used under like conditions" in found.sentence
    assert found.compared == 0
    assert found.findings[0].adjusted is None


def test_what_changed_on_the_same_day_is_listed_and_takes_the_verdict_away() -> None:
    log = a_shop(parts=600, share_one=0.4, share_three=0.05, later=True)
    parts = log.parts.assign(
        date=log.parts["date"].where(
            log.parts["date"] < "2025-07-01", log.parts["date"] - pd.Timedelta(days=170)
        )
    )
    found = asked_of(replace(log, parts=parts))
    assert found.verdict == "b-better"
    assert "wax_type" in {tangle.field for tangle in found.tangled}
    assert "cannot tell which of them did it" in found.sentence
    assert found.to_do[0] == "Do not change anything on this alone."


def test_a_blank_result_counts_for_neither_way_and_is_listed() -> None:
    log = a_shop(parts=240, share_one=0.4, share_three=0.05)
    blank = log.parts.index < 40
    parts = log.parts.assign(
        looked=log.parts["looked"].where(~blank, False),
        wax_coats=log.parts["wax_coats"].where(log.parts.index % 10 != 7),
        mould_id=log.parts["mould_id"].where(log.parts.index != 239, None),
    )
    found = asked_of(replace(log, parts=parts))
    out = {one.why: one.parts for one in found.out}
    assert out["no result written"] == 40
    assert out["wax coats not written"] == 20
    counted = found.a.parts + found.b.parts
    assert counted + 60 == 240
    assert found.compared + sum(out.values()) == 240


def test_below_the_least_data_nothing_is_said_of_the_shares() -> None:
    found = asked_of(a_shop(parts=24, share_one=0.9, share_three=0.0))
    (sticking,) = found.findings
    assert sticking.verdict == "not-enough"
    assert (sticking.a, sticking.b, sticking.adjusted) == (None, None, None)
    assert "needed: 20 of each" in found.sentence
    assert "in 100" not in found.sentence


def test_the_odds_ratio_is_that_of_statsmodels_stratified_table() -> None:
    # statsmodels.stats.contingency_tables.StratifiedTable: Mantel-Haenszel pooled odds ratio, test
    log = a_shop(parts=400, share_one=0.35, share_three=0.15, seed=3)
    jobs, defects = tables(log)
    found = asked_of(log)
    stuck = jobs["part_id"].isin(defects["part_id"])
    frame = pd.DataFrame(
        {"one": jobs["wax_coats"] == 1, "stuck": stuck, "mould": jobs["mould_id"],
         "season": season_of(jobs["date"]), "who": jobs["operator"]}
    )  # fmt: skip
    strata = []
    for _, part in frame.groupby(["mould", "season", "who"]):
        rows = [part[part["one"]], part[~part["one"]]]
        strata.append([[r["stuck"].sum(), (~r["stuck"]).sum()] for r in rows])
    theirs = StratifiedTable([np.array(s, dtype=float) for s in strata])
    ours = found.findings[0].adjusted
    assert ours is not None
    assert ours.odds_ratio == pytest.approx(theirs.oddsratio_pooled)
    assert ours.p_value == pytest.approx(theirs.test_null_odds().pvalue)


def test_what_is_still_needed_is_of_the_order_of_the_published_sample_size() -> None:
    # Fleiss, Statistical Methods for Rates and Proportions, table A.3: 0.20 against 0.30 takes
    # 313 in each group at 80 % power with continuity correction
    found = asked_of(a_shop(parts=200, share_one=0.3, share_three=0.2, seed=8))
    (one,) = found.findings
    assert one.adjusted is not None
    assert one.more_each is not None
    wanted = jobs_each(one.adjusted.share_a, one.adjusted.share_b)
    assert jobs_each(0.2, 0.3) == 313
    assert one.verdict == "not-enough"
    assert 0.5 * (wanted - 100) <= one.more_each <= 1.6 * wanted


def test_several_faults_at_once_are_corrected_for() -> None:
    log = a_shop(share_one=0.4, share_three=0.05)
    found = asked_of(log, defects=["sticking", "pinholes", "wrinkling"])
    p = [f.adjusted.p_value for f in found.findings if f.adjusted]
    q = [f.adjusted.q_value for f in found.findings if f.adjusted]
    # Benjamini & Hochberg 1995: the smallest of three is tripled
    assert q[0] == pytest.approx(3 * p[0])
    assert [f.verdict for f in found.findings][1:] != ["b-better", "b-better"]


def test_parts_written_down_with_the_group_only_do_not_count_for_a_member() -> None:
    found = asked_of(a_shop(share_one=0.4, share_three=0.05), defects=["sticking-whole"])
    (whole,) = found.findings
    assert whole.a is not None
    assert whole.a.faults == 0
    assert whole.a.parts < found.a.parts


def test_a_question_may_be_about_some_parts_only() -> None:
    log = a_shop(share_one=0.4, share_three=0.05, air_c=17.0)
    parts = log.parts.assign(air_c=np.where(log.parts.index % 2 == 0, 17.0, 22.0))
    found = asked_of(replace(log, parts=parts), where={"air_c": "under 18"})
    assert found.a.parts + found.b.parts == 120
    assert "under 18" in found.where
    assert any("not under 18" in one.why for one in found.out)


def test_ways_that_overlap_are_refused_with_what_to_say_instead() -> None:
    with pytest.raises(QuestionError, match="do not meet"):
        asked_of(a_shop(parts=30), "under 3", "1+")


def test_an_unknown_fault_names_those_there_are() -> None:
    with pytest.raises(QuestionError, match="pinholes"):
        asked_of(a_shop(parts=30), defects=["stiking"])


def test_the_order_of_rows_does_not_matter() -> None:
    log = a_shop(share_one=0.4, share_three=0.05)
    turned = replace(log, parts=log.parts.sample(frac=1.0, random_state=2).reset_index(drop=True))
    assert asked_of(log).to_json() == asked_of(turned).to_json()


def test_swapping_the_ways_turns_the_answer_round() -> None:
    log = a_shop(share_one=0.4, share_three=0.05)
    there, back = asked_of(log, "1", "3+"), asked_of(log, "3+", "1")
    assert (there.verdict, back.verdict) == ("b-better", "a-better")
    ours, theirs = there.findings[0].adjusted, back.findings[0].adjusted
    assert ours is not None
    assert theirs is not None
    assert (ours.low, ours.high) == pytest.approx((-theirs.high, -theirs.low))


def test_moulds_themselves_can_be_compared_with_season_and_person_held() -> None:
    found = asked_of(a_shop(parts=600, bad_mould_gets=0.5), "TL-1", "HL-1", field="mould_id")
    assert found.held == ("season", "person")
    assert found.verdict == "b-better"


def test_the_answer_always_says_what_it_cannot_know() -> None:
    told = " ".join(asked_of(a_shop()).cannot_know)
    assert "Who picked the way" in told
    assert "Ask twenty such questions" in told
