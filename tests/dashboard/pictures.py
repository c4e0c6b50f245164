"""Takes the pictures of the README: `python -m tests.dashboard.pictures [FOLDER]`.

Each page of the dashboard in front of the sample logs, on a laptop and on a phone, as a person
would first see it; and one in the dark. Needs Chromium and playwright.
"""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from tests.dashboard.conftest import QUIET, SIZES, a_shop, served
from tests.dashboard.walking import go

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "sample_logs"
LOGS = ("workshop-jobs.xlsx", "mixes.csv", "shed-logger.csv", "lots-and-moulds.ods")
SHOTS = {
    "home": "/",
    "cause": "/cause?part=B0323",
    "faults": "/cause",
    "month": "/month?m=2025-04",
    "catalyst": "/catalyst?t=18&from=12&to=20&pot=1.5",
    "year": "/catalyst?show=year",
    "plan": "/plan?mould=TL-1&t=18",
    "settle": "/settle?tab=own&f=mould_id&a=TL-1&b=HL-1&d=sticking",
    "write": "/write?what=job",
    "log": "/records?part=B0323",
}
OPENED = datetime(2026, 3, 2, 7, 30)
BIGGEST = 200_000


def take(browser: Browser, site: str, folder: Path) -> None:
    """Every shot at every size, then the dark one."""
    for size, (width, height) in SIZES.items():
        context = browser.new_context(viewport={"width": width, "height": height})
        for name, path in SHOTS.items():
            shoot(context, site + path, folder / f"{name}-{size}.png")
        context.close()
    dark = browser.new_context(
        viewport={"width": SIZES["phone"][0], "height": SIZES["phone"][1]}, color_scheme="dark"
    )
    shoot(dark, site + SHOTS["cause"], folder / "cause-phone-dark.png")
    dark.close()


def shoot(context: BrowserContext, address: str, path: Path) -> None:
    """One picture of what is on the screen when the page is ready."""
    page = context.new_page()
    page.set_default_timeout(120_000)
    go(page, address)
    page.screenshot(path=path)
    page.close()
    size = path.stat().st_size
    print(f"{path.name}: {size // 1000} kB{'  TOO BIG' if size > BIGGEST else ''}")


@contextmanager
def chromium() -> Iterator[Browser]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        program = shutil.which("chromium")
        browser = playwright.chromium.launch(executable_path=program, args=QUIET)
        yield browser
        browser.close()


def main(folder: Path) -> None:
    """Take all pictures into the folder."""
    folder.mkdir(parents=True, exist_ok=True)
    files = [SAMPLES / name for name in LOGS]
    with (
        TemporaryDirectory() as kept,
        a_shop(Path(kept), *files, now=lambda: OPENED) as shop,
        served(shop) as site,
        chromium() as browser,
    ):
        take(browser, site, folder)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "dashboard" / "pictures")
