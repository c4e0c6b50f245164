"""`laylog compare` and `laylog trial` as a moulder types them."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import one_sentence, run

COMPARISON = {
    "question", "title", "field", "a", "b", "verdict", "sentence", "findings", "held", "compared",
    "out", "tangled", "to_do", "cannot_know", "warnings", "least", "jobs_used", "refused",
    "cautions",
}  # fmt: skip
LOOK = {
    "trial", "verdict", "sentence", "a", "b", "counted", "waiting", "more", "stake", "harm",
    "stop_rule", "warnings", "to_do", "by_mould",
}  # fmt: skip


def test_the_sample_shops_change_of_mat_is_seen_and_not_told_from_its_bystander(
    sample_store: Path,
) -> None:
    """Heavier mat came with another wax in the sample log: planted, and a harmless bystander."""
    ran = run("compare", "light-mat-first", "--json", "--store", sample_store)
    assert ran.code == 0
    assert set(ran.json) >= COMPARISON
    assert ran.json["verdict"] == "a-better"
    assert {"wax_type", "date"} <= {one["field"] for one in ran.json["tangled"]}
    assert "the log alone cannot tell" in ran.json["sentence"]


def test_a_word_that_is_no_field_is_said_before_the_fault_is_asked_for(sample_store: Path) -> None:
    said = one_sentence(run("compare", "more-cobalt", "--store", sample_store))
    assert said.startswith('no recorded field is called "more-cobalt"')


def test_a_question_of_ones_own_names_what_was_compared_and_left_out(sample_store: Path) -> None:
    ran = run("compare", "first ply", "300", "450+", "--defect", "print-through", "--store",
              sample_store)  # fmt: skip
    assert ran.code == 0
    for said in ("Left out:", "no result written", "What the log cannot know", "What to do:",
                 "Differed as well", "like with like"):  # fmt: skip
        assert said in ran.words


def test_a_number_is_a_ready_made_question(sample_store: Path) -> None:
    by_number = run("compare", "8", "--json", "--store", sample_store).json
    assert by_number == run("compare", "light-mat-first", "--json", "--store", sample_store).json


def test_all_eighteen_arguments_are_offered_in_text_and_json() -> None:
    assert "One heavy coat of wax, or several?" in run("compare", "--list").words
    offered = run("compare", "--list", "--json").json["questions"]
    assert [one["number"] for one in offered] == list(range(1, 19))
    assert all(one["source"] for one in offered)


def test_the_fields_to_pick_from_are_listed(sample_store: Path) -> None:
    fields = run("compare", "--fields", "--json", "--store", sample_store).json["fields"]
    assert "wax_coats" in {one["field"] for one in fields}
    assert "first ply" in run("compare", "--fields", "--store", sample_store).words
    assert "no filled-in field" in run("compare", "--fields").words


@pytest.mark.parametrize("question", ["winter-cobalt", "acetone-brush", "more-catalyst-in-cold"])
def test_unsafe_arguments_end_as_could_not_and_say_why(question: str) -> None:
    ran = run("compare", question)
    assert ran.code == 2
    assert "not tried" in ran.words
    assert "Keep safe" in ran.words


def test_a_dose_above_the_limit_is_refused_in_a_question_of_ones_own(sample_store: Path) -> None:
    ran = run("compare", "resin_catalyst_pct", "2", "3", "--defect", "tacky-surface", "--json",
              "--store", sample_store)  # fmt: skip
    assert ran.code == 2
    assert ran.json["verdict"] == "refused"
    assert "3 % by mass" in ran.json["refused"]


def test_an_empty_store_is_told_what_to_write_down() -> None:
    ran = run("compare", "1")
    assert ran.code == 0
    assert "No part in the log has a result" in ran.words
    assert "laylog import" in one_sentence(run("compare", "wax_coats", "--defect", "sticking"))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (("compare",), "ready-made question"),
        (("compare", "wax_coats", "1", "3"), "--defect"),
        (("compare", "wax_coats", "--defect", "sticking", "--where", "air"), "FIELD=WAY"),
        (("trial", "look"), "name"),
        (("trial", "new", "x", "one"), "two ways"),
        (("trial", "assign", "x"), "one part"),
        (("trial", "look", "nothing"), "no trial"),
    ],
)
def test_what_is_missing_is_said_in_one_sentence(typed: tuple[str, ...], said: str) -> None:
    assert said in one_sentence(run(*typed))


def test_two_ways_or_none(sample_store: Path) -> None:
    ran = run("compare", "wax_coats", "1", "--defect", "sticking", "--store", sample_store)
    assert "two ways" in one_sentence(ran)


def test_a_trial_is_planned_given_out_looked_at_and_stopped(own_store: Path) -> None:
    at = ("--store", own_store)
    new = run("trial", "new", "Wax", "1", "3+", "--field", "wax_coats", "--defect", "sticking",
              "--seed", "3", *at)  # fmt: skip
    assert new.code == 0
    assert "settled within" in new.words
    assert "months at your pace" in new.words
    first = run("trial", "assign", "wax", "Z900", "--mould", "TL-1", "--json", *at).json
    again = run("trial", "assign", "wax", "z-900", "--json", *at).json
    assert (first["way"], first["before"]) == (again["way"], not again["before"])
    assert "Z901: wax coats" in run("trial", "assign", "wax", "Z901", "--mould", "TL-1", *at).words
    look = run("trial", "look", "wax", "--json", *at)
    assert look.code == 0
    assert set(look.json) >= LOOK
    assert look.json["waiting"] == 2
    assert "seed" not in look.json["trial"]
    assert "go-on" in run("trial", "list", *at).words
    assert run("trial", "list", "--json", *at).json["trials"][0]["verdict"] == "go-on"
    assert "new wax" in run("trial", "stop", "wax", "--why", "new wax", *at).words


def test_no_trial_yet_says_how_to_plan_one() -> None:
    assert "laylog trial new" in run("trial", "list").words


def test_an_unsafe_trial_is_refused() -> None:
    ran = run("trial", "new", "speed", "acetone brush", "dry brush", "--defect", "delamination")
    assert "not tried" in one_sentence(ran)
