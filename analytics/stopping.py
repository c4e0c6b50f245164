"""Long work that can be watched and stopped: it says each step, and learns whether to go on.

Whoever starts the work watches it; the layers between need not pass anything on. Work that nobody
watches runs through.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from analytics.errors import LaylogError


class StoppedError(LaylogError):
    """Somebody stopped the work before it was done; nothing of it was kept."""


class Watch:
    """One piece of work as seen from outside: `step` is where it is; `stop` ends it there."""

    def __init__(self) -> None:
        self.step = ""
        self._stopped = threading.Event()

    def stop(self) -> None:
        """Let the work end at its next step."""
        self._stopped.set()

    @property
    def stopped(self) -> bool:
        """Whether it was told to stop."""
        return self._stopped.is_set()

    def go_on(self, step: str) -> None:
        """Note the step that begins. Raises StoppedError where it must not."""
        if self.stopped:
            raise StoppedError("stopped: nothing was kept")
        self.step = step or self.step


_watching: ContextVar[Watch | None] = ContextVar("watching", default=None)


@contextmanager
def watched(watch: Watch) -> Iterator[None]:
    """Everything this thread does in here is watched."""
    before = _watching.set(watch)
    try:
        yield
    finally:
        _watching.reset(before)


def step(words: str = "") -> None:
    """Say that a step begins ("reading jobs.csv"), or only that the last one goes on.

    Raises StoppedError where whoever watches has stopped the work.
    """
    watch = _watching.get()
    if watch is not None:
        watch.go_on(words)
