"""Ways as a person says them."""

from __future__ import annotations

import pandas as pd
import pytest

from analytics.errors import QuestionError
from analytics.settling.ways import (
    field_called,
    fields_to_compare,
    overlap,
    read_way,
    usual_ways,
)
from tests.settling.shops import a_shop, tables

HOURS = pd.Series([2.0, 11.9, 12.0, 12.1, 30.0, float("nan")])
METHODS = pd.Series(["drill", "Paddle", "hand stick", None], dtype="str")


@pytest.mark.parametrize(
    ("said", "held"),
    [
        ("under 12", [1, 1, 0, 0, 0, 0]),
        ("less than 12 h", [1, 1, 0, 0, 0, 0]),
        ("< 12", [1, 1, 0, 0, 0, 0]),
        ("12 or less", [1, 1, 1, 0, 0, 0]),
        ("up to 12h", [1, 1, 1, 0, 0, 0]),
        ("over 12", [0, 0, 0, 1, 1, 0]),
        ("12+", [0, 0, 1, 1, 1, 0]),
        ("12 or more", [0, 0, 1, 1, 1, 0]),
        ("at least 12", [0, 0, 1, 1, 1, 0]),
        ("11,9 to 12", [0, 1, 1, 0, 0, 0]),
        ("12-30", [0, 0, 1, 1, 1, 0]),
        ("12", [0, 0, 1, 0, 0, 0]),
        ("not 12 to 30", [1, 1, 0, 0, 0, 0]),
    ],
)
def test_numbers_are_read_as_people_say_them(said: str, held: list[int]) -> None:
    assert read_way("backup_hours", said).holds(HOURS).tolist() == [bool(x) for x in held]


def test_words_are_read_without_minding_case_and_a_blank_is_no_way() -> None:
    either = read_way("gelcoat_mix_method", "Drill or paddle")
    assert either.holds(METHODS).tolist() == [True, True, False, False]
    other = read_way("gelcoat_mix_method", "not drill")
    assert other.holds(METHODS).tolist() == [False, True, True, False]


def test_yes_and_no_are_read() -> None:
    used = pd.Series([True, False, None], dtype="boolean")
    assert read_way("pva_used", "Yes").holds(used).tolist() == [True, False, False]
    assert read_way("pva_used", "without").holds(used).tolist() == [False, True, False]


def test_a_way_is_said_with_its_unit() -> None:
    assert read_way("backup_hours", "under 12").said == "under 12 h"
    assert read_way("wax_coats", "3+").said == "3 or more"


@pytest.mark.parametrize("said", ["soon", "3 coats and a bit", ""])
def test_a_number_nobody_can_read_says_how_to_say_it(said: str) -> None:
    with pytest.raises(QuestionError, match="12 or more"):
        read_way("backup_hours", said)


def test_a_word_that_is_not_in_the_log_names_those_that_are() -> None:
    jobs, _ = tables(a_shop(parts=6))
    with pytest.raises(QuestionError, match="old wax"):
        read_way("wax_type", "carnauba", jobs)


@pytest.mark.parametrize("said", ["wax_coats", "Wax coats", "wax-coats", "coats of wax"])
def test_a_field_is_found_by_id_name_and_the_headings_shops_write(said: str) -> None:
    jobs, _ = tables(a_shop(parts=6))
    assert field_called(jobs, said) == "wax_coats"


def test_an_unknown_field_says_what_is_near() -> None:
    jobs, _ = tables(a_shop(parts=6))
    with pytest.raises(QuestionError, match="Did you mean backup_hours"):
        field_called(jobs, "backup huors")


def test_a_result_is_no_way_of_making_a_part() -> None:
    jobs, _ = tables(a_shop(parts=6))
    with pytest.raises(QuestionError, match="how a part came out"):
        field_called(jobs, "outcome")
    assert not {"outcome", "cost", "rework_min", "part_id"} & set(fields_to_compare(jobs))
    assert {"wax_coats", "operator", "mould_id"} <= set(fields_to_compare(jobs))


def test_without_ways_the_two_commonest_are_taken_or_two_halves() -> None:
    jobs, _ = tables(a_shop(parts=60))
    assert set(usual_ways("wax_coats", jobs)) == {"1", "3"}
    many = jobs.assign(backup_hours=[float(n) for n in range(60)])
    assert usual_ways("backup_hours", many) == ("under 29.5", "29.5 or more")
    with pytest.raises(QuestionError, match="no two ways"):
        usual_ways("wax_type", jobs)


@pytest.mark.parametrize(
    ("one", "other", "meet"),
    [("under 12", "12 or more", False), ("12 or less", "12+", True), ("under 12", "over 10", True)],
)
def test_ways_that_meet_are_noticed_even_where_no_part_lies_there(
    one: str, other: str, meet: bool
) -> None:
    ways = read_way("backup_hours", one), read_way("backup_hours", other)
    assert overlap(*ways, pd.Series([1.0, 50.0])) is meet
