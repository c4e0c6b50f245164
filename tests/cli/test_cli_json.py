"""The keys of `--json` that other programs may rely on, for every command that answers."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from analytics.shop import Shop
from sample_logs import FILES, REVIEW_MONTH, STUCK_PART
from tests.cli.running import run

SHEET = {"sheet", "rows", "parts", "batches", "logger", "duplicates", "not_records"}
PROBLEM = {"kind", "sheet", "row", "column", "found", "expected", "action"}
WHY = {"part", "defect", "causes", "unexplained", "jobs_used", "warnings"}
CAUSE = {
    "cause", "title", "probability", "low", "high", "for", "against", "unknown", "check", "mend",
    "prevent", "cautions",
}  # fmt: skip
MONTH = {"month", "parts", "good", "defects", "signals", "warnings"}
SIGNAL = {"kind", "subject", "since", "text", "strength", "jobs"}
CATALYST = {
    "material", "temperature_c", "catalyst_pct", "limits", "gel_min", "chance", "feasible",
    "instead", "grams", "ml", "cautions", "jobs_used",
}  # fmt: skip


@pytest.fixture(scope="module")
def failed(sample_store: Path) -> list[Any]:
    """The answers of `laylog why --failed --json` for every eighth part with a fault."""
    with pytest.MonkeyPatch.context() as patch:
        all_of_them = Shop.failed_parts
        patch.setattr(Shop, "failed_parts", lambda shop: all_of_them(shop)[::8])
        ran = run("why", "--failed", "--json", "--store", sample_store)
    assert ran.code == 0
    return ran.lines


def fault_of(answer: dict[str, Any]) -> tuple[str, str]:
    return answer["part"], answer["defect"]


@pytest.mark.parametrize("command", ["import", "check"])
def test_import_and_check_tell_every_file_and_sheet(command: str) -> None:
    ran = run(command, "--json", *FILES)
    files = ran.json["files"]
    assert ran.code == 1
    assert {file["file"] for file in files} == {file.name for file in FILES}
    sheets = [sheet for file in files for sheet in file["sheets"]]
    problems = [problem for file in files for problem in file["problems"]]
    assert all(set(sheet) >= SHEET for sheet in sheets)
    assert problems
    assert all(set(problem) >= PROBLEM for problem in problems)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_every_row_of_a_sheet_is_accounted_for(file: Path) -> None:
    (report,) = run("check", "--json", file).json["files"]
    for sheet in report["sheets"]:
        kept = sum(sheet[name] for name in ("parts", "batches", "logger", "lots", "moulds"))
        assert sheet["rows"] == kept + sheet["duplicates"] + sheet["not_records"]


def test_why_gives_one_json_line_per_fault(sample_store: Path) -> None:
    (answer,) = run("why", STUCK_PART, "--json", "--store", sample_store).lines
    assert set(answer) >= WHY
    assert (answer["part"], answer["defect"]) == (STUCK_PART, "sticking-whole")


def test_why_failed_answers_every_fault_once_and_all_chances_sum_to_one(
    sample_store: Path,
) -> None:
    parts = run("records", "--json", "--store", sample_store).json["parts"]
    faults = {
        (part["part_id"], fault["defect"])
        for part in parts
        for fault in part["defects"]
        if fault["defect"]
    }
    answers = run("why", "--failed", "--json", "--store", sample_store).lines
    assert len(faults) > 200
    assert sorted(map(fault_of, answers)) == sorted(faults)
    for answer in answers:
        total = answer["unexplained"] + sum(c["probability"] for c in answer["causes"])
        assert total == pytest.approx(1, abs=1e-4), answer["part"]


def test_every_answer_has_the_fixed_keys(failed: list[Any]) -> None:
    assert all(set(answer) >= WHY for answer in failed)
    assert all(set(cause) >= CAUSE for answer in failed for cause in answer["causes"])


def test_every_chance_lies_inside_its_interval(failed: list[Any]) -> None:
    for answer in failed:
        assert 0 <= answer["unexplained"] <= 1
        for cause in answer["causes"]:
            assert 0 <= cause["low"] <= cause["probability"] <= cause["high"] <= 1


def test_causes_are_ranked_likeliest_first(failed: list[Any]) -> None:
    for answer in failed:
        chances = [cause["probability"] for cause in answer["causes"]]
        assert chances == sorted(chances, reverse=True)


def test_every_cause_says_what_to_check_mend_and_prevent(failed: list[Any]) -> None:
    for answer in failed:
        for cause in answer["causes"]:
            assert all(cause[key] for key in ("title", "check", "mend", "prevent"))


def test_every_check_offered_comes_with_its_cautions_in_words(failed: list[Any]) -> None:
    checks = [check for answer in failed for check in answer["next_checks"]]
    assert any(check["cautions"] for check in checks)
    assert all(" " in caution for check in checks for caution in check["cautions"])


def test_why_gives_the_same_answer_twice(sample_store: Path) -> None:
    asked = ("why", STUCK_PART, "--json", "--store", sample_store)
    assert run(*asked).out == run(*asked).out


def test_month_has_the_fixed_keys(sample_store: Path) -> None:
    review = run("month", REVIEW_MONTH, "--json", "--store", sample_store).json
    assert set(review) >= MONTH
    assert review["month"] == REVIEW_MONTH
    assert set(review["good"]) >= {"share", "low", "high"}
    assert review["signals"]
    assert all(set(signal) >= SIGNAL for signal in review["signals"])


def test_catalyst_has_the_fixed_keys(sample_store: Path) -> None:
    asked = ("catalyst", "--temperature", "18", "--json", "--store", sample_store)
    advice = run(*asked).json
    assert set(advice) >= CATALYST
    assert set(advice["limits"]) >= {"low", "high", "source"}
    assert set(advice["gel_min"]) == {"median", "low", "high"}


def test_records_give_every_part_with_every_field_of_the_dictionary(sample_store: Path) -> None:
    from analytics.records.fields import dictionary

    records = run("records", "--json", "--store", sample_store).json
    fields = {field.id for field in dictionary().of("part")}
    assert len(records["parts"]) == 607
    assert all(set(part) >= fields | {"raw", "origin", "filled"} for part in records["parts"])
    assert records["units"]["air_c"] == "°C"


def test_a_blank_is_null_and_never_no(sample_store: Path) -> None:
    parts = run("records", "--json", "--store", sample_store).json["parts"]
    by_cell: dict[str, set[bool | None]] = {}
    for part in parts:
        by_cell.setdefault(part["raw"].get("waxed_topcoat", ""), set()).add(part["waxed_topcoat"])
    assert by_cell["no"] == {False}
    assert all(by_cell[cell] == {None} for cell in ("", "-", "–", "?", "n/a"))


def test_place_and_confirm_answer_in_json_too(own_store: Path) -> None:
    placed = run("place", "Stuff", "air_c", "--unit", "F", "--json", "--store", own_store).json
    assert placed == {"Stuff": {"field": "air_c", "unit": "°F"}}
    asked = ("confirm", STUCK_PART, "release-worn-out", "--json", "--store", own_store)
    assert run(*asked).json == {
        "part": STUCK_PART, "defect": "sticking-whole", "cause": "release-worn-out",
    }  # fmt: skip


def test_demo_answers_in_json_too() -> None:
    answers = run("demo", "--no-serve", "--json").json
    assert answers["why"][0]["part"] == STUCK_PART
    assert answers["month"]["month"] == REVIEW_MONTH
    assert answers["catalyst"]["temperature_c"] == 18
