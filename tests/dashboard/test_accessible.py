"""Every page put to axe-core, the open rule set for accessibility (WCAG 2 and good practice)."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from dashboard.app import PAGES
from tests.dashboard.conftest import SIZES, a_shop, served
from tests.dashboard.small_log import STUCK
from tests.dashboard.walking import go, still

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext

pytestmark = pytest.mark.browser

ASKED = (
    "/cause?fault=pinholes",
    f"/cause?part={STUCK}",
    "/catalyst?t=18&from=10&to=18",
    "/catalyst?show=year",
    "/catalyst?show=cup",
    "/plan?mould=M07&t=19",
    "/settle?q=wax-every-pull",
    "/settle?tab=own&f=mould_id&a=M02&b=M07&d=sticking",
    "/settle?tab=trials&new=1",
    f"/records?part={STUCK}&fix={STUCK}|air_c",
    "/write?what=job",
    "/write?what=fault&fault=pinholes",
)
PATHS = (*(page.PATH for page in PAGES), *ASKED, "/nowhere")
OPEN_ALL = "document.querySelectorAll('details').forEach(d => d.open = true)"
ALL_RULES = "axe.run({resultTypes: ['violations']})"
COLOURS = "axe.run({resultTypes: ['violations'], runOnly: ['color-contrast']})"
# Colours are what the dark changes, and the width of a screen changes none of them: each rule runs
# where it can tell something new.
PHONE_THEN_DARK = (("phone", "light", ALL_RULES), ("laptop", "dark", COLOURS))
LAPTOP = (("laptop", "light", ALL_RULES),)
DARK_PHONE = (("phone", "dark", COLOURS),)
TURN = """path => {
    history.pushState({}, "", path);
    window.dispatchEvent(new CustomEvent("_dashprivate_pushstate"));
}"""

Looks = tuple[tuple[str, str, str], ...]


def faults(
    context: BrowserContext, site: str, paths: tuple[str, ...], looks: Looks = PHONE_THEN_DARK
) -> list[str]:
    """What axe-core calls serious or critical on these pages, everything folded out."""
    page = context.new_page()
    go(page, site + paths[0])
    page.evaluate((files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8"))
    found = []
    for path in paths:
        # turning the page inside the app spares fetching it, and axe, anew
        page.evaluate(TURN, path)
        still(page)
        page.evaluate(OPEN_ALL)
        for size, colours, run in looks:
            width, height = SIZES[size]
            page.set_viewport_size({"width": width, "height": height})
            page.emulate_media(color_scheme=colours)
            for broken in page.evaluate(run)["violations"]:
                if broken["impact"] in ("serious", "critical"):
                    told = [node["html"][:120] for node in broken["nodes"]]
                    found += [f"{path} {size} {colours} {broken['id']}: {one}" for one in told]
    page.close()
    return found


@pytest.fixture
def window(browser: Browser) -> Iterator[BrowserContext]:
    """A window in which axe may run though the pages rightly forbid it."""
    opened = browser.new_context(bypass_csp=True)
    yield opened
    opened.close()


@pytest.mark.parametrize(
    ("paths", "looks"),
    [
        (PATHS[::2], PHONE_THEN_DARK),
        (PATHS[1::2], PHONE_THEN_DARK),
        (tuple(page.PATH for page in PAGES), (*LAPTOP, *DARK_PHONE)),
    ],
    ids=["one-half", "the-other", "laptop"],
)
def test_no_page_has_a_serious_fault(
    window: BrowserContext, site: str, paths: tuple[str, ...], looks: Looks
) -> None:
    assert faults(window, site, paths, looks) == []


def test_no_month_with_actions_has_a_serious_fault(
    window: BrowserContext, tmp_path: Path, log_file: Path
) -> None:
    with a_shop(tmp_path, log_file) as shop, served(shop) as site:
        shop.add_action("Three thin wax coats", "2024-03-01", ("sticking",), ("M07",))
        assert faults(window, site, ("/month",)) == []


def test_no_empty_page_has_a_serious_fault(empty_site: str, window: BrowserContext) -> None:
    assert faults(window, empty_site, tuple(page.PATH for page in PAGES)) == []


def test_a_fault_would_be_seen(window: BrowserContext, site: str) -> None:
    page = window.new_page()
    go(page, site)
    page.evaluate("document.querySelector('#screen').innerHTML += '<button></button>'")
    page.evaluate((files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8"))
    broken = {v["id"] for v in page.evaluate("axe.run()")["violations"]}
    assert "button-name" in broken
