"""Dropped files wait under a name nobody can guess, and leave nothing behind."""

from __future__ import annotations

from base64 import b64encode
from pathlib import Path

import pytest

from analytics.errors import FileError
from dashboard import uploads
from dashboard.uploads import LONGEST_NAME, MOST_WAITING, WAIT_SECONDS, Waiting, safe_name


class Clock:
    def __init__(self) -> None:
        self.at = 0.0

    def __call__(self) -> float:
        return self.at


def dropped(content: bytes) -> str:
    return "data:text/csv;base64," + b64encode(content).decode()


def paths_of(waiting: Waiting, name: str) -> tuple[Path, ...]:
    with waiting.held(name) as upload:
        return upload.paths


def test_dropped_file_is_there_whole_under_its_own_name() -> None:
    waiting = Waiting()
    name = waiting.put([dropped(b"Job;Day\n")], ["our log.csv"])
    [path] = paths_of(waiting, name)
    assert path.name == "our log.csv"
    assert path.read_bytes() == b"Job;Day\n"
    waiting.drop(name)
    assert not path.exists()
    assert not path.parent.parent.exists()


def test_two_files_of_one_name_do_not_meet() -> None:
    waiting = Waiting()
    paths = paths_of(waiting, waiting.put([dropped(b"1"), dropped(b"2")], ["log.csv", "log.csv"]))
    assert [path.read_bytes() for path in paths] == [b"1", b"2"]


def test_every_upload_has_a_long_name_of_its_own() -> None:
    waiting = Waiting()
    names = {waiting.put([dropped(b"1")], ["log.csv"]) for _ in range(5)}
    assert len(names) == 5
    assert min(map(len, names)) >= 32


def test_unknown_name_is_a_sentence() -> None:
    for name in (None, "", "guess"):
        with pytest.raises(FileError, match="drop them again"), Waiting().held(name):
            pass


def test_upload_is_gone_after_an_hour() -> None:
    clock = Clock()
    waiting = Waiting(clock)
    name = waiting.put([dropped(b"1")], ["log.csv"])
    [path] = paths_of(waiting, name)
    clock.at = WAIT_SECONDS - 1
    assert paths_of(waiting, name) == (path,)
    clock.at = WAIT_SECONDS
    with pytest.raises(FileError, match="no longer here"), waiting.held(name):
        pass
    assert not path.exists()


def test_too_many_waiting_files_push_the_oldest_out() -> None:
    waiting = Waiting()
    first = waiting.put([dropped(b"1")], ["log.csv"])
    for _ in range(MOST_WAITING):
        last = waiting.put([dropped(b"1")], ["log.csv"])
    assert paths_of(waiting, last)
    with pytest.raises(FileError), waiting.held(first):
        pass


def test_too_large_a_file_is_refused_and_not_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(uploads, "MOST_BYTES", 3)
    with pytest.raises(FileError, match="laylog import"):
        Waiting().put([dropped(b"ab"), dropped(b"cd")], ["a.csv", "b.csv"])


@pytest.mark.parametrize(
    ("name", "safe"),
    [
        ("../../etc/passwd", "passwd"),
        ("C:\\logs\\march.xlsx", "march.xlsx"),
        ("..", "file"),
        ("", "file"),
        ("a\x00b\n.csv", "ab.csv"),
        (".hidden", "hidden"),
        ("Größe.csv", "Größe.csv"),
    ],
)
def test_name_cannot_lead_out_of_its_folder(name: str, safe: str) -> None:
    assert safe_name(name) == safe


def test_long_name_keeps_its_ending() -> None:
    assert safe_name("x" * 500 + ".csv").endswith("x.csv")
    assert len(safe_name("x" * 500 + ".csv")) == LONGEST_NAME


def test_file_that_did_not_arrive_whole_is_a_sentence() -> None:
    with pytest.raises(FileError, match="did not arrive whole"):
        Waiting().put(["data:text/csv;base64,@@@"], ["log.csv"])
