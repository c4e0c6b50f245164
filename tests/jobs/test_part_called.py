"""A part number is found however it is typed, in a log of any length."""

from __future__ import annotations

import time

import pandas as pd
import pytest

from analytics.errors import QuestionError
from analytics.listing import part_called
from analytics.records.cells import id_key, id_keys


@pytest.mark.parametrize("said", ["P-014", "p 014", "P014", "p_014", " P/014 ", "p\u2009014"])
def test_a_number_is_found_without_minding_case_or_dashes(said: str) -> None:
    assert part_called(["P-013", "P-014", "P-0140"], said) == "P-014"


def test_dashes_between_figures_count() -> None:
    with pytest.raises(QuestionError, match="Nearest: 12-3"):
        part_called(["12-3", "45-6"], "123")


def test_two_numbers_that_differ_by_case_alone_are_both_named() -> None:
    with pytest.raises(QuestionError, match="Nearest: A1, a1"):
        part_called(["A1", "a1", "B2"], "a-1")


def test_a_number_typed_loosely_is_found_among_a_hundred_thousand_at_once() -> None:
    numbers = pd.Series([f"P-{n:06d}" for n in range(100_000)], dtype="str")
    started = time.process_time()
    assert part_called(numbers, "p 099999") == "P-099999"
    assert time.process_time() - started < 0.25


def test_keys_of_many_numbers_are_those_of_each() -> None:
    numbers = ["M 01", "m-01", "12-3", "123", " #7 ", "Ä-1", "A\n1", "x\u20091", "", "a_/ 2", "ß-3"]
    assert id_keys(numbers) == [id_key(number) for number in numbers]
    odd = [*numbers, "1\x002"]
    assert id_keys(odd) == [id_key(number) for number in odd]
