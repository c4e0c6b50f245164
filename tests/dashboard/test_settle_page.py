"""Settle it: old arguments, any two ways, fair trials."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from dash import no_update

from analytics.errors import QuestionError
from dashboard.pages import settle
from dashboard.state import read
from tests.dashboard.conftest import a_shop
from tests.dashboard.looking import links, of_class, words

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from analytics.shop import Shop

PLAN = {"name": "Wax", "a": "1", "b": "3+", "f": "wax_coats", "d": "sticking"}
OWN = {"tab": "own", "f": "mould_id", "a": "M02", "b": "M07", "d": "sticking"}


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory, log_file: Path) -> Iterator[Shop]:
    """The small log, for tests that only look."""
    with a_shop(tmp_path_factory.mktemp("settle"), log_file) as opened:
        yield opened


@pytest.fixture
def own_shop(tmp_path: Path, log_file: Path) -> Iterator[Shop]:
    """The same for a test that writes."""
    with a_shop(tmp_path, log_file) as opened:
        yield opened


def ids_of(**said: Any) -> tuple[list[Any], list[dict[str, str]]]:
    return list(said.values()), [{"type": "settle", "name": name} for name in said]


def test_all_old_arguments_are_offered_and_the_unsafe_ones_marked(shop: Shop) -> None:
    shown = settle.answer(shop, {})
    offered = [href for href in links(shown).values() if href.startswith("/settle?q=")]
    assert len(offered) == 18
    marked = [one for one in of_class(shown, "odd") if words(one) == "not to be tried"]
    assert len(marked) == 3


def test_an_unsafe_argument_is_refused_with_its_dangers(shop: Shop) -> None:
    shown = settle.answer(shop, {"q": "winter-cobalt"})
    assert "Not to be tried" in words(of_class(shown, "tag"))
    assert "Never mix catalyst and accelerator" in words(of_class(shown, "cautions"))
    assert "Plan a fair trial" not in links(shown)


def test_two_ways_of_ones_own_are_answered_with_a_picture_and_what_to_do(shop: Shop) -> None:
    shown = settle.answer(shop, OWN)
    told = words(shown)
    for said in ("What to do", "What this rests on", "What the log cannot know"):
        assert said in told
    plan = next(href for name, href in links(shown).items() if name == "Plan a fair trial")
    assert read(plan.partition("?")[2]) == {
        "tab": "trials", "new": "1", "f": "mould_id", "a": "M02", "b": "M07", "d": "sticking",
    }  # fmt: skip


def test_a_dose_over_the_range_is_refused_here_too(shop: Shop) -> None:
    asked = {"tab": "own", "f": "gelcoat_catalyst_pct", "a": "2", "b": "3", "d": "pinholes"}
    assert "Not to be tried" in words(settle.answer(shop, asked))


def test_half_a_question_is_asked_back(shop: Shop) -> None:
    assert "Pick what was done two ways" in words(settle.answer(shop, {"tab": "own"}))
    half = {name: word for name, word in OWN.items() if name != "b"}
    assert "Name the other way too" in words(settle.answer(shop, half))


def test_an_empty_store_still_offers_the_arguments_and_trials(tmp_path: Path) -> None:
    with a_shop(tmp_path) as empty:
        shown = settle.answer(empty, {})
        assert "There is no log yet" in words(shown)
        assert "/settle?q=light-mat-first" in links(shown).values()
        assert "No trial yet" in words(settle.answer(empty, {"tab": "trials"}))
        assert settle.form(empty, {"tab": "own"}) is None


def test_the_address_holds_what_the_boxes_say_and_another_field_drops_the_ways() -> None:
    values, ids = ids_of(f="wax_coats", a="1", b="3+", d="sticking")
    found = settle.to_address(values, ids, "?tab=own&f=wax_coats")
    assert read(found) == {"tab": "own", "f": "wax_coats", "a": "1", "b": "3+", "d": "sticking"}
    assert settle.to_address(values, ids, found) is no_update
    values[0] = "operator"
    assert read(settle.to_address(values, ids, found)) == {
        "tab": "own", "f": "operator", "d": "sticking",
    }  # fmt: skip
    assert settle.to_address(values, ids, "?tab=trials") is no_update


def test_the_form_is_left_alone_while_it_says_the_same(shop: Shop) -> None:
    values, ids = ids_of(f="wax_coats", d="sticking")
    same = "?tab=own&f=wax_coats&d=sticking"
    assert settle.keep_form(shop, same, values, ids) is no_update
    assert "The first way" in words(settle.keep_form(shop, same, [], []))
    assert settle.keep_form(shop, "?tab=trials", values, ids) is None


def test_a_trial_is_planned_and_gives_each_part_one_way(own_shop: Shop) -> None:
    address = settle.plan(own_shop, PLAN, seed=5)
    assert read(address) == {"tab": "trials", "trial": "wax"}
    assert "Next part: which way?" in words(settle.answer(own_shop, read(address)))
    given = settle.give(own_shop, "wax", "Q1", "M02")
    assert settle.give(own_shop, "wax", "q-1", "M07") == given
    shown = settle.answer(own_shop, read(given))
    assert "Part Q1, mould M02" in words(of_class(shown, "tag"))
    assert "wax coats" in words(of_class(shown, "tag-answer"))


def test_looking_at_a_part_gives_nothing_out(own_shop: Shop) -> None:
    settle.plan(own_shop, PLAN, seed=5)
    settle.answer(own_shop, {"tab": "trials", "trial": "wax", "part": "Q1"})
    assert own_shop.look_at_trial("wax").waiting == 0


def test_a_stopped_trial_offers_no_next_part(own_shop: Shop) -> None:
    settle.plan(own_shop, PLAN, seed=5)
    own_shop.stop_trial("wax", "done")
    shown = words(settle.answer(own_shop, {"tab": "trials", "trial": "wax"}))
    assert "Next part" not in shown
    assert "End this trial" not in shown


def test_a_plan_with_a_box_left_empty_is_asked_back(own_shop: Shop) -> None:
    with pytest.raises(QuestionError, match="two ways"):
        settle.plan(own_shop, {**PLAN, "b": ""}, seed=5)


@pytest.mark.browser
def test_a_trial_is_planned_and_a_part_given_its_way_by_hand(page: Page, own_site: str) -> None:
    page.goto(f"{own_site}/settle?tab=trials&new=1&a=1&b=3%2B&f=wax_coats&d=sticking")
    page.wait_for_selector("#settle-plan")
    page.get_by_label("Name it").fill("Wax")
    page.click("#settle-plan")
    page.wait_for_selector("#settle-give")
    page.fill("#settle-part", "Q1")
    page.fill("#settle-mould", "M02")
    page.click("#settle-give")
    page.wait_for_selector("text=Part Q1, mould M02")
    assert "part=Q1" in page.url
    over = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert over <= 0
    small = page.evaluate(
        "[...document.querySelectorAll('.settle-page a, .settle-page button, .settle-page input')]"
        ".filter(e => e.offsetHeight && e.offsetHeight < 44).map(e => e.outerHTML)"
    )
    assert small == []
    page.reload()
    page.wait_for_selector("text=Part Q1, mould M02")


@pytest.mark.browser
def test_two_ways_are_picked_from_the_boxes_and_answered(page: Page, site: str) -> None:
    page.goto(f"{site}/settle?tab=own&f=mould_id&d=sticking")
    page.wait_for_selector(".settle-answer .tag")
    page.get_by_label("The first way").fill("M02")
    page.get_by_label("The second way").fill("M07")
    page.get_by_label("The second way").press("Enter")
    page.wait_for_url("**b=M07**")
    page.wait_for_selector(".settle-answer .tag >> text=M02")
