"""A real browser in front of a real dashboard, watched for everything it says and asks for."""

from __future__ import annotations

import logging
import os
import shutil
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import pytest

from tests.dashboard.fake_shop import clock
from tests.dashboard.small_log import small_log

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

    from analytics.shop import Shop

QUIET = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SIZES = {"laptop": (1280, 900), "phone": (390, 844)}


def missing(what: str) -> NoReturn:
    """Skip, or fail where everything is required to run."""
    if os.environ.get("LAYLOG_REQUIRE_ALL") == "1":
        pytest.fail(f"{what}, and LAYLOG_REQUIRE_ALL=1")
    pytest.skip(what)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    program = shutil.which("chromium")
    if program is None:
        missing("no chromium on this machine")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        missing("playwright is not installed")
    with sync_playwright() as playwright:
        # launch() makes a fresh profile each time
        started = playwright.chromium.launch(executable_path=program, args=QUIET)
        yield started
        started.close()


@contextmanager
def served(shop: Shop, **sharing: Any) -> Iterator[str]:
    """The address of a dashboard in front of this shop, while the block runs."""
    from werkzeug.serving import make_server

    from dashboard.app import create_app

    # unlike waitress, this one stops at once when asked to from another thread
    logging.getLogger("werkzeug").setLevel(logging.ERROR)
    server = make_server(
        "127.0.0.1", 0, create_app(shop, clock=clock, **sharing).server, threaded=True
    )
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


@contextmanager
def a_shop(folder: Path, *files: Path, now: Callable[[], datetime] = clock) -> Iterator[Shop]:
    """A shop kept in this folder, with these files brought in."""
    from analytics.shop import Shop

    shop = Shop.open(str(folder / "shop.laylog"), now=now, environ={})
    try:
        if files:
            shop.import_files(files)
        yield shop
    finally:
        shop.close()


@pytest.fixture(scope="session")
def log_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small log as a file, with a worn-out release planted in it."""
    path = tmp_path_factory.mktemp("log") / "small-log.csv"
    path.write_text(small_log(), encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory, log_file: Path) -> Iterator[str]:
    """The address of a dashboard in front of the small log, for tests that only look."""
    with a_shop(tmp_path_factory.mktemp("shop"), log_file) as shop, served(shop) as address:
        yield address


@pytest.fixture
def own_site(tmp_path: Path, log_file: Path) -> Iterator[str]:
    """The same for a test that writes: nobody else sees it."""
    with a_shop(tmp_path, log_file) as shop, served(shop) as address:
        yield address


@pytest.fixture
def empty_site(tmp_path: Path) -> Iterator[str]:
    """The address of a dashboard in front of no log at all."""
    with a_shop(tmp_path) as shop, served(shop) as address:
        yield address


@pytest.fixture(scope="session")
def contexts(browser: Browser) -> Iterator[dict[str, BrowserContext]]:
    """A window of each size for all tests: what it has fetched of a site once, it keeps."""
    opened = {
        name: browser.new_context(viewport={"width": width, "height": height})
        for name, (width, height) in SIZES.items()
    }
    yield opened
    for context in opened.values():
        context.close()


@pytest.fixture(params=SIZES)
def page(request: pytest.FixtureRequest, contexts: dict[str, BrowserContext]) -> Iterator[Page]:
    """A page at laptop and at phone size; the test fails if it complains or calls outside."""
    for site_of_its_own in {"own_site", "empty_site"} & set(request.fixturenames):
        # set up first, so that the page closes before its server does
        request.getfixturevalue(site_of_its_own)
    context = contexts[request.param]
    opened = context.new_page()
    heard = watch(opened)
    yield opened
    for left in context.pages:
        left.close()
    assert heard == []


def watch(page: Page) -> list[str]:
    """Everything the page complains of, opens by itself, or asks of another machine."""
    heard: list[str] = []

    def asked(request: Any) -> None:
        if not request.url.startswith(("http://127.0.0.1:", "data:", "blob:")):
            heard.append(f"asked for {request.url}")

    page.on("console", lambda message: heard.append(f"console: {message.text}"))
    page.on("pageerror", lambda error: heard.append(f"error: {error}"))
    page.on("dialog", lambda dialog: (heard.append(f"dialog: {dialog.message}"), dialog.dismiss()))
    page.on("request", asked)
    return heard
