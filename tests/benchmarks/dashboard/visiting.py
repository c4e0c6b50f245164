"""Pages opened in a real Chromium: when something useful stands there, when each answer came."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING

from tests.benchmarks.dashboard.asking import Asked
from tests.benchmarks.dashboard.serving import now_doing

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

UPDATE = "/_dash-update-component"
THEIRS = "/_dash-component-suites/"
"""Where Dash's and plotly's own scripts come from."""
REST_MS = 15_000
SIZE = {"width": 1280, "height": 900}

TOLD = """() => {
    const all = performance.getEntriesByType("resource");
    const own = all.filter(e => !e.name.includes("/_dash-component-suites/"));
    const page = performance.getEntriesByType("navigation")[0];
    const sum = list => list.reduce((n, e) => n + e.encodedBodySize, 0);
    return {
        answer: Math.max(0, ...all.filter(e => e.name.includes("/_dash-update-component"))
            .map(e => e.duration)),
        own: sum(own) + page.encodedBodySize,
        theirs: sum(all) - sum(own),
    };
}"""


@dataclass(frozen=True)
class Visit:
    """One page opened: its heading painted, all answers there, the slowest answer [s]; bytes."""

    path: str
    useful_s: float
    whole_s: float
    answer_s: float
    own_bytes: int
    their_bytes: int


@dataclass(frozen=True)
class Seen:
    """Every visit: just after the server's start, again later (medians), questions asked once.

    `ready_s` is how long the server worked ahead; `posts` are the requests the pages made.
    """

    started: tuple[Visit, ...]
    ready_s: float
    again: tuple[Visit, ...]
    fresh: Mapping[str, Visit]
    posts: tuple[str, ...]


def visited(site: str, asked: Asked, times: int, at_rest: Callable[[], float]) -> Seen:
    """All pages just after the start, then every one again, then what nobody asked before."""
    from playwright.sync_api import sync_playwright

    posts: list[str] = []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--headless", "--no-sandbox"],
            timeout=REST_MS,
        )  # fmt: skip
        try:
            now_doing("opening every page just after the start")
            started = tuple(_open_new(browser, site, path) for path in asked.pages)
            now_doing("waiting until the server has worked ahead")
            ready_s = at_rest()
            now_doing("opening every page again")
            page = browser.new_page(viewport=SIZE)
            page.on(
                "request", lambda r: posts.append(r.post_data or "") if UPDATE in r.url else None
            )
            again = tuple(
                _middle([_open(page, site, p) for _ in range(times)]) for p in asked.pages
            )
            now_doing("asking what nobody asked before")
            fresh = {
                kind: _middle([_open(page, site, path) for path in paths[: max(times, 1)]])
                for kind, paths in asked.fresh.items()
            }
        finally:
            browser.close()
    return Seen(started, ready_s, again, fresh, tuple(post for post in posts if post))


def _open_new(browser: Browser, site: str, path: str) -> Visit:
    """The page as somebody opens it for the first time: nothing is kept in the browser yet."""
    context = browser.new_context(viewport=SIZE)
    try:
        return _open(context.new_page(), site, path)
    finally:
        context.close()


def _open(page: Page, site: str, path: str) -> Visit:
    from playwright.sync_api import TimeoutError

    started = time.perf_counter()
    page.goto(site + path, timeout=REST_MS)
    page.wait_for_selector("#screen h1", timeout=REST_MS)
    useful = time.perf_counter() - started
    # a page that keeps asking is measured too: its figure then says that it never came to rest
    with suppress(TimeoutError):
        page.wait_for_load_state("networkidle", timeout=REST_MS)
    # the browser waits half a second of silence before it calls the network idle
    whole = max(time.perf_counter() - started - 0.5, useful)
    told = page.evaluate(TOLD)
    return Visit(path, useful, whole, told["answer"] / 1000, told["own"], told["theirs"])


def _middle(visits: Sequence[Visit]) -> Visit:
    """The median of several visits, figure by figure."""
    return Visit(
        visits[0].path,
        median(v.useful_s for v in visits),
        median(v.whole_s for v in visits),
        median(v.answer_s for v in visits),
        max(v.own_bytes for v in visits),
        max(v.their_bytes for v in visits),
    )
