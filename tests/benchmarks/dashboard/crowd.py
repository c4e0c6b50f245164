"""Many people pressing at once: how long each press waits."""

from __future__ import annotations

import http.client
import random
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from urllib.parse import urlsplit

from tests.benchmarks.dashboard.visiting import UPDATE

PATIENCE_S = 15.0


@dataclass
class Waits:
    """Seconds each press waited, and how many were not answered."""

    seconds: list[float] = field(default_factory=list)
    failed: int = 0

    @property
    def late_s(self) -> float:
        """95 in 100 presses waited no longer than this."""
        ordered = sorted(self.seconds)
        return ordered[int(0.95 * len(ordered))] if ordered else float("inf")


def crowd(site: str, posts: Sequence[str], people: int, seconds: float) -> Waits:
    """Every wait while that many people press one thing after another, with a breath between."""
    waits, until = Waits(), time.perf_counter() + seconds
    threads = [
        threading.Thread(target=_one, args=(site, posts, seed, until, waits), daemon=True)
        for seed in range(people)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(seconds + 2 * PATIENCE_S)
    return waits


def _one(site: str, posts: Sequence[str], seed: int, until: float, waits: Waits) -> None:
    host, luck = urlsplit(site), random.Random(seed)
    headers = {"Content-Type": "application/json", "Accept-Encoding": "gzip"}
    link = http.client.HTTPConnection(str(host.hostname), host.port or 80, timeout=PATIENCE_S)
    while time.perf_counter() < until:
        started = time.perf_counter()
        try:
            link.request("POST", UPDATE, luck.choice(posts).encode(), headers)
            answer = link.getresponse()
            answer.read()
            waits.failed += answer.status not in (200, 204)
        except (OSError, http.client.HTTPException):
            waits.failed += 1
            link.close()
        waits.seconds.append(time.perf_counter() - started)
        time.sleep(luck.uniform(0.5, 1.5))
    link.close()
