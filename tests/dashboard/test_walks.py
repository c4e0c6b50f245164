"""Longer ways through the dashboard in a real browser: an errand from its start to its end."""

from __future__ import annotations

import re
import threading
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.dashboard.conftest import a_shop, served
from tests.dashboard.small_log import STUCK
from tests.dashboard.walking import fits, go, still, text_of

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from analytics.shop import Shop

pytestmark = pytest.mark.browser


def is_phone(page: Page) -> bool:
    return page.viewport_size is not None and page.viewport_size["width"] < 800


def ask(page: Page, question: str) -> None:
    """Turn to a page by its entry in the navigation, folded away or not."""
    questions = page.get_by_role("navigation", name="Questions")
    link = questions.get_by_role("link", name=question)
    if not link.first.is_visible():
        questions.get_by_text("More").click()
    link.first.click()


def choose(page: Page, label: str, option: str) -> None:
    """Pick from one of the lists of a form."""
    page.locator(f"label:has-text('{label}') .dash-dropdown").click()
    page.get_by_role("option", name=option, exact=True).click()
    page.keyboard.press("Escape")


def test_questions_behind_more_open_and_fold_by_keyboard(page: Page, site: str) -> None:
    go(page, site + "/plan")
    more = page.locator("#rest > summary")
    if not is_phone(page):
        assert not more.is_visible()
        return
    assert page.locator("#rest a").count() >= 3
    assert not page.locator("#rest a").first.is_visible()
    more.focus()
    page.keyboard.press("Enter")
    page.locator("#rest a").first.wait_for()
    small = [box["height"] for box in page.locator("#rest a").evaluate_all(
        "all => all.map(a => ({height: a.getBoundingClientRect().height}))")]  # fmt: skip
    assert min(small) >= 48
    assert fits(page)
    page.keyboard.press("Escape")
    assert not page.locator("#rest a").first.is_visible()
    assert page.evaluate("document.activeElement.matches('#rest > summary')")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_url("**/month")
    page.wait_for_selector("#rest[open]", state="detached")


def test_every_question_is_on_the_screen_or_behind_more(page: Page, site: str) -> None:
    go(page, site)
    for question, path in (("Write", "/write"), ("Settle", "/settle"), ("Log", "/records")):
        ask(page, question)
        page.wait_for_url(f"**{path}")
        page.wait_for_function("() => document.activeElement.id === 'screen'")
        assert fits(page)


def test_change_is_written_with_the_month_followed_and_taken_back(
    page: Page, own_site: str
) -> None:
    go(page, own_site + "/month?m=2024-03")
    page.get_by_text("Write down what was changed").click()
    page.get_by_label("What was changed", exact=True).fill("Three thin wax coats")
    page.get_by_label("Since (today if left empty)").fill("2024-03-01")
    page.get_by_label("On which moulds").fill("M07")
    page.get_by_role("button", name="Write it down").click()
    page.wait_for_selector(".month-actions article")
    assert "since 1 Mar 2024" in text_of(page, ".notice.done")
    assert "Three thin wax coats" in text_of(page, ".month-actions")
    page.locator(".month-actions").get_by_role("button", name="Take it back").click()
    page.wait_for_selector(".month-actions", state="detached")
    assert "Taken back" in text_of(page, ".notice.done")


def test_month_has_a_page_to_print(page: Page, site: str) -> None:
    go(page, site + "/month?m=2024-02")
    with page.context.expect_page() as opened:
        page.get_by_role("link", name="One page to print").click()
    report = opened.value
    report.wait_for_load_state()
    assert "February 2024" in report.locator("body").inner_text()
    assert report.locator("script").count() == 0


def test_dose_is_set_and_stays_to_be_seen(page: Page, own_site: str) -> None:
    go(page, own_site + "/catalyst?t=18&from=12&to=20")
    page.get_by_role("button", name="We set this dose").click()
    page.wait_for_selector("#catalyst-set table")
    assert "Written down" in text_of(page, ".notice.done")
    assert re.search(r"\d\.\d\d %", text_of(page, "#catalyst-set"))


