"""Walking through the dashboard in a real browser: opening a page and waiting until it is still."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import Page

STILL = """() => {
    const busy = !window.store || window.store.getState().isLoading
        || !document.querySelector('#screen h1')
        || document.querySelector('.working, .dash-graph--pending')
        || document.querySelector('.chart:not(:has(.main-svg))');
    window.stillFor = busy ? 0 : (window.stillFor || 0) + 1;
    return window.stillFor > 2;
}"""


def go(page: Page, address: str) -> None:
    """Open an address and wait until the page has answered."""
    page.goto(address)
    still(page)


def still(page: Page) -> None:
    """Wait until every question the page asked is answered and every chart drawn."""
    page.evaluate("window.stillFor = 0")
    page.wait_for_function(STILL, polling=40)


def text_of(page: Page, selector: str) -> str:
    """The words of the first such part of the page, with single spaces."""
    return re.sub(r"\s+", " ", page.locator(selector).first.inner_text()).strip()


def fits(page: Page) -> bool:
    """True where nothing reaches past the side of the screen."""
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))
