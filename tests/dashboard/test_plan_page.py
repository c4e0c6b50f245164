"""The page that plans a day, asked of its functions and looked at in a browser."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from dash import no_update

from analytics.errors import QuestionError
from analytics.planning import DayPlan
from analytics.records.log import Log
from dashboard.pages import plan
from tests.builders import a_log
from tests.dashboard.looking import every, ids, links, of_class, words
from tests.planning.days import a_shop, logged_air, planned

if TYPE_CHECKING:
    from playwright.sync_api import Page


class PlanningShop:
    """As much of a shop as the page asks."""

    def __init__(self, log: Log) -> None:
        self._log = log

    def units(self) -> str:
        return "metric"

    def planned_moulds(self) -> tuple[str, ...]:
        return tuple(self._log.moulds["mould_id"])

    def plan(self, **asked: Any) -> DayPlan:
        return planned(self._log, **asked)


@pytest.fixture
def shop() -> PlanningShop:
    return PlanningShop(a_shop(ply_schedule="225+450"))


@pytest.fixture
def no_log() -> PlanningShop:
    return PlanningShop(a_log())


def test_sheet_holds_checks_amounts_mixes_clock_and_cautions(shop: PlanningShop) -> None:
    shown = words(plan.answer(shop, {"t": "20", "rh": "55"}))
    for heading in ("Before you start", "Cut and weigh", "Mixes", "Before you pour",
                    "By the clock", "Taken for granted, as nobody said"):  # fmt: skip
        assert heading in shown
    assert "Mould M1" in shown
    assert "goggles" in shown


def test_day_after_is_one_press_away(shop: PlanningShop) -> None:
    ways = links(plan.answer(shop, {"t": "20", "date": "2025-02-28"}))
    assert ways["Plan Saturday →"] == "/plan?t=20&date=2025-03-01"


def test_dose_and_cautions_stand_on_the_same_sheet(shop: PlanningShop) -> None:
    page = plan.answer(shop, {"t": "20"})
    pots = planned(a_shop(ply_schedule="225+450"), temperature_c=20.0).mixes
    assert f"{pots[0].grams:.1f}".rstrip("0").rstrip(".") in words(of_class(page, "mix-dose"))
    assert len(of_class(page, "cautions")) == 1


def test_every_step_and_mix_has_a_box_to_tick(shop: PlanningShop) -> None:
    page = plan.answer(shop, {"t": "20"})
    made = planned(a_shop(ply_schedule="225+450"), temperature_c=20.0)
    (steps,) = of_class(page, "by-clock")
    assert len(steps.children) == len(made.timeline)
    assert sum(len(pots.children) for pots in of_class(page, "pots")) == len(made.mixes)
    assert all("ticks" in one.className.split() for one in of_class(page, "pots"))


def test_ranges_are_told_in_words(shop: PlanningShop) -> None:
    told = words(of_class(plan.answer(shop, {"t": "20"}), "step-when"))
    assert " to " in told
    assert "count on" in told


def test_state_of_a_check_is_a_word_and_not_only_a_colour(shop: PlanningShop) -> None:
    told = words(of_class(plan.answer(shop, {"t": "20", "rh": "95"}), "plan-state"))
    assert "Stop" in told
    assert "In order" in told


def test_what_does_not_fit_today_stands_near_the_top(shop: PlanningShop) -> None:
    shown = words(plan.answer(shop, {"t": "20", "start": "15:00", "coats": "2"}))
    assert shown.index("It does not all fit today") < shown.index("Before you start")


def test_too_cold_offers_a_plan_for_a_warmed_shop(shop: PlanningShop) -> None:
    shown = plan.answer(shop, {"mould": "M1", "t": "11"})
    assert "No plan at this temperature" in words(shown)
    assert links(shown)["Plan for 18 °C"] == "/plan?mould=M1&t=18"
    assert "% by mass" not in words(shown)


def test_cold_morning_offers_the_hour_it_is_warm_enough() -> None:
    cold = PlanningShop(logged_air(a_shop(), 15.0))
    shown = plan.answer(cold, {"plies": "450", "start": "05:00", "release": "wax", "coats": "0"})
    assert "Start at 08:00" in links(shown)


def test_empty_store_asks_for_an_area_and_then_plans_by_the_trade(no_log: PlanningShop) -> None:
    assert "Say how large the part is" in words(plan.answer(no_log, {}))
    shown = words(plan.answer(no_log, {"area": "1,5", "t": "20"}))
    assert "A part of 1.5 m2" in shown
    assert "trade figure" in shown


@pytest.mark.parametrize(
    "query", [{"t": "warm"}, {"t": "20", "area": "nan"}, {"t": "20", "date": "someday"}]
)
def test_what_is_no_figure_is_refused(shop: PlanningShop, query: dict[str, str]) -> None:
    with pytest.raises(QuestionError, match=r"is not a figure|is no date"):
        plan.answer(shop, query)


def test_form_shows_what_the_address_says(shop: PlanningShop) -> None:
    form = plan.keep_form(shop, "?mould=M1&t=19", [], [])
    said = {
        one.id["name"]: one.value
        for one in every(form)
        if isinstance(getattr(one, "id", None), dict)
    }
    assert said["mould"] == "M1"
    assert said["t"] == "19"
    assert said["plies"] is None


def test_form_being_typed_in_is_left_alone(shop: PlanningShop) -> None:
    boxes = [{"type": "plan", "name": "t"}]
    assert plan.keep_form(shop, "?t=19", ["19"], boxes) is no_update
    assert plan.to_address(["19"], boxes, "?t=19") is no_update
    assert plan.to_address(["18"], boxes, "?t=19&mould=M1") == "?t=18"


def test_unknown_words_in_the_address_stay(shop: PlanningShop) -> None:
    boxes = [{"type": "plan", "name": "t"}]
    assert plan.to_address(["18"], boxes, "?x=1") == "?x=1&t=18"


def test_no_mould_choice_without_moulds(no_log: PlanningShop) -> None:
    named = [
        one["name"] for one in ids(plan.keep_form(no_log, "", [], [])) if isinstance(one, dict)
    ]
    assert "mould" not in named
    assert "area" in named


@pytest.mark.browser
def test_plan_is_worked_out_as_it_is_typed(page: Page, site: str) -> None:
    page.goto(f"{site}/plan?area=1.2&plies=300&rh=55")
    page.get_by_label("How warm?").fill("20")
    page.get_by_label("How warm?").press("Enter")
    page.get_by_role("heading", name="By the clock").wait_for()
    assert "t=20" in page.url
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


@pytest.mark.browser
def test_nothing_prints_before_it_is_asked_to(page: Page, site: str) -> None:
    page.add_init_script("window.printed = 0; window.print = () => { window.printed += 1; };")
    page.goto(f"{site}/plan?area=1.2&plies=300&t=20")
    button = page.get_by_role("button", name="Print this sheet")
    button.wait_for()
    assert page.evaluate("window.printed") == 0
    button.click()
    page.wait_for_function("() => window.printed === 1")
