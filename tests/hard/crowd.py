"""One of several people at one store: `python -m tests.hard.crowd URL ROLE NUMBER BARRIER`.

An importer reads files in; a writer is a process of five people at once, each confirming causes on
parts of their own and all of them putting one part right, turn about. What was refused because
somebody else had changed it meanwhile is looked at again and done; any other refusal is printed.
"""

from __future__ import annotations

import sys
import threading
import time
from pathlib import Path

from analytics.errors import StoreError
from analytics.records.store import Correct, Store
from tests.hard.given import NOW, a_log

TURNS = 3
PEOPLE = 5


def importer(url: str, number: int) -> None:
    """Files one after the other, half of each known to nobody else."""
    with Store.open(url, now=NOW) as store:
        for turn in range(TURNS):
            first = 1000 * (number + 1) + 20 * turn
            given = a_log(f"{number}-{turn}.csv", range(first, first + 20), air_c=18.0)
            store.save(given, now=NOW)


def writer(url: str, number: int) -> None:
    """Five people on one open store, as in the dashboard."""
    with Store.open(url, now=NOW) as store:
        people = [
            threading.Thread(target=person, args=(store, PEOPLE * number + one))
            for one in range(PEOPLE)
        ]
        for thread in people:
            thread.start()
        for thread in people:
            thread.join()


def person(store: Store, who: int) -> None:
    """One person's day."""
    try:
        for turn in range(TURNS):
            store.confirm(f"P{who}-{turn}", "pinholes", "too-cold", now=NOW)
            store.add_entry("note", f"{who}-{turn}", {"who": who}, now=NOW)
            _add_one(store)
    except StoreError as error:
        print(error, flush=True)


def _add_one(store: Store) -> None:
    """Make the shared part a degree warmer; two who saw the same figure cannot both be right."""
    while True:
        found = store.current("part", "shared")
        assert found is not None
        was = found.texts["air_c"]
        new = repr(float(was or 0) + 1)
        asked = Correct("part", "shared", "air_c", new, was, {"air_c": new}, "by hand")
        try:
            store.correct(asked, now=NOW)
            return
        except StoreError as error:
            if "in use" in str(error):
                raise


def main() -> None:
    """Wait until everybody is there, then begin."""
    url, role, number, barrier = sys.argv[1:]
    Path(barrier, f"{role}-{number}").touch()
    while not Path(barrier, "go").exists():
        time.sleep(0.002)
    {"importer": importer, "writer": writer}[role](url, int(number))


if __name__ == "__main__":
    main()
