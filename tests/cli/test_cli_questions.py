"""`why`, `month`, `confirm`, `place`: what they print, and how they refuse."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from analytics.knowledge.loading import load_knowledge
from sample_logs import REVIEW_MONTH, STUCK_PART
from tests.cli.running import Ran, one_sentence, run

SOUND_PART = "B0001"


def why(*arguments: str | Path) -> Ran:
    return run("why", *arguments)


def test_why_shows_rank_evidence_checks_and_what_to_do(sample_store: Path) -> None:
    shown = why(STUCK_PART, "--store", sample_store).words
    for part in ("Release worn out", "for: 9 pulls", "check:", "mend:", "prevent:",
                 "something else, or not written down", "Check next", "This part:",
                 "Good parts made most alike", "Take care:"):  # fmt: skip
        assert part in shown


def test_why_says_how_to_confirm_what_it_was(sample_store: Path) -> None:
    shown = why(STUCK_PART, "--store", sample_store).words
    assert f"laylog confirm {STUCK_PART} CAUSE, one of release-worn-out, " in shown


def test_why_shows_what_comes_from_the_trade_and_what_from_the_log(sample_store: Path) -> None:
    shown = why(STUCK_PART, "--store", sample_store).words
    assert "start: in the trade about" in shown
    assert "[log]" in shown
    assert re.search(r"Rests on the trade and on \d+ parts of this log", shown)


def test_the_shares_shown_by_why_add_up_to_a_hundred(sample_store: Path) -> None:
    shown = why(STUCK_PART, "--store", sample_store).out
    shares = re.findall(r"^ +(\d+|under 1) %  \S", shown, re.MULTILINE)
    total = sum(0.5 if share == "under 1" else float(share) for share in shares)
    assert total == pytest.approx(100, abs=3)


@pytest.mark.parametrize("typed", ["b0323", "B-0323", "b 0323"])
def test_a_part_is_found_however_its_number_is_typed(typed: str, sample_store: Path) -> None:
    (answer,) = why(typed, "--json", "--store", sample_store).lines
    assert answer["part"] == STUCK_PART


def test_a_bench_result_moves_the_answer(sample_store: Path) -> None:
    def chance(*seen: str) -> float:
        (answer,) = why(STUCK_PART, *seen, "--json", "--store", sample_store).lines
        return next(c["probability"] for c in answer["causes"] if c["cause"] == "release-worn-out")

    assert chance("--seen", "pull-history=rising") > chance() > chance("--seen", "tape-pull=easy")


def test_where_on_the_part_it_is_moves_the_answer(sample_store: Path) -> None:
    def draft(*place: str) -> float:
        (answer,) = why(STUCK_PART, *place, "--json", "--store", sample_store).lines
        return next(c["probability"] for c in answer["causes"] if c["cause"] == "poor-draft")

    assert draft("--place", "same-spot") > draft() > draft("--place", "bottom")
    same = draft("--seen", "where-map=same-spot")
    assert draft("--place", "same-spot") == same


def test_a_fault_may_be_asked_about_that_nobody_wrote_down(sample_store: Path) -> None:
    (answer,) = why(SOUND_PART, "--defect", "pinholes", "--json", "--store", sample_store).lines
    assert answer["defect"] == "pinholes"


def test_nothing_written_down_is_no_evidence_either_way(tmp_path: Path) -> None:
    log = tmp_path / "bare.csv"
    log.write_text("Part no,Date,Mould,Faults\nP1,4 March 2024,M1,stuck\nP2,5 March 2024,M1,ok\n")
    assert run("import", log).code == 0
    (answer,) = why("P1", "--json").lines
    known = load_knowledge().causes
    assert sum(len(cause["unknown"]) for cause in answer["causes"]) > 3
    for cause in answer["causes"]:
        told = [*cause["for"], *cause["against"]]
        for evidence in known[cause["cause"]].evidence:
            for sentence in (evidence.says, evidence.denies):
                shape = re.sub(r"\\\{\w+\\\}", ".*", re.escape(sentence))
                assert not any(re.fullmatch(shape, clue) for clue in told)


def test_why_failed_shows_a_line_per_fault(tmp_path: Path) -> None:
    log = tmp_path / "few.csv"
    log.write_text(
        "Part no,Date,Mould,Faults\nP1,4 March 2024,M1,stuck\nP2,5 March 2024,M1,ok\n"
        'P3,6 March 2024,M1,"pinholes, tacky"\n'
    )
    run("import", log)
    shown = why("--failed").out
    assert re.findall(r"^(P\d) +(\S+)", shown, re.MULTILINE) == [
        ("P3", "pinholes"), ("P3", "tacky-surface"), ("P1", "sticking"),
    ]  # fmt: skip
    assert "3 faults" in shown


def test_a_log_without_faults_has_none_to_explain() -> None:
    run("units", "metric")
    ran = why("--failed")
    assert ran.code == 0
    assert "No part in the log has a fault" in ran.out
    assert why("--failed", "--json").out == ""


REFUSED = {
    "unknown part": (("NOPE",), "Nearest:"),
    "a sound part": ((SOUND_PART,), "no fault written down"),
    "no part": ((), "one part number"),
    "a part and all": ((STUCK_PART, "--failed"), "one part number"),
    "no result": ((STUCK_PART, "--seen", "tape-pull"), "CHECK=RESULT"),
    "unknown check": ((STUCK_PART, "--seen", "foo=bar"), "acetone-swab"),
    "unknown result": ((STUCK_PART, "--seen", "tape-pull=purple"), "hard-all"),
    "unknown fault": ((STUCK_PART, "--defect", "nope"), "pinholes"),
    "unknown place": ((STUCK_PART, "--place", "moon"), "same-spot"),
    "a place and all": (("--failed", "--place", "edges"), "go with one part number"),
}


@pytest.mark.parametrize(("asked", "says"), REFUSED.values(), ids=REFUSED)
def test_why_refuses_in_one_sentence_that_says_what_would_do(
    asked: tuple[str, ...], says: str, sample_store: Path
) -> None:
    assert says in one_sentence(why(*asked, "--store", sample_store))


def test_why_on_an_empty_log_says_to_import_one() -> None:
    assert "laylog import" in one_sentence(why("P1"))


def test_month_shows_result_faults_and_what_stands_out(sample_store: Path) -> None:
    shown = run("month", REVIEW_MONTH, "--store", sample_store).words
    for part in ("38 parts. Good: 14 of 36", "2 without a result", "Pinholes", "more",
                 "not enough jobs to tell", "What stands out:", "gel-coat lot 0435",
                 "Know this:"):  # fmt: skip
        assert part in shown


def test_month_without_a_name_is_the_latest(sample_store: Path) -> None:
    assert run("month", "--json", "--store", sample_store).json["month"] == "2026-02"


@pytest.mark.parametrize("typed", ["2025-13", "april", "2025/04", "2031-01", "1850-01"])
def test_a_month_that_is_none_or_not_in_the_log_is_refused(typed: str, sample_store: Path) -> None:
    sentence = one_sentence(run("month", typed, "--store", sample_store))
    assert "2024-" in sentence


@pytest.mark.parametrize("asked", [(), ("2024-03",)])
def test_month_on_an_empty_log_says_so(asked: tuple[str, ...]) -> None:
    run("units", "metric")
    assert "date" in one_sentence(run("month", *asked))


def test_records_show_a_question_mark_where_nothing_is_written(tmp_path: Path) -> None:
    log = tmp_path / "bare.csv"
    log.write_text("Part no,Date,Mould,Faults\nP1,4 March 2024,M1,stuck\nP2,5 March 2024,M1,\n")
    run("import", log)
    lines = run("records").out.splitlines()
    assert lines[1].split() == ["P1", "2024-03-04", "M1", "?", "?", "faulty", "sticking"]
    assert lines[2].split() == ["P2", "2024-03-05", "M1", "?", "?", "?"]


CONFIRM_REFUSED = {
    "no cause": ((STUCK_PART,), "--withdraw"),
    "both": ((STUCK_PART, "too-cold", "--withdraw"), "leave the cause out"),
    "unknown cause": ((STUCK_PART, "gremlins"), "laylog why B0323"),
    "unknown part": (("NOPE", "too-cold"), "Nearest:"),
    "none to take back": ((STUCK_PART, "--withdraw"), "no cause is confirmed"),
    "several faults": (("B0017", "too-cold"), "--defect pinholes or wrinkling"),
    "not a cause of it": ((STUCK_PART, "damp-mat"), "Listed: release-worn-out, "),
    "how to add one's own": ((STUCK_PART, "damp-mat"), "--knowledge FILE"),
}


@pytest.mark.parametrize(("asked", "says"), CONFIRM_REFUSED.values(), ids=CONFIRM_REFUSED)
def test_confirm_refuses_in_one_sentence(
    asked: tuple[str, ...], says: str, own_store: Path
) -> None:
    before = own_store.read_bytes()
    assert says in one_sentence(run("confirm", *asked, "--store", own_store))
    assert own_store.read_bytes() == before


def test_what_was_typed_is_not_told_back_at_length(sample_store: Path) -> None:
    said = one_sentence(run("why", "x" * 10_000, "--store", sample_store))
    assert len(said) < 300
    assert "Nearest:" in said


def test_a_cause_the_trade_lists_under_the_faults_group_can_be_confirmed(own_store: Path) -> None:
    ran = run("confirm", STUCK_PART, "film-patchy", "--store", own_store)
    assert "confirmed, film-patchy" in ran.out


def test_place_alone_lists_the_fields_a_column_can_be() -> None:
    shown = run("place")
    assert shown.code == 0
    assert re.search(r"^  air_c +Shop air +°C$", shown.out, re.MULTILINE)
    listed = {(entry["record"], entry["field"]) for entry in run("place", "--json").json}
    assert {("part", "pva_dry_min"), ("batch", "gel_min"), ("logger", "timestamp")} <= listed


PLACE_REFUSED = {
    "no field": (("Stuff",), "laylog place lists them"),
    "no heading": ((" ", "air_c"), "Say the heading"),
    "unknown field": (("Stuff", "air_temp"), "air_c"),
    "unknown unit": (("Stuff", "air_c", "--unit", "parsecs"), "°F"),
    "unit of something else": (("Stuff", "air_c", "--unit", "kg"), "°F"),
    "a unit where there is none": (("Stuff", "operator", "--unit", "kg"), "no unit"),
}


@pytest.mark.parametrize(("asked", "says"), PLACE_REFUSED.values(), ids=PLACE_REFUSED)
def test_place_refuses_in_one_sentence(asked: tuple[str, ...], says: str) -> None:
    assert says in one_sentence(run("place", *asked))
