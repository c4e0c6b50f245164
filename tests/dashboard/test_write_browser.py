"""Writing, mending, correcting and exporting in a real browser, on laptop and phone."""

from __future__ import annotations

import re
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.dashboard.small_log import HOSTILE_NOTE, STUCK
from tests.dashboard.walking import fits, go, text_of

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.browser

PATHS = (
    "/write",
    "/write?what=job",
    "/write?what=mix&material=resin",
    "/write?what=fault",
    "/write?what=fault&fault=pinholes",
    f"/records?part={STUCK}&fix={STUCK}|air_c",
)
BAD = """Part no,Date,Mould,Air C,Zorble,Result
P-201,2024-03-01,M1,18,1,ok
P-202,2024-03-02,M1,warm,1,<img src=x onerror=window.hacked=1>
P-203,2024-03-03,M1,19,1,ok
"""


@pytest.mark.parametrize("path", PATHS)
def test_form_fits_the_screen_and_a_thumb(page: Page, site: str, path: str) -> None:
    go(page, site + path)
    assert fits(page)
    small = page.evaluate("""() => [...document.querySelectorAll(
            "#screen a, #screen button, #screen summary, #screen input:not([type=radio])")]
        .filter(e => e.offsetParent && e.getBoundingClientRect().height < 44)
        .map(e => e.outerHTML.slice(0, 90))""")
    assert small == []
    nameless = page.evaluate("""() => [...document.querySelectorAll(
            "#screen input, #screen button")]
        .filter(e => e.offsetParent && !(e.textContent.trim() || e.ariaLabel || e.labels?.length))
        .map(e => e.outerHTML.slice(0, 90))""")
    assert nameless == []


def test_job_is_written_within_twenty_seconds_and_taken_back(page: Page, own_site: str) -> None:
    started = time.monotonic()
    go(page, own_site + "/write")
    page.get_by_role("link", name=re.compile("^A job")).click()
    page.get_by_label("Shop air").first.fill("64F")
    page.get_by_label("Part number").fill("P-300")
    page.locator(".choices label").filter(has_text="rework").click()
    page.get_by_label("Faults").fill("pinholes in the corner")
    page.get_by_role("button", name="Write it down").click()
    page.wait_for_selector(".written")
    assert time.monotonic() - started < 20
    told = text_of(page, ".written")
    assert "The job is kept" in told
    assert "64F as 17.778 °C" in told
    page.wait_for_function("() => scrollY < 200")
    page.wait_for_function(
        "() => [...document.querySelectorAll('.write input')].some(box => box.value === 'P-301')"
    )
    page.locator(".written").get_by_role("button", name="Take it back").click()
    page.wait_for_selector(".notice.done:not(.written)")
    go(page, own_site + "/records?part=P-300")
    assert "P-300" in text_of(page, ".notice.stop")


def test_what_was_written_is_no_news_on_the_next_form(page: Page, own_site: str) -> None:
    go(page, own_site + "/write?what=job")
    page.get_by_role("button", name="Write it down").click()
    page.wait_for_selector(".written")
    page.get_by_role("link", name="Something else").click()
    page.wait_for_selector(".questions")
    page.wait_for_selector(".written", state="detached")


def test_mix_begins_with_its_own_material(page: Page, own_site: str) -> None:
    go(page, own_site + "/write?what=mix")
    page.get_by_role("link", name="Laminating resin").click()
    page.wait_for_selector("h2:has-text('laminating resin')")
    page.get_by_label("Went into part").fill("P-001")
    page.get_by_label("Catalyst").first.fill("1,4")
    page.get_by_role("button", name="Write it down").click()
    page.wait_for_selector(".written")
    go(page, own_site + "/records?part=P-001")
    assert "Resin mix P-001/resin" in text_of(page, ".part-sheet")


def test_fault_is_picked_by_its_picture(page: Page, own_site: str) -> None:
    go(page, f"{own_site}/records?part=P-002")
    page.get_by_role("link", name="Write down a fault").click()
    page.locator(".gallery a").filter(has_text=re.compile("blister", re.I)).click()
    page.wait_for_selector(".write")
    assert page.get_by_label("On part").input_value() == "P-002"
    page.locator(".choices label").filter(has_text="slight").click()
    page.get_by_role("button", name="Write it down").click()
    page.wait_for_selector(".written")
    go(page, f"{own_site}/cause?part=P-002")
    assert page.locator(".cause").count() > 0


def test_second_press_does_not_write_twice(page: Page, own_site: str) -> None:
    go(page, own_site + "/write?what=job")
    page.get_by_label("Part number").fill("P-001")
    page.get_by_role("button", name="Write it down").click()
    page.wait_for_selector("#write-said .notice.stop")
    assert "the log has a part P-001 already" in text_of(page, "#write-said").lower().replace(
        "p-001", "P-001"
    )
    assert page.get_by_label("Part number").input_value() == "P-001"


