"""The cause page: the picture of what pulled a cause, and where on the part the fault is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from analytics.diagnosis.answer import Clue, Diagnosis, RankedCause
from dashboard.components.pulls import longest_pull, pulls
from dashboard.components.where import where
from tests.dashboard.fake_shop import FakeShop
from tests.dashboard.looking import of_class, words

PATH = "/cause"


@pytest.fixture
def answer() -> Diagnosis:
    return FakeShop().why("K-031")[0]


def with_clues(answer: Diagnosis, *clues: Clue) -> RankedCause:
    return replace(
        answer.causes[0],
        clues_for=tuple(c for c in clues if c.decibans > 0),
        clues_against=tuple(c for c in clues if c.decibans < 0),
    )


def test_each_bar_goes_its_way_as_far_as_its_clue_weighs(answer: Diagnosis) -> None:
    cause = with_clues(answer, Clue("worn", 12.0, "log"), Clue("soft", -3.0, "trade"))
    bars = of_class(pulls(cause, 12.0), "pull-bar")
    told = [(bar.children.className, bar.style["--pull"]) for bar in bars[:2]]
    assert told == [("for log", "100.0%"), ("against trade", "25.0%")]


def test_log_and_trade_are_told_apart_in_words_too(answer: Diagnosis) -> None:
    cause = with_clues(answer, Clue("worn", 12.0, "log"), Clue("soft", -3.0, "trade"))
    told = [words(one) for one in of_class(pulls(cause, 12.0), "weight")]
    assert told == ["strong, from your log", "slight, from the trade"]


def test_what_nobody_wrote_down_is_an_empty_box_with_its_name(answer: Diagnosis) -> None:
    cause = replace(answer.causes[0], clues_for=(), clues_against=(), unknown=("wax coats",))
    drawn = pulls(cause, 12.0)
    assert "Wax coats" in words(of_class(drawn, "unknown")[0])
    assert [bar.children.className for bar in of_class(drawn, "pull-bar")] == ["unknown"]


def test_a_cause_of_which_nothing_is_known_has_no_picture(answer: Diagnosis) -> None:
    assert pulls(replace(answer.causes[0], clues_for=(), clues_against=(), unknown=()), 1.0) is None


def test_all_causes_are_drawn_on_one_scale(answer: Diagnosis) -> None:
    strongest = with_clues(answer, Clue("worn", 31.0, "log"))
    assert longest_pull(replace(answer, causes=(answer.causes[0], strongest))) == 31.0


def test_bars_are_hidden_from_a_screen_reader_which_hears_the_words(answer: Diagnosis) -> None:
    drawn = pulls(answer.causes[0], 20.0)
    for bar in of_class(drawn, "pull-bar"):
        assert bar.to_plotly_json()["props"]["aria-hidden"] == "true"


PLACES = (("edges", "edges and ribs"), ("flats", "flats"))


def asking(answer: Diagnosis, **said: object) -> Diagnosis:
    return replace(answer, place_check="where-map", places=PLACES, **said)  # type: ignore[arg-type]


def test_a_place_is_pressed_into_the_address_beside_what_is_there(answer: Diagnosis) -> None:
    drawn = where(PATH, {"part": "K-031", "seen": "swab:soft"}, asking(answer))
    first = of_class(drawn, "button")[0]
    assert words(first) == "Edges and ribs"
    assert first.href == "/cause?part=K-031&seen=swab:soft,where-map:edges"


def test_the_logs_own_word_for_the_place_is_shown(answer: Diagnosis) -> None:
    drawn = where(PATH, {"part": "K-031"}, asking(answer, place_written="corner"))
    assert "The log says: corner" in words(drawn)


def test_the_place_is_not_asked_twice(answer: Diagnosis) -> None:
    assert where(PATH, {}, replace(answer, places=())) is None
    asked = replace(answer.next_checks[0], check="where-map")
    assert where(PATH, {}, asking(answer, next_checks=(asked,))) is None
