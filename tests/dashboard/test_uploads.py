"""Dropped files are read from a folder of their own and leave nothing behind."""

from __future__ import annotations

from base64 import b64encode
from pathlib import Path

import pytest

from analytics.errors import FileError
from dashboard.uploads import LONGEST_NAME, on_disk, safe_name


def dropped(content: bytes) -> str:
    return "data:text/csv;base64," + b64encode(content).decode()


def test_dropped_file_is_there_whole_under_its_own_name() -> None:
    with on_disk([dropped(b"Job;Day\n")], ["our log.csv"]) as [path]:
        assert path.name == "our log.csv"
        assert path.read_bytes() == b"Job;Day\n"
    assert not path.exists()


def test_two_files_of_one_name_do_not_meet() -> None:
    with on_disk([dropped(b"1"), dropped(b"2")], ["log.csv", "log.csv"]) as paths:
        assert [path.read_bytes() for path in paths] == [b"1", b"2"]


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
def test_names_cannot_lead_out_of_the_folder(name: str, safe: str) -> None:
    assert safe_name(name) == safe


def test_long_names_keep_their_ending() -> None:
    assert safe_name("x" * 400 + ".csv")[-4:] == ".csv"
    assert len(safe_name("x" * 400)) == LONGEST_NAME


def test_hostile_name_stays_inside_the_folder() -> None:
    with on_disk([dropped(b"1")], ["../../../tmp/over.csv"]) as [path]:
        assert path.parent.parent.name.startswith("laylog-")
        assert path.parent.parent in path.resolve().parents


def test_file_that_did_not_arrive_is_a_sentence() -> None:
    with (
        pytest.raises(FileError, match=r"log\.csv: the file did not arrive whole"),
        on_disk(["data:text/csv;base64,@@@"], ["log.csv"]),
    ):
        pass


def test_nothing_dropped_is_no_file() -> None:
    with on_disk([], []) as paths:
        assert paths == list[Path]()