def test_unread_cell_is_mended_before_it_is_kept(page: Page, own_site: str, tmp_path: Path) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_text(BAD, encoding="utf-8")
    go(page, own_site + "/records")
    page.set_input_files("#drop input", bad)
    page.wait_for_selector(".mend-row")
    page.locator(".problems a", has_text="row 3, “Air C”").click()
    page.get_by_label("Air C in row 3 should say").fill("17")
    page.get_by_role("button", name="Read it again with these").click()
    page.wait_for_selector(".mend-box:has-text('→ 17 °C')")
    assert fits(page)
    assert page.evaluate("window.hacked") is None
    page.get_by_role("button", name="Keep it").first.click()
    page.wait_for_selector(".notice.done")
    assert page.locator(".read").count() == 0
    go(page, own_site + "/records?part=P-202")
    assert "“warm”" in text_of(page, ".part-sheet")
    assert page.evaluate("window.hacked") is None


def a_workbook(path: Path) -> Path:
    """Two sheets ruled alike, a third of its own, one cell nobody can read."""
    import openpyxl

    jobs = ["Part no", "Date", "Mould", "Air C", "Result"]
    air = {"Spring": ("17", "18", "19"), "Summer": ("22", "warm", "24")}
    sheets = {
        name: [jobs, *[[f"{name}-{n}", f"2024-03-0{n}", "M1", c, "ok"] for n, c in enumerate(t, 1)]]
        for name, t in air.items()
    }
    sheets["Mixes"] = [["Mix", "Date", "Catalyst %", "Gel min"], ["G-1", "2024-03-01", "1,8", "14"]]
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def test_workbook_is_shown_sheet_by_sheet(page: Page, empty_site: str, tmp_path: Path) -> None:
    go(page, empty_site + "/records")
    page.set_input_files("#drop input", a_workbook(tmp_path / "book.xlsx"))
    page.wait_for_selector(".read")
    assert page.locator(".preview-sheet h3").all_inner_texts() == [
        "book.xlsx, Spring",
        "book.xlsx, Summer",
        "book.xlsx, Mixes",
    ]
    spring, summer, mixes = page.locator(".preview-sheet").all()
    assert spring.locator("thead th").nth(4).inner_text().split("\n") == ["Air C", "Shop air"]
    assert mixes.locator("td.differs").first.inner_text() == "1,8\n→ 1.8 % by mass"
    assert summer.locator(".preview-grid").count() == 0
    summer.get_by_text("The first row, ruled as above").click()
    assert "Air C: 22" in summer.locator("details[open] .whole-row").inner_text()
    assert "warm" in summer.locator(".mend-row").inner_text()
    assert fits(page)


def test_dropped_file_can_be_left(page: Page, own_site: str, tmp_path: Path) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_text(BAD, encoding="utf-8")
    go(page, own_site + "/records")
    page.set_input_files("#drop input", bad)
    page.wait_for_selector(".mend-row")
    page.get_by_role("button", name="Leave it").first.click()
    page.wait_for_selector(".read", state="detached")
    assert "nothing was kept" in text_of(page, ".notice.done")
    assert "90 parts" in text_of(page, "#parts-table caption")


def test_field_is_put_right_and_taken_back(page: Page, own_site: str) -> None:
    go(page, f"{own_site}/records?part={STUCK}")
    page.get_by_role("link", name="Correct Shop air").first.click()
    page.locator(".fix").get_by_label("Shop air, empty for unknown").fill("64F")
    page.get_by_role("button", name="Keep this").click()
    page.wait_for_selector(".notice.done")
    assert "17.8 °C" in text_of(page, ".notice.done")
    page.wait_for_selector("td:has-text('until')")
    page.get_by_role("button", name="Take the last change back").click()
    page.wait_for_selector("td:has-text('until')", state="detached")


def test_correction_of_a_value_changed_meanwhile_is_refused(page: Page, own_site: str) -> None:
    where = f"{own_site}/records?part={STUCK}&fix={STUCK}|air_c"
    go(page, where)
    other = page.context.new_page()
    go(other, where)
    for one, typed in ((page, "11"), (other, "12")):
        one.locator(".fix input").fill(typed)
        one.get_by_role("button", name="Keep this").click()
        one.wait_for_selector("#notice .notice")
    assert "look again" in text_of(other, "#notice")
    go(page, where)
    assert page.locator(".fix input").input_value() == "11"


def test_parts_are_narrowed_by_mould_and_kept_in_the_address(page: Page, site: str) -> None:
    go(page, site + "/records?mould=M07&fault=sticking-patches")
    first = text_of(page, "#parts-table caption")
    assert first != "90 parts, the newest 30 shown"
    page.locator(".filter .dash-dropdown").nth(1).click()
    page.get_by_role("option", name="January 2024").click()
    page.wait_for_url("**month=2024-01*")
    page.wait_for_function(
        "first => document.querySelector('#parts-table caption')?.innerText !== first", arg=first
    )
    assert "mould=M07" in page.url


def test_log_is_saved_as_a_file(page: Page, site: str) -> None:
    go(page, site + "/records")
    with page.expect_download() as saved:
        page.get_by_role("link", name="The parts, as CSV").click()
    text = Path(saved.value.path()).read_text(encoding="utf-8")
    assert saved.value.suggested_filename == "laylog-parts.csv"
    assert text.startswith("part_id,")
    assert ("'" + HOSTILE_NOTE).replace('"', '""') in text
