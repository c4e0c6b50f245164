"""The shop's words for what was wrong."""

from __future__ import annotations

import pytest

from analytics.records.faults import FaultReader, severity_of
from analytics.records.results import fault_reader
from tests.records.reading_odd import FAULT_WORDS

READER: FaultReader = fault_reader(FAULT_WORDS)


def named(text: str) -> list[str]:
    return [fault.defect for fault in READER.read(text).faults]


@pytest.mark.parametrize(
    "text",
    ["stuck, pinholes", "stuck/pinholes", "stuck; pinholes", "stuck + pinholes", "stuck & pinholes",
     "stuck and pinholes", "stuck with pinholes", "stuck pinholes", "Stuck - pin-holes."],
)  # fmt: skip
def test_several_faults_in_a_cell_are_told_apart(text: str) -> None:
    assert named(text) == ["sticking", "pinholes"]


def test_known_phrase_with_a_slash_in_it_stays_whole() -> None:
    assert named("soft/tacky") == ["tacky-surface"]
    assert named("stuck in mould / print / soft/tacky") == [
        "sticking",
        "print-through",
        "tacky-surface",
    ]


def test_longest_known_phrase_wins() -> None:
    [fault] = READER.read("bubbles in corners").faults
    assert (fault.defect, fault.place) == ("air-voids", None)


@pytest.mark.parametrize(
    ("text", "severity", "place"),
    [
        ("slight pinholes top edge", "slight", "top edge"),
        ("a few pinholes", "slight", None),
        ("pinholes (3) lh side", None, "lh side"),
        ("badly stuck along the flange", "severe", "along the flange"),
        ("lots of pinholes", "severe", None),
        ("pinholes", None, None),
    ],
)
def test_how_bad_and_where_are_split_off(
    text: str, severity: str | None, place: str | None
) -> None:
    [fault] = READER.read(text).faults
    assert (fault.severity, fault.place) == (severity, place)


@pytest.mark.parametrize(
    ("text", "severity", "place"),
    [
        ("Pinholes (slight) - top edge", "slight", "top edge"),
        ("stuck hard - had to chisel", "severe", None),
        ("pinholes (flats)", None, "flats"),
        ("pinholse", None, None),
        ("Stuck - bad", "severe", None),
    ],
)
def test_what_stands_after_a_dash_says_how_bad_or_where_or_is_a_remark(
    text: str, severity: str | None, place: str | None
) -> None:
    verdict = READER.read(text)
    [fault] = verdict.faults
    assert (fault.severity, fault.place) == (severity, place)
    assert verdict.unknown == ()


def test_fault_after_a_dash_is_still_a_fault() -> None:
    assert named("stuck - pinholes on the flats") == ["sticking", "pinholes"]


@pytest.mark.parametrize(("text", "defect"), [("wrinkeled", "wrinkling"), ("pinholse", "pinholes")])
def test_slip_in_one_word_is_mended(text: str, defect: str) -> None:
    assert named(text) == [defect]


def test_phrase_with_another_word_in_it_is_no_misspelling() -> None:
    reader = fault_reader({"lost its shape": "warping"})
    assert reader.read("lost its shape").faults
    assert reader.read("lost its shine").unknown == ("lost its shine",)
    assert reader.read("lost its shpae").faults


def test_words_as_typed_are_kept() -> None:
    [fault] = READER.read("Slight Pin-Holes top edge").faults
    assert fault.words == "Slight Pin-Holes top edge"


@pytest.mark.parametrize("text", ["no pinholes", "not stuck", "without wrinkles"])
def test_fault_that_was_not_there_is_no_fault(text: str) -> None:
    verdict = READER.read(text)
    assert verdict.faults == ()
    assert verdict.outcome is None


def test_misspelling_is_taken_for_the_nearest_word_and_told() -> None:
    verdict = READER.read("pinhloes")
    assert [fault.defect for fault in verdict.faults] == ["pinholes"]
    assert verdict.guessed == (("pinhloes", "pinholes"),)


@pytest.mark.parametrize("text", ["gone a funny colour", "see photo", "xyzzy"])
def test_unknown_word_is_not_bent_into_a_known_one(text: str) -> None:
    verdict = READER.read(text)
    assert verdict.faults == ()
    assert verdict.unknown == (text,)


@pytest.mark.parametrize(
    ("text", "outcome"),
    [("ok", "good"), ("OK", "good"), ("no faults", "good"), ("good, no marks", "good"),
     ("scrapped - stuck", "scrap"), ("rework", "rework"), ("defect", "faulty")],
)  # fmt: skip
def test_outcome_is_known_by_its_word(text: str, outcome: str) -> None:
    assert READER.read(text).outcome == outcome


def test_heading_names_a_fault_only_when_it_says_nothing_else() -> None:
    assert READER.defect_named("Pin-holes?") == "pinholes"
    assert READER.defect_named("Pinholes (no.)") == "pinholes"
    assert READER.defect_named("Tacky time") is None


def test_how_bad_in_a_column_of_its_own() -> None:
    assert [severity_of(text) for text in ("bad", "Slight", "moderate", "purple")] == [
        "severe", "slight", "moderate", None,
    ]  # fmt: skip
