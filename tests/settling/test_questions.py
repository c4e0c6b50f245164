"""The old arguments of the trade: all asked, those that are unsafe refused, none below its data."""

from __future__ import annotations

from dataclasses import replace

import pytest

from analytics.errors import KnowledgeError, QuestionError
from analytics.knowledge.loading import load_knowledge
from analytics.settling.compare import compare, own_question
from analytics.settling.refusing import refusal, within
from analytics.settling.trial import plan_trial
from analytics.settling.ways import read_way
from tests.builders import a_log
from tests.settling.shops import a_shop, tables

KNOWN = load_knowledge()
QUESTIONS = list(KNOWN.questions.values())


def test_there_are_eighteen_numbered_as_the_trade_argues_them() -> None:
    assert sorted(q.number for q in QUESTIONS) == list(range(1, 19))


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda q: q.id)
def test_every_question_can_be_asked_of_any_log(question) -> None:
    for log in (a_log(), a_shop(parts=60)):
        jobs, defects = tables(log)
        found = compare(jobs, defects, KNOWN, question, lots=log.lots)
        assert found.sentence
        assert found.verdict in ("not-enough", "never-alike", "elsewhere", "refused")
        assert (found.verdict == "refused") == bool(question.refused)


@pytest.mark.parametrize("question", [q for q in QUESTIONS if q.field], ids=lambda q: q.id)
def test_every_questions_two_ways_are_read_and_do_not_meet(question) -> None:
    cells = tables(a_shop(parts=6))[0][question.field]
    a, b = read_way(question.field, question.way_a), read_way(question.field, question.way_b)
    from analytics.settling.ways import overlap

    assert not overlap(a, b, cells)
    assert refusal(KNOWN, (a, b)) is None
    assert question.least_each >= 10


@pytest.mark.parametrize("name", ["more-catalyst-in-cold", "acetone-brush", "winter-cobalt"])
def test_the_unsafe_arguments_are_refused_with_the_reason_and_the_danger(name: str) -> None:
    jobs, defects = tables(a_shop(parts=6))
    found = compare(jobs, defects, KNOWN, KNOWN.questions[name])
    assert found.verdict == "refused"
    assert "not tried" in found.refused
    assert found.cautions
    assert found.findings == ()


@pytest.mark.parametrize(
    ("field", "way"),
    [
        ("gelcoat_catalyst_pct", "3"),
        ("gelcoat_catalyst_pct", "over 2.5"),
        ("resin_catalyst_pct", "2 to 4"),
        ("resin_catalyst_pct", "under 1"),
        ("resin_catalyst_pct", "0.5"),
    ],
)
def test_a_dose_beyond_the_range_is_refused_however_it_is_said(field: str, way: str) -> None:
    against = refusal(KNOWN, (read_way(field, way), read_way(field, "1.5")))
    assert against is not None
    assert "not tried" in against.reason
    assert any("goggles" in caution for caution in against.cautions)


def test_a_dose_beyond_the_newest_data_sheet_is_refused_too() -> None:
    lots = a_log(
        lots=[{"lot": "L1", "material": "gelcoat", "sheet_low_pct": 1.2, "sheet_high_pct": 2.0}]
    ).lots
    ways = (read_way("gelcoat_catalyst_pct", "2.2"), read_way("gelcoat_catalyst_pct", "1.5"))
    assert refusal(KNOWN, ways) is None
    against = refusal(KNOWN, ways, lots=lots)
    assert against is not None
    assert "data sheet of lot L1" in against.reason


def test_no_shop_file_can_move_the_cap_or_drop_a_guard(tmp_path) -> None:
    loose = tmp_path / "shop.toml"
    loose.write_text("[limit.gelcoat-catalyst]\nflag_high = 4.0\n", "utf-8")
    ways = (read_way("gelcoat_catalyst_pct", "3"), read_way("gelcoat_catalyst_pct", "2"))
    assert refusal(load_knowledge(loose), ways) is not None
    loose.write_text('[guard.accelerator]\nwords = ["nothing"]\n', "utf-8")
    with pytest.raises(KnowledgeError, match="no such kind"):
        load_knowledge(loose)


def test_parts_made_beyond_the_range_are_left_out_of_an_open_way() -> None:
    jobs, _ = tables(a_shop(parts=6))
    cells = jobs.assign(gelcoat_catalyst_pct=[1.5, 2.0, 2.4, 2.6, 0.8, float("nan")])
    fine = within("gelcoat_catalyst_pct", cells["gelcoat_catalyst_pct"], KNOWN)
    assert fine.tolist() == [True, True, True, False, False, True]


@pytest.mark.parametrize(
    ("a", "b"),
    [
        ("acetone on the brush", "dry brush"),
        ("a drop of cobalt", "none"),
        ("more promoter", "as bought"),
        ("4 % catalyst", "2 % catalyst"),
        ("gas heater under the mould", "no heater"),
        ("without gloves", "gloves"),
    ],
)
def test_a_trial_of_something_unsafe_is_refused_in_words(a: str, b: str) -> None:
    jobs, defects = tables(a_shop(parts=6))
    with pytest.raises(QuestionError):
        plan_trial("t", a, b, ["sticking"], jobs, defects, KNOWN, seed=1)


@pytest.mark.parametrize(("a", "b"), [("thinner coats", "thick coats"), ("tape", "no tape")])
def test_ordinary_words_are_not_taken_for_danger(a: str, b: str) -> None:
    jobs, defects = tables(a_shop(parts=6))
    assert plan_trial("t", a, b, ["sticking"], jobs, defects, KNOWN, seed=1).way_a == a


def test_a_trial_dose_needs_both_ends_inside_the_range() -> None:
    jobs, defects = tables(a_shop(parts=6))
    with pytest.raises(QuestionError, match="open end"):
        plan_trial("t", "over 1.5", "1.5", ["sticking"], jobs, defects, KNOWN, seed=1,
                   field="resin_catalyst_pct")  # fmt: skip
    assert plan_trial("t", "2", "1.5", ["sticking"], jobs, defects, KNOWN, seed=1,
                      field="resin_catalyst_pct").field == "resin_catalyst_pct"  # fmt: skip


def test_what_is_past_may_be_looked_at_where_only_trials_of_it_are_refused() -> None:
    thick = (read_way("session_mm", "over 6"), read_way("session_mm", "6 or less"))
    assert refusal(KNOWN, thick) is None
    assert refusal(KNOWN, thick, trial=True) is not None


def test_least_data_of_a_question_hold_faults_and_seasons_too() -> None:
    log = a_shop(parts=300, share_one=0.3, share_three=0.1)
    jobs, defects = tables(log)
    base = own_question(jobs, "wax_coats", ("1", "3+"), ["sticking"], KNOWN)
    assert compare(jobs, defects, KNOWN, base).findings[0].adjusted is not None
    for stricter in ({"least_all": 4000}, {"least_faults": 4000}, {"least_seasons": 5}):
        silent = compare(jobs, defects, KNOWN, replace(base, **stricter))
        assert silent.findings[0].adjusted is None
        assert silent.verdict == "not-enough"
