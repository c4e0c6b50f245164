"""Every page put to axe-core, the open rule set for accessibility (WCAG 2 and good practice)."""

from __future__ import annotations

from importlib.resources import files
from typing import TYPE_CHECKING, Any

import pytest

from dashboard.app import PAGES
from tests.dashboard.conftest import SIZES
from tests.dashboard.small_log import STUCK

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = pytest.mark.browser

ASKED = ("/cause?fault=pinholes", f"/cause?part={STUCK}", "/catalyst?t=18&from=10&to=18")
PATHS = (*(page.PATH for page in PAGES), *ASKED, "/nowhere")
OPEN_ALL = "document.querySelectorAll('details').forEach(d => d.open = true)"


def faults(browser: Browser, address: str, paths: tuple[str, ...], **look: Any) -> list[str]:
    """What axe-core calls serious or critical on these pages, everything folded out."""
    rules = (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
    # the page's own policy rightly forbids the script that looks it over
    context = browser.new_context(bypass_csp=True, **look)
    page = context.new_page()
    found = []
    for path in paths:
        page.goto(address + path)
        page.wait_for_selector("#screen h1")
        page.wait_for_load_state("networkidle")
        page.evaluate(OPEN_ALL)
        page.evaluate(rules)
        for broken in page.evaluate("axe.run()")["violations"]:
            if broken["impact"] in ("serious", "critical"):
                found += [f"{path} {broken['id']}: {n['html'][:120]}" for n in broken["nodes"]]
    context.close()
    return found


@pytest.mark.parametrize("colours", ["light", "dark"])
@pytest.mark.parametrize("size", SIZES)
def test_no_page_has_a_serious_fault(browser: Browser, site: str, size: str, colours: str) -> None:
    width, height = SIZES[size]
    look = {"viewport": {"width": width, "height": height}, "color_scheme": colours}
    assert faults(browser, site, PATHS, **look) == []


def test_no_empty_page_has_a_serious_fault(browser: Browser, empty_site: str) -> None:
    assert faults(browser, empty_site, tuple(page.PATH for page in PAGES)) == []


def test_a_fault_would_be_seen(browser: Browser, site: str) -> None:
    context = browser.new_context(bypass_csp=True)
    page = context.new_page()
    page.goto(site)
    page.wait_for_selector("#screen h1")
    page.evaluate("document.querySelector('#screen').innerHTML += '<button></button>'")
    page.evaluate((files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8"))
    broken = {v["id"] for v in page.evaluate("axe.run()")["violations"]}
    context.close()
    assert "button-name" in broken
