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
from tests.dashboard.walking import go

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
# colours are the one thing that differs in the dark: the other rules need not run again
RUNS = {"light": "axe.run()", "dark": "axe.run({runOnly: ['color-contrast']})"}


def faults(context: BrowserContext, site: str, paths: tuple[str, ...]) -> list[str]:
    """What axe-core calls serious or critical on these pages, everything folded out."""
    rules = (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
    page = context.new_page()
    found = []
    for path in paths:
        page.emulate_media(color_scheme="light")
        go(page, site + path)
        page.evaluate(OPEN_ALL)
        page.evaluate(rules)
        for colours, run in RUNS.items():
            page.emulate_media(color_scheme=colours)
            for broken in page.evaluate(run)["violations"]:
                if broken["impact"] in ("serious", "critical"):
                    told = [node["html"][:120] for node in broken["nodes"]]
                    found += [f"{path} {colours} {broken['id']}: {one}" for one in told]
    page.close()
    return found


@pytest.fixture
def window(request: pytest.FixtureRequest, browser: Browser) -> Iterator[BrowserContext]:
    """A window of the size asked for; axe may run in it though the pages rightly forbid it."""
    width, height = SIZES[getattr(request, "param", "laptop")]
    opened = browser.new_context(bypass_csp=True, viewport={"width": width, "height": height})
    yield opened
    opened.close()


@pytest.mark.parametrize(
    ("window", "paths"),
    [("laptop", PATHS[: len(PAGES)]), ("phone", PATHS[: len(PATHS) // 2]),
     ("phone", PATHS[len(PATHS) // 2 :])],
    indirect=["window"],
)  # fmt: skip
def test_no_page_has_a_serious_fault(
    window: BrowserContext, site: str, paths: tuple[str, ...]
) -> None:
    assert faults(window, site, paths) == []


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
