"""How quick the pages are on a big log: first paint, each answer, bytes, and many people at once.

    python -m tests.benchmarks.dashboard [--parts 20000] [--people 10] [--seconds 20]

Serves a simulated log with waitress, as a shop would, and looks at it with a real Chromium. Times
are of this machine with the browser on it too; run it on a machine that does nothing else.
"""

from __future__ import annotations

import argparse
import gzip
import http.client
import random
import shutil
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from analytics.shop import Shop
from tests.benchmarks.big_logs import log_files

if TYPE_CHECKING:
    from playwright.sync_api import Page

UPDATE = "/_dash-update-component"
DASH_OWN = "/_dash-component-suites/"
TIMES = 3
REST_MS = 90_000


@dataclass(frozen=True)
class Visit:
    """One page opened: first paint and last answer after opening [s], slowest callback [s]."""

    path: str
    paint_s: float
    whole_s: float
    answer_s: float


def main(argv: Sequence[str] | None = None) -> int:
    """Print the figures; 0."""
    given = argparse.ArgumentParser(prog="tests.benchmarks.dashboard")
    given.add_argument("--parts", type=int, default=20_000)
    given.add_argument("--people", type=int, default=10)
    given.add_argument("--seconds", type=float, default=20.0)
    asked = given.parse_args(argv)
    with tempfile.TemporaryDirectory() as folder:
        store, part = _filled(Path(folder), asked.parts)
        with _serving(store) as site:
            visits, posts, size = _visited(site, _paths(part))
            print(f"{asked.parts} parts, medians of {TIMES} visits, laptop size, warm server")
            print(f"{'page':34} first paint  all there  slowest answer")
            for v in visits:
                print(f"{v.path[:34]:34} {v.paint_s:9.2f} s {v.whole_s:8.2f} s {v.answer_s:9.2f} s")
            print(f"first load beyond Dash's and plotly's scripts: {size / 1e6:.2f} MB compressed")
            waits = _crowd(site, posts, asked.people, asked.seconds)
            waits.sort()
            late = waits[int(0.95 * len(waits))]
            print(
                f"{asked.people} people at once, {len(waits)} presses in {asked.seconds:.0f} s: "
                f"median {median(waits):.2f} s, 95th percentile {late:.2f} s"
            )
    return 0


def _filled(folder: Path, parts: int) -> tuple[Path, str]:
    """A store with the simulated log in it, and its latest failed part."""
    store = folder / "shop.laylog"
    shop = Shop.open(str(store), now=datetime.now, environ={})
    try:
        shop.import_files(log_files(folder, parts))
        return store, shop.failed_parts()[0].part_id
    finally:
        shop.close()


def _paths(part: str) -> tuple[str, ...]:
    return (
        "/",
        "/cause",
        f"/cause?part={part}",
        "/month",
        "/catalyst?t=18&from=10&to=18",
        "/plan",
        "/settle",
        "/records",
        "/write",
    )


@contextmanager
def _serving(store: Path) -> Iterator[str]:
    """The address of `laylog serve` in front of this store."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = "from analytics.cli.main import main; main()"
    server = subprocess.Popen(
        [sys.executable, "-c", command, "serve", "--store", str(store), "--port", str(port)],
        stdout=subprocess.DEVNULL,
    )
    try:
        for _ in range(200):
            with socket.socket() as trying:
                if trying.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.1)
        yield f"http://127.0.0.1:{port}"
    finally:
        server.terminate()
        server.wait()


def _visited(site: str, paths: Sequence[str]) -> tuple[list[Visit], list[str], int]:
    """Each page's median visit, the requests the pages made, and the bytes of a first load."""
    from playwright.sync_api import sync_playwright

    posts: list[str] = []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--headless", "--no-sandbox"]
        )
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.on("request", lambda r: posts.append(r.post_data or "") if UPDATE in r.url else None)
        first = _open(page, site, "/")
        print(f"first page after starting the server: all there in {first.whole_s:.2f} s")
        size = _own_bytes(site)
        for path in paths:
            warm = _open(page, site, path)
            print(f"first time {path}: all there in {warm.whole_s:.2f} s", flush=True)
        posts.clear()
        visits = []
        for path in paths:
            every = [_open(page, site, path) for _ in range(TIMES)]
            visits.append(
                Visit(
                    path,
                    median(v.paint_s for v in every),
                    median(v.whole_s for v in every),
                    median(v.answer_s for v in every),
                )
            )
        browser.close()
    return visits, [post for post in posts if post], size


def _open(page: Page, site: str, path: str) -> Visit:
    from playwright.sync_api import TimeoutError

    started = time.perf_counter()
    page.goto(site + path, timeout=REST_MS)
    page.wait_for_selector("#screen h1", timeout=REST_MS)
    # a page that keeps asking is measured too: its figure then says that it never came to rest
    with suppress(TimeoutError):
        page.wait_for_load_state("networkidle", timeout=REST_MS)
    # the browser waits half a second of silence before it calls the network idle
    whole = time.perf_counter() - started - 0.5
    told = page.evaluate(
        """() => [
            performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? 0,
            Math.max(0, ...performance.getEntriesByType("resource")
                .filter(e => e.name.includes("_dash-update-component"))
                .map(e => e.duration)),
        ]"""
    )
    return Visit(path, told[0] / 1000, whole, told[1] / 1000)


def _own_bytes(site: str) -> int:
    """Compressed bytes of the frame, the layout and laylog's own styles and scripts."""
    host = urlsplit(site)
    total = 0
    own = [p.name for p in (Path(__file__).parents[3] / "dashboard" / "assets").iterdir()]
    for path in ("/", "/_dash-layout", "/_dash-dependencies", *(f"/assets/{n}" for n in own)):
        link = http.client.HTTPConnection(str(host.hostname), host.port or 80)
        link.request("GET", path)
        total += len(gzip.compress(link.getresponse().read()))
        link.close()
    return total


def _crowd(site: str, posts: Sequence[str], people: int, seconds: float) -> list[float]:
    """Seconds each request took, while that many people press one thing after another."""
    host = urlsplit(site)
    waits: list[float] = []
    until = time.perf_counter() + seconds

    def one(seed: int) -> None:
        luck = random.Random(seed)
        link = http.client.HTTPConnection(str(host.hostname), host.port or 80)
        headers = {"Content-Type": "application/json"}
        while time.perf_counter() < until:
            started = time.perf_counter()
            link.request("POST", UPDATE, luck.choice(posts).encode(), headers)
            link.getresponse().read()
            waits.append(time.perf_counter() - started)
            time.sleep(luck.uniform(0.5, 1.5))
        link.close()

    threads = [threading.Thread(target=one, args=(seed,)) for seed in range(people)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return waits


if __name__ == "__main__":
    sys.exit(main())
