"""The dashboard in a real browser: every page walked as a moulder would, on laptop and phone."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from dashboard.app import PAGES
from tests.dashboard.small_log import HOSTILE_NOTE, HOSTILE_PART, STUCK
from tests.dashboard.walking import fits, go, text_of

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

PATHS = ("/", "/cause", f"/cause?part={STUCK}", "/cause?fault=pinholes", "/month",
         "/catalyst?t=18&from=10&to=18", "/catalyst?show=year", "/plan?mould=M07&area=1.4&t=19",
         "/settle", "/write", "/records", "/nowhere")  # fmt: skip
QUESTIONS = ("Cause", "Catalyst", "Plan", "Write")


def ranking(page: Page) -> list[str]:
    """Titles and chances of the causes, likeliest first."""
    return [
        re.sub(r"\s+", " ", t) for t in page.locator(".cause-head .odds-words").all_inner_texts()
    ]


@pytest.mark.parametrize("path", PATHS)
def test_page_opens_quietly_and_fits_the_screen(page: Page, site: str, path: str) -> None:
    go(page, site + path)
    assert page.locator("h1").count() == 1
    assert page.title() == f"{text_of(page, 'h1')} · laylog"
    assert fits(page)


@pytest.mark.parametrize("path", PATHS[:-1])
def test_everything_to_press_has_room_for_a_thumb(page: Page, site: str, path: str) -> None:
    go(page, site + path)
    small = page.evaluate("""() => [...document.querySelectorAll("a, button, summary, input")]
        .filter(e => e.offsetParent && getComputedStyle(e).opacity > 0.01 && !e.matches(".skip"))
        .filter(e => e.getBoundingClientRect().height < 47.5)
        .map(e => e.outerHTML.slice(0, 90))""")
    assert small == []


def test_bringing_in_a_log_from_a_file(page: Page, empty_site: str, log_file: Path) -> None:
    go(page, empty_site + "/records")
    assert "There is no log yet" in text_of(page, "#records-log")
    page.set_input_files("#drop input", log_file)
    page.wait_for_selector(".read")
    assert "91 rows: 90 parts" in text_of(page, ".sheet-report")
    assert "“Zorble”" in text_of(page, ".strange")
    assert "There is no log yet" in text_of(page, "#records-log")
    page.get_by_role("button", name="Keep it").first.click()
    page.wait_for_selector(".notice.done")
    assert "new record" in text_of(page, ".notice.done")
    page.wait_for_selector("#parts-table table")
    assert "90 parts" in text_of(page, "#parts-table caption")
    assert page.locator(".read").count() == 0


def test_unknown_column_is_placed_once_for_all(page: Page, empty_site: str, log_file: Path
                                               ) -> None:  # fmt: skip
    go(page, empty_site + "/records")
    page.set_input_files("#drop input", log_file)
    page.locator(".place .dash-dropdown").click()
    page.get_by_role("option", name="Leave it alone").click()
    page.get_by_role("button", name="Place it").click()
    page.wait_for_selector(".notice.done")
    page.wait_for_selector(".strange", state="detached")
    assert "is placed" in text_of(page, ".notice.done")


def test_part_is_shown_as_typed_and_as_read(page: Page, site: str) -> None:
    go(page, site + "/records")
    page.get_by_role("link", name="P-089", exact=True).click()
    page.wait_for_selector(".part-sheet")
    sheet = text_of(page, ".part-sheet")
    for told in ("Shop air", "M07", "small-log.csv"):
        assert told in sheet
    page.go_back()
    page.wait_for_selector("#parts-table")


def test_import_is_taken_back(page: Page, own_site: str) -> None:
    go(page, own_site + "/records")
    page.get_by_role("button", name="Take back small-log.csv").click()
    page.wait_for_selector(".notice.done")
    page.wait_for_selector(".teach")
    assert "taken back" in text_of(page, ".imports")


def test_investigating_a_part_and_answering_a_check(page: Page, site: str) -> None:
    go(page, site + "/")
    page.get_by_role("link", name="Why did this part fail?").click()
    page.get_by_label("Which part?").fill(STUCK.lower())
    page.locator("#part-found").get_by_role("link", name=re.compile(STUCK)).click()
    page.wait_for_selector(".cause")
    before, url = ranking(page), page.url
    page.locator(".results a").first.click()
    page.wait_for_selector(".found")
    after = ranking(page)
    assert before != after
    assert "seen=" in page.url
    assert page.locator(".tag").get_attribute("role") == "status"
    page.go_back()
    page.wait_for_selector(".found", state="detached")
    assert page.url == url
    assert ranking(page) == before


def test_address_of_an_answer_can_be_sent_to_somebody(page: Page, site: str) -> None:
    go(page, f"{site}/cause?part={STUCK}")
    page.locator(".results a").first.click()
    page.wait_for_selector(".found")
    here, told = page.url, ranking(page)
    other = page.context.new_page()
    go(other, here)
    other.wait_for_selector(".found")
    assert ranking(other) == told


def test_finding_is_taken_back_by_hand(page: Page, site: str) -> None:
    go(page, f"{site}/cause?part={STUCK}")
    before = ranking(page)
    page.locator(".results a").first.click()
    page.get_by_role("link", name="Take back").click()
    page.wait_for_selector(".found", state="detached")
    assert ranking(page) == before


def test_cause_is_confirmed_and_taken_back(page: Page, own_site: str) -> None:
    go(page, f"{own_site}/cause?part={STUCK}")
    page.get_by_role("button", name="This was it").first.click()
    page.wait_for_selector(".stamp")
    assert "is written down as the cause" in text_of(page, ".notice.done")
    page.get_by_role("button", name="Take back: this was not proved").first.click()
    page.wait_for_selector(".stamp", state="detached")


def test_finding_is_written_down_with_the_part(page: Page, own_site: str) -> None:
    go(page, f"{own_site}/cause?part={STUCK}")
    page.locator(".results a").first.click()
    page.get_by_role("button", name="Write this down with the part").click()
    page.wait_for_selector(".notice.done")
    go(page, f"{own_site}/cause?part={STUCK}")
    assert "written down" in text_of(page, ".found")


def test_fault_can_be_picked_by_its_picture(page: Page, site: str) -> None:
    go(page, f"{site}/cause?part=P-001")
    assert "What do you see on P-001?" in text_of(page, "#cause-answer")
    page.locator(".gallery a").filter(has_text=re.compile("blister", re.I)).click()
    page.wait_for_selector(".tag")
    assert "P-001" in text_of(page, ".tag")


def test_unknown_part_is_a_sentence(page: Page, site: str) -> None:
    go(page, f"{site}/cause?part=NOPE-1")
    assert "NOPE-1" in text_of(page, ".notice.stop")
    assert page.locator(".notice.stop").get_attribute("role") == "alert"


def test_month_in_review(page: Page, site: str) -> None:
    go(page, site + "/month")
    assert "31 parts good" not in text_of(page, ".tag")
    assert re.search(r"\d+ of \d+ parts good", text_of(page, ".tag"))
    assert page.locator("#month-days .main-svg").count() > 0
    page.locator(".steps a").first.click()
    page.wait_for_url("**m=2024-02")
    page.get_by_text("February 2024", exact=True).first.wait_for()
    page.go_back()
    page.wait_for_selector(".steps strong:has-text('March 2024')")


def test_setting_a_catalyst(page: Page, site: str) -> None:
    go(page, site + "/catalyst")
    first = text_of(page, ".tag-answer")
    page.get_by_label("How much in the pot?").fill("3")
    page.keyboard.press("Enter")
    page.wait_for_url("**pot=3*")
    page.wait_for_selector(".dose-pot:has-text('3 kg')")
    assert text_of(page, ".tag-answer") != first
    page.get_by_role("link", name="Laminating resin").click()
    page.locator(".form summary", has_text="More").click()
    page.get_by_label("Or: working time").fill("20")
    page.keyboard.press("Enter")
    page.wait_for_url("**work=20*")
    page.wait_for_selector(".tag-about:has-text('Laminating resin')")
    assert page.get_by_label("How much in the pot?").input_value() == "3"
    page.go_back()
    page.go_back()
    page.wait_for_selector(".tag-about:has-text('Gel coat')")
    assert page.get_by_label("Or: working time").input_value() == ""


def test_all_ten_cautions_stay_open_on_screen_and_paper(page: Page, site: str) -> None:
    go(page, site + "/catalyst?t=18")
    for media in ("screen", "print"):
        page.emulate_media(media=media)
        cautions = page.locator(".dose .cautions li")
        assert cautions.count() == 10
        assert all(cautions.nth(k).is_visible() for k in range(10))


def test_paper_shows_the_answer_and_boxes_to_tick(page: Page, site: str) -> None:
    go(page, f"{site}/cause?part={STUCK}")
    page.emulate_media(media="print")
    assert page.locator(".tag").is_visible()
    assert page.locator(".results .result").first.is_visible()
    for pressed in (".top nav", ".results .plain", ".ways-on", ".screen-only >> nth=0"):
        assert not page.locator(pressed).is_visible()


def test_what_a_file_says_is_shown_and_never_run(page: Page, site: str) -> None:
    for path in ("/", "/records", "/month"):
        go(page, site + path)
        assert page.evaluate("window.hacked") is None
    go(page, site + "/records")
    page.get_by_role("link", name=HOSTILE_PART).click()
    page.wait_for_selector(".part-sheet")
    assert page.locator(".part-sheet h2").inner_text() == HOSTILE_PART
    assert HOSTILE_NOTE in page.locator(".part-sheet").inner_text()
    assert page.evaluate("window.hacked") is None
    page.get_by_role("link", name="Why did it fail?").click()
    page.wait_for_selector(".tag")
    assert HOSTILE_PART in page.locator(".tag-about").inner_text()
    assert page.evaluate("window.hacked") is None


def test_file_that_is_no_log_is_a_sentence(page: Page, empty_site: str, tmp_path: Path) -> None:
    broken = tmp_path / "<img src=x onerror=alert(1)>.xlsx"
    broken.write_bytes(b"\x89PNG not a workbook")
    go(page, empty_site + "/records")
    page.set_input_files("#drop input", broken)
    page.wait_for_selector("#records-read .notice, #records-read .problems")
    shown = page.locator("#records-read").inner_text()
    assert "Keep it" not in shown
    assert broken.name in shown


def test_keyboard_reaches_the_answer_past_the_questions(page: Page, site: str) -> None:
    go(page, site + "/month")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the answer"
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.querySelector('#screen').contains(document.activeElement)")


def test_keyboard_is_seen_on_a_list_to_pick_from(page: Page, site: str) -> None:
    go(page, site + "/plan")
    page.locator("#screen h1").click()
    while "dash-dropdown" not in page.evaluate("document.activeElement.className"):
        page.keyboard.press("Tab")
    line = page.evaluate("parseFloat(getComputedStyle(document.activeElement).outlineWidth)")
    assert line >= 3


def test_page_has_its_landmarks_and_names(page: Page, site: str) -> None:
    for path in PATHS[:-1]:
        go(page, site + path)
        for landmark in ("banner", "main", "contentinfo"):
            assert page.get_by_role(landmark).count() == 1
        assert page.get_by_role("navigation", name="Questions").count() == 1
        nameless = page.evaluate("""() => [...document.querySelectorAll("input, button, a")]
            .filter(e => e.offsetParent && !e.closest("[aria-hidden=true]"))
            .filter(e => !(e.textContent.trim() || e.ariaLabel
                || e.labels?.length)).map(e => e.outerHTML.slice(0, 90))""")
        assert nameless == []


def test_questions_are_one_press_apart(page: Page, site: str) -> None:
    go(page, site)
    for question in QUESTIONS:
        page.get_by_role("navigation", name="Questions").get_by_role("link", name=question).click()
        page.wait_for_selector(f".top nav .here:has-text('{question}')")
        page.wait_for_function("() => document.activeElement.id === 'screen'")


def test_every_page_teaches_while_there_is_no_log(page: Page, empty_site: str) -> None:
    for shown in PAGES:
        go(page, empty_site + shown.PATH)
        assert re.search("There is no log yet|Say how large", text_of(page, ".teach"))
        assert page.locator(".teach .columns dt").count() >= 2
        assert page.locator(".teach .button").count() >= 1
    go(page, empty_site + "/catalyst?t=18")
    assert page.locator(".dose .cautions li").count() == 10


def test_dark_workshop_gets_a_dark_page(page: Page, site: str) -> None:
    page.emulate_media(color_scheme="dark")
    go(page, site + "/month")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(16, 25, 27)"
    ink = page.evaluate("getComputedStyle(document.querySelector('#month-days text')).fill")
    assert ink == "rgb(238, 242, 234)"


def test_several_files_are_brought_in_together(
    page: Page, empty_site: str, log_file: Path, tmp_path: Path
) -> None:
    logger = tmp_path / "logger.csv"
    logger.write_text("Time,Air C,Humidity %\n2024-01-02 08:00,17,60\n2024-01-02 09:00,18,58\n")
    go(page, empty_site + "/records")
    page.set_input_files("#drop input", [log_file, logger])
    page.wait_for_selector(".file-report >> nth=1")
    page.get_by_role("button", name="Keep it").first.click()
    page.wait_for_selector(".imports li >> nth=1")
