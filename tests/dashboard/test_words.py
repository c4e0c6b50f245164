"""Numbers and dates as the screens say them."""

from __future__ import annotations

from datetime import date

import pytest

from analytics.days import day_words, month_words
from dashboard.components.words import (
    could_be,
    in_hundred,
    minutes,
    number,
    percent,
    plural,
)


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (0.0, "0 in 100"),
        (0.001, "under 1 in 100"),
        (0.624, "62 in 100"),
        (0.999, "over 99 in 100"),
        (1.0, "100 in 100"),
    ],
)
def test_chances_are_counted_in_a_hundred(chance: float, words: str) -> None:
    assert in_hundred(chance) == words


def test_missing_interval_says_nothing() -> None:
    assert could_be(None, None) == ""
    assert could_be(0.448, 0.76) == "could be 45 to 76"


def test_bars_stay_inside_their_frame() -> None:
    assert (percent(-0.1), percent(0.25), percent(1.7)) == ("0.0%", "25.0%", "100.0%")


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        (1.50, 2, "1.5"),
        (2.0, 2, "2"),
        (10.0, 0, "10"),
        (0.0, 1, "0"),
        (26.25, 1, "26.2"),
    ],
)
def test_numbers_carry_no_trailing_noughts(value: float, decimals: int, text: str) -> None:
    assert number(value, decimals) == text


def test_short_times_keep_their_half_minutes() -> None:
    assert (minutes(2.5), minutes(12.4)) == ("2.5 min", "12 min")


def test_days_are_written_so_that_no_country_misreads_them() -> None:
    assert day_words(date(2024, 3, 4)) == day_words("2024-03-04") == "4 Mar 2024"
    assert day_words("some day") == "some day"
    assert day_words("") == "no date"
    assert day_words(None) == "no date"


def test_months_and_counts() -> None:
    assert month_words("2024-12") == "December 2024"
    assert (plural(1, "part"), plural(0, "part"), plural(2, "mix", "mixes")) == (
        "1 part",
        "0 parts",
        "2 mixes",
    )
