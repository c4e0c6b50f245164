"""Working ahead: what is likely to be asked next is worked out before anybody asks.

On a log of years some answers take a second the first time. While the dashboard is served they are
worked out in the background, whenever the records have changed, one at a time and with rests in
between, so that whoever asks something meanwhile is not kept waiting.
"""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import partial
from typing import TYPE_CHECKING

from analytics.errors import LaylogError

if TYPE_CHECKING:
    from analytics.shop import Shop

LOOK_S = 1.0
"""How often it is looked whether anything has changed [s]."""
LAST_S = 3.0
"""How long it may take to put down what is in hand at the end [s]."""
MONTHS_AHEAD = 12
MATERIALS = ("gelcoat", "resin")


@contextmanager
def working_ahead(shop: Shop) -> Iterator[None]:
    """While this lasts, the usual answers are kept ready for the records as they are."""
    stop = threading.Event()
    beside = threading.Thread(target=_keep_ready, args=(shop, stop), daemon=True)
    shop.works_ahead = True
    beside.start()
    try:
        yield
    finally:
        shop.works_ahead = False
        stop.set()
        beside.join(LAST_S)


def _keep_ready(shop: Shop, stop: threading.Event) -> None:
    done: object = None
    while not stop.is_set():
        # a store that is away for a moment is looked at again in the next round
        with suppress(LaylogError):
            now = shop.state_of_answers()
            if now != done:
                make_ready(shop, stop)
                done = now
        stop.wait(LOOK_S)


def make_ready(shop: Shop, stop: threading.Event) -> None:
    """Work out the usual answers, until told to stop or the records change under it."""
    began = shop.state_of_answers()
    for make in usual_answers(shop):
        if stop.is_set() or shop.state_of_answers() != began:
            return
        started = time.perf_counter()
        _try(make, stop)
        # as long a rest as it took: half of one processor at most
        stop.wait(time.perf_counter() - started)


def _try(make: Callable[[], object], stop: threading.Event) -> None:
    """Work one thing out; what cannot be is told to whoever asks for it."""
    try:
        make()
    except LaylogError:
        return
    except Exception:
        if stop.is_set():
            # the store was closed under it
            return
        logging.getLogger("laylog").exception("working ahead failed")


def usual_answers(shop: Shop) -> Iterator[Callable[[], object]]:
    """What the pages open with, what is asked first coming first."""
    yield shop.jobs
    yield shop.defects
    yield shop.failed_parts
    yield shop.log
    yield shop.browse
    yield shop.cause_model
    yield shop.compared
    yield shop.planned_moulds
    for material in MATERIALS:
        yield partial(shop.gel_model, material)
    yield shop.fields_to_compare
    for kind in ("part", "batch"):
        yield partial(shop.begin, kind)
    months = shop.months()[:MONTHS_AHEAD] if len(shop.jobs()) else []
    for month in months[:2]:
        yield partial(shop.month, month)
    for material in MATERIALS:
        yield partial(shop.season, material=material)
        yield partial(shop.last_mix, material)
    for month in months[2:]:
        yield partial(shop.month, month)
