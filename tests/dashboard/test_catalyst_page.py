"""The catalyst page in front of a real shop: this pot, the year, the cup test, doses set."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from dash import no_update

from analytics.catalyst import Cup
from analytics.errors import QuestionError
from analytics.shop import Shop
from dashboard.components.dose import shows
from dashboard.pages import catalyst
from tests.dashboard.looking import every, of_class, words

NOW = datetime(2025, 3, 4, 9, 30, 12)
CUP_BOXES = [{"type": "cup", "name": name} for name in ("gel", "t", "dose", "lot")]


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    """A shop with one cup logged."""
    opened = Shop.open(str(tmp_path / "shop.laylog"), now=lambda: NOW, environ={})
    opened.cup_test(Cup("gelcoat", "G-07", 19.0, 2.0, 16.0))
    yield opened
    opened.close()


def values(drawn: Any) -> dict[str, Any]:
    boxes = [one for one in every(drawn) if type(one).__name__ == "Input"]
    return {one.id["name"]: one.value for one in boxes if one.type != "hidden"}


@pytest.mark.parametrize("query", [{"t": "18"}, {"show": "year"}])
def test_data_sheet_is_asked_for_before_any_dose(shop: Shop, query: dict[str, str]) -> None:
    shown = words(catalyst.answer(shop, query))
    assert "Give your data sheet's gel time first" in shown
    assert shown.index("First of all") < shown.index("% by mass (", shown.index("First of all"))


def test_data_sheet_gel_time_in_the_address_is_used(shop: Shop) -> None:
    told = {"t": "18", "sg": "30", "sc": "25", "sp": "1,8"}
    assert "First of all" not in words(catalyst.answer(shop, told))
    assert catalyst.ask(shop, told).gel_min.median > catalyst.ask(shop, {"t": "18"}).gel_min.median


def test_half_a_data_sheet_is_none(shop: Shop) -> None:
    assert catalyst.ask(shop, {"t": "18", "sg": "30"}) == catalyst.ask(shop, {"t": "18"})


@pytest.mark.parametrize("query", [{"t": "18"}, {"show": "year"}])
def test_ten_points_stand_with_the_dose_and_are_never_folded(
    shop: Shop, query: dict[str, str]
) -> None:
    shown = catalyst.answer(shop, query)
    (block,) = of_class(shown, "cautions")
    assert sum(type(one).__name__ == "Li" for one in every(block)) == 10
    folded = [one for one in every(shown) if type(one).__name__ == "Details"]
    assert not any("goggles" in words(one) for one in folded)


def test_year_names_every_month_and_says_where_nothing_is_logged(shop: Shop) -> None:
    shown = words(catalyst.answer(shop, {"show": "year"}))
    assert all(month in shown for month in ("January", "June", "December"))
    assert shown.count("no temperature logged") == 12


def test_cup_boxes_begin_with_the_last_mix(shop: Shop) -> None:
    drawn = values(catalyst.answer(shop, {"show": "cup"}))
    assert drawn == {"gel": None, "t": "19", "dose": "2", "lot": "G-07"}


def test_logging_a_cup_keeps_it_and_says_what_it_says_of_the_lot(shop: Shop) -> None:
    def later() -> datetime:
        return NOW.replace(second=50)

    shop._now = later
    said = catalyst.log_cup(shop, {}, ["40", "19", "2", "G-07"], CUP_BOXES)
    assert "Stop and check" in words(said)
    assert sum(type(one).__name__ == "Li" for one in every(of_class(said, "cautions")[0])) == 10
    assert shop.log().batches["gel_min"].tolist() == [16.0, 40.0]


def test_cup_without_its_gel_time_is_refused(shop: Shop) -> None:
    with pytest.raises(QuestionError, match="in how many minutes"):
        catalyst.log_cup(shop, {}, [None, "19", "2", ""], CUP_BOXES)


def test_dose_set_is_written_down_and_shown_with_what_came_of_it(shop: Shop) -> None:
    query = {"t": "19", "dose": "2"}
    assert "Written down: 2.00 % set" in catalyst.write_set(shop, query)
    assert "already" in catalyst.write_set(shop, query)
    shown = words(catalyst.set_lately(shop, query))
    assert "4 Mar 2025, 09:30" in shown
    assert "16 min, as expected (mix CUP-20250304-093012)" in shown


def test_doses_set_stand_below_this_pot_only(shop: Shop) -> None:
    catalyst.write_set(shop, {"t": "19", "dose": "2"})
    assert words(catalyst.set_lately(shop, {"show": "year"})) == ""


def test_boxes_are_those_the_view_needs() -> None:
    def names(search: str) -> set[str]:
        return set(values(catalyst.keep_form(search, [], [])))

    assert {"t", "pot", "lot", "sg"} <= names("?t=18")
    assert names("?show=year") == {"from", "to", "work", "sg", "sc", "sp"}
    assert names("?show=cup") == set()


def test_form_of_another_view_is_drawn_anew() -> None:
    year = [{"type": "dose", "name": name} for name in ("from", "to", "work", "sg", "sc", "sp")]
    assert catalyst.keep_form("?show=year", [None] * 6, year) is no_update
    assert catalyst.keep_form("", [None] * 6, year) is not no_update


def test_boxes_not_on_the_screen_keep_their_place_in_the_address() -> None:
    year = [{"type": "dose", "name": "from"}, {"type": "dose", "name": "to"}]
    assert catalyst.to_address([None, None], year, "?t=18&show=year") is no_update
    assert catalyst.to_address([12, 20], year, "?t=18&show=year") == (
        "?t=18&show=year&from=12&to=20"
    )


def test_view_is_one_press_and_keeps_the_rest() -> None:
    links = {words(one): one.href for one in every(shows("/catalyst", {"t": "18", "show": "cup"}))
             if type(one).__name__ == "Link"}  # fmt: skip
    assert links == {
        "This pot": "/catalyst?t=18",
        "The year": "/catalyst?t=18&show=year",
        "Cup test": "/catalyst?t=18&show=cup",
    }


def test_boxes_seldom_needed_are_folded_until_one_is_used() -> None:
    def folded(search: str, unlearnt: bool = False) -> bool:
        drawn = catalyst.keep_form(search, [], [], "metric", unlearnt)
        [more] = [one for one in every(drawn) if type(one).__name__ == "Details"]
        return not more.open

    assert folded("?t=18")
    assert not folded("?t=18&work=20")
    assert not folded("?t=18", unlearnt=True)


def test_half_a_wanted_gel_time_is_asked_for_not_passed_over(shop: Shop) -> None:
    assert "needs both ends" in words(catalyst.answer(shop, {"t": "18", "to": "20"}))
    assert "needs both ends" not in words(catalyst.answer(shop, {"t": "18"}))
