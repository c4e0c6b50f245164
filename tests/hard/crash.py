"""`python -m tests.hard.crash --moments 200`: killed in the middle, a store loses nothing.

Each moment: a fresh store, a process doing one thing to it, SIGKILL after a random while. Then the
store must be sound and the thing done or not done; doing it again must complete it, and doing it
once more change nothing.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

import sqlalchemy as sa

from tests.hard.acts import ACTS, Act

_TRIES = 12
"""How often a moment is tried again when the process was done before its end came."""


@contextmanager
def places(server: str | None, folder: Path) -> Iterator[dict[str, Callable[[], str]]]:
    """Where to make empty stores: by the name of the database, a function that gives one."""
    number = count()

    def on_file() -> str:
        return str(folder / f"store-{next(number)}" / "shop.laylog")

    if server is None:
        yield {"sqlite": on_file}
        return
    url = sa.make_url(server)
    engine = sa.create_engine(url, isolation_level="AUTOCOMMIT", poolclass=sa.NullPool)

    def on_server() -> str:
        name = f"hard_{os.getpid()}_{next(number)}"
        with engine.connect() as connection:
            connection.execute(sa.text(f"CREATE SCHEMA {name}"))
        query = {"options": f"-csearch_path={name}"}
        return url.update_query_dict(query).render_as_string(hide_password=False)

    yield {"sqlite": on_file, "postgresql": on_server}


def killed(act: Act, after: float) -> bool:
    """Do it in a process of its own, killed after so many seconds; False if it was done before."""
    ready, tell = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(ready)
        os.write(tell, b"!")
        try:
            act.do()
        except BaseException as error:  # told to whoever reads what the run prints
            print(f"{act.name}: {error!r}", file=sys.stderr)
            os._exit(1)
        os._exit(0)
    os.close(tell)
    os.read(ready, 1)
    os.close(ready)
    time.sleep(after)
    os.kill(child, signal.SIGKILL)
    status = os.waitpid(child, 0)[1]
    if os.WIFEXITED(status) and os.WEXITSTATUS(status):
        raise AssertionError(f"{act.name} could not be done")
    return os.WIFSIGNALED(status)


def one_moment(kind: type[Act], make: Callable[[], str], seconds: float, folder: Path) -> str:
    """Kill once at a random moment; "nothing", "all" or "too late", what was found to be done."""
    folder.mkdir()
    url = make()
    act = kind(url, folder)
    act.prepare()
    if not killed(act, random.uniform(0, seconds)):
        assert act.whole()
        return "too late"
    found = "all" if act.whole() else "nothing or a part"
    act.do()
    assert act.whole(), "doing it again did not complete it"
    act.do()
    assert act.whole(), "doing it once more spoilt it"
    return found


def how_long(kind: type[Act], make: Callable[[], str], folder: Path) -> float:
    """How long it takes undisturbed [s]."""
    folder.mkdir()
    act = kind(make(), folder)
    act.prepare()
    start = time.monotonic()
    assert not killed_never(act)
    return time.monotonic() - start


def killed_never(act: Act) -> bool:
    """Do it in a process of its own and let it finish; True where it failed."""
    child = os.fork()
    if child == 0:
        act.do()
        os._exit(0)
    return os.waitpid(child, 0)[1] != 0


def run(moments: int, server: str | None) -> Counter[tuple[str, str, str]]:
    """Kill at so many moments, in turn on each database and in each act; what was found."""
    found: Counter[tuple[str, str, str]] = Counter()
    work = Path(tempfile.mkdtemp(prefix="laylog-crash-"))
    number = count()
    with places(server, work) as made:
        turns = [(database, kind) for kind in ACTS for database in made]
        seconds = {
            (database, kind): how_long(kind, made[database], work / f"work-{next(number)}")
            for database, kind in turns
        }
        for moment in range(moments):
            database, kind = turns[moment % len(turns)]
            for _ in range(_TRIES):
                own = work / f"work-{next(number)}"
                told = one_moment(kind, made[database], seconds[database, kind], own)
                shutil.rmtree(own)
                if told != "too late":
                    break
            found[kind.name, database, told] += 1
    shutil.rmtree(work)
    return found


def main() -> None:
    """Run and say what was found; an AssertionError is a promise broken."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--moments", type=int, default=200)
    asked.add_argument(
        "--server", help="a PostgreSQL database to make schemas in; else SQLite only"
    )
    asked.add_argument("--seed", type=int, default=20250601)
    given = asked.parse_args()
    random.seed(given.seed)
    start = time.monotonic()
    found = run(given.moments, given.server)
    for (name, database, told), times in sorted(found.items()):
        print(f"{name:13} {database:11} {told:18} {times}")
    cut = sum(times for (_, _, told), times in found.items() if told != "too late")
    print(
        f"killed in the middle at {cut} moments in {time.monotonic() - start:.0f} s, nothing lost"
    )


if __name__ == "__main__":
    main()