def test_day_is_planned_from_a_mould(page: Page, own_site: str) -> None:
    go(page, own_site + "/")
    page.locator("#screen").get_by_role("link", name="Plan the day").click()
    choose(page, "Mould", "M07")
    for label, typed in (("Or area", "1.4"), ("How warm?", "19"), ("Plies", "300+450")):
        page.get_by_label(label).fill(typed)
        page.keyboard.press("Enter")
        still(page)
    page.wait_for_selector(".by-clock")
    assert "M07" in text_of(page, ".tag-about")
    assert all(word in page.url for word in ("mould=M07", "area=1.4", "t=19"))
    assert page.locator(".plan-sheet .cautions li").count() >= 10
    assert fits(page)


def test_two_ways_are_set_side_by_side_and_a_trial_gives_a_part_its_way(
    page: Page, own_site: str
) -> None:
    go(page, own_site + "/settle")
    page.get_by_role("link", name="Any two ways").click()
    choose(page, "What was done two ways?", "Mould")
    choose(page, "Judged by which fault?", "Sticking in patches")
    page.wait_for_selector(".settle-answer .tag")
    assert "M07" in text_of(page, ".settle-answer")
    go(page, own_site + "/settle?tab=trials&new=1&name=wax&a=one coat&b=three coats&d=sticking")
    page.get_by_role("button", name="Plan it").click()
    page.wait_for_url("**trial=wax**")
    page.locator("#settle-part").fill("P-900")
    page.locator("#settle-mould").fill("M07")
    page.locator("#settle-give").click()
    page.wait_for_url("**part=P-900**")
    still(page)
    assert re.search("one coat|three coats", text_of(page, "#settle-answer"))
    assert fits(page)


PRINTED = {
    f"/cause?part={STUCK}": 2,
    "/catalyst?show=year": 1,
    "/catalyst?t=18&from=10&to=18": 2,
    "/plan?mould=M07&area=1.4&t=19": 2,
    "/month?m=2024-03": 3,
}


@pytest.mark.parametrize(("path", "sheets"), PRINTED.items())
def test_paper_holds_the_answer_and_nothing_to_press(
    page: Page, site: str, path: str, sheets: int
) -> None:
    go(page, site + path)
    page.emulate_media(media="print")
    pressed = page.evaluate("""() => [...document.querySelectorAll(
            'nav a, button, input, summary, .ways-on a')]
        .filter(e => e.checkVisibility() && e.getBoundingClientRect().height)
        .map(e => e.outerHTML.slice(0, 90))""")
    assert pressed == []
    assert "Printed on 28 Mar 2024." in text_of(page, ".foot")
    if not is_phone(page):
        made = len(re.findall(rb"/Type\s*/Page\b", page.pdf(format="A4")))
        assert 1 <= made <= sheets


def slow(shop: Shop, go_on: threading.Event) -> None:
    """Let reading a file wait until it may go on."""
    quick = shop.preview

    def preview(*files: Any) -> Any:
        assert go_on.wait(20)
        return quick(*files)

    shop.preview = preview  # type: ignore[method-assign]


def test_long_reading_is_said_and_goes_on_to_its_end(
    page: Page, tmp_path: Path, log_file: Path
) -> None:
    go_on = threading.Event()
    with a_shop(tmp_path) as shop, served(shop) as site:
        slow(shop, go_on)
        go(page, site + "/records")
        assert not page.locator("#reading").is_visible()
        page.set_input_files("#drop input", log_file)
        page.locator("#reading").wait_for()
        assert "Nothing is kept yet" in text_of(page, "#reading")
        go_on.set()
        page.wait_for_selector(".read")
        page.locator("#reading").wait_for(state="hidden")
        page.close()


def test_long_reading_can_be_stopped_and_leaves_nothing(
    page: Page, tmp_path: Path, log_file: Path
) -> None:
    go_on = threading.Event()
    with a_shop(tmp_path) as shop, served(shop) as site:
        slow(shop, go_on)
        go(page, site + "/records")
        page.set_input_files("#drop input", log_file)
        page.get_by_role("button", name="Stop, and forget the file").click()
        page.wait_for_selector(".notice.done")
        assert "nothing was kept" in text_of(page, ".notice.done")
        page.locator("#reading").wait_for(state="hidden")
        with page.expect_response(lambda answer: "_dash-update-component" in answer.url):
            go_on.set()
        still(page)
        assert page.locator(".read").count() == 0
        assert shop.log().parts.empty
        page.close()
