"""Reading files from the command line: what is kept, what is said, and what goes wrong in words."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from analytics.records.reading import LIMITS, Limits
from sample_logs import FILES, REVIEW_MONTH, STUCK_PART
from tests.cli.running import one_sentence, run

GOOD = "Part no,Date,Mould,Faults\nP1,4 March 2024,M1,ok\nP2,5 March 2024,M1,stuck\n"
BOOK = FILES[0]


def written(path: Path, content: str | bytes) -> Path:
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def locked_by_a_password() -> bytes:
    """The start of a compound file (MS-CFB) with an EncryptedPackage stream (MS-OFFCRYPTO)."""
    header = bytes.fromhex("D0CF11E0A1B11AE1") + bytes(504)
    return header + "EncryptedPackage".encode("utf-16-le") + bytes(2000)


def png() -> bytes:
    return b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 8


UNREADABLE: dict[str, tuple[str, str | bytes, str, str]] = {
    "empty": ("log.csv", "", "empty", "Save the log again"),
    "only blanks": ("log.csv", " \n\n \n", "empty", "Save the log again"),
    "cut short": ("log.xlsx", BOOK.read_bytes()[:40_000], "cut short", "Save it again"),
    "password": ("log.xlsx", locked_by_a_password(), "password", "Save a copy without one"),
    "a picture": ("log.xlsx", png(), "picture", "CSV or XLSX"),
    "a PDF": ("log.csv", b"%PDF-1.7\n" + b"x" * 500, "PDF", "CSV or XLSX"),
    "no headings": ("log.csv", "1,2,3\n4,5,6\n7,8,9\n", "headings", "a row of headings"),
    "no log at all": ("log.csv", "the quick,brown fox\n" * 9, "headings", "a row of headings"),
}  # fmt: skip


@pytest.mark.parametrize("command", ["import", "check"])
@pytest.mark.parametrize(("name", "content", "what", "do"), UNREADABLE.values(), ids=UNREADABLE)
def test_a_file_that_cannot_be_read_is_one_problem_that_says_what_to_do(
    name: str, content: str | bytes, what: str, do: str, command: str, tmp_path: Path
) -> None:
    written(tmp_path / name, content)
    ran = run(command, name)
    (report,) = run("check", name, "--json").json["files"]
    assert ran.code == 2
    assert "1 to look at" in ran.words
    assert name.split(".")[0] in ran.words
    assert what in ran.words
    assert do in ran.words
    assert len(report["problems"]) == 1


@pytest.mark.parametrize("path", ["nothere.xlsx", "empty_folder"])
def test_a_path_with_no_log_behind_it_could_not_be_read(path: str, tmp_path: Path) -> None:
    (tmp_path / "empty_folder").mkdir()
    ran = run("import", path)
    assert ran.code == 2
    assert path in ran.words
    assert "Nothing: no record was found" in ran.words


def test_a_folder_gives_the_logs_in_it(tmp_path: Path) -> None:
    folder = tmp_path / "logs"
    folder.mkdir()
    written(folder / "march.csv", GOOD)
    written(folder / "more.csv", GOOD.replace("P1", "Q1").replace("P2", "Q2"))
    ran = run("import", folder)
    assert ran.code == 0
    assert "4 new records" in ran.words


@pytest.mark.parametrize("command", ["import", "check"])
def test_a_file_nobody_may_read_says_so(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # as root every file may be read, so the refusal itself is played
    def refuse(path: Path, *_: object, **__: object) -> bytes:
        raise PermissionError(13, "Permission denied", str(path))

    log = written(tmp_path / "log.csv", GOOD)
    run("records")  # the store and the knowledge are open to anybody
    monkeypatch.setattr(Path, "read_bytes", refuse)
    monkeypatch.setattr(Path, "open", refuse)
    ran = run(command, log)
    assert ran.code == 2
    assert "not allowed to read it" in ran.words


def test_a_file_too_large_says_how_large_it_may_be(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = written(tmp_path / "log.csv", GOOD * 20_000)
    small = Limits(file_mb=1, unpacked_mb=1, rows=LIMITS.rows, columns=LIMITS.columns)
    otherwise = {"limits": small, "mends": None}
    monkeypatch.setattr("analytics.records.reading.read_files.__kwdefaults__", otherwise)
    ran = run("check", log)
    assert ran.code == 2
    assert "1 MB" in ran.words
    assert "Split it" in ran.words


def test_good_files_go_in_beside_a_bad_one(tmp_path: Path) -> None:
    good = written(tmp_path / "good.csv", GOOD)
    bad = written(tmp_path / "bad.xlsx", png())
    ran = run("import", good, bad)
    assert ran.code == 1
    assert "2 new records" in ran.words
    assert len(run("records", "--json").json["parts"]) == 2


def test_a_date_in_the_future_is_left_unknown_and_the_row_kept(tmp_path: Path) -> None:
    log = written(tmp_path / "log.csv", GOOD + "P3,6 March 2124,M1,ok\n")
    ran = run("import", log)
    parts = run("records", "--json").json["parts"]
    assert ran.code == 1
    assert "row 4" in ran.words
    assert "6 March 2124" in ran.words
    assert {part["part_id"]: part["date"] for part in parts}["P3"] is None


def test_a_part_number_twice_with_other_data_is_named_and_both_kept(tmp_path: Path) -> None:
    log = written(tmp_path / "log.csv", GOOD + "P1,6 March 2024,M2,pinholes\n")
    ran = run("import", log)
    assert ran.code == 1
    assert "P1 again" in ran.words
    assert "row 2" in ran.words
    assert len(run("records", "--json").json["parts"]) == 3


def test_headings_with_no_rows_under_them_hold_nothing(tmp_path: Path) -> None:
    log = written(tmp_path / "log.csv", "Part no,Date,Mould,Faults\n")
    ran = run("import", log)
    assert ran.code == 2
    assert "Nothing: no record was found" in ran.words


def test_a_sound_log_ends_with_0_and_nothing_to_look_at(tmp_path: Path) -> None:
    ran = run("import", written(tmp_path / "log.csv", GOOD))
    assert ran.code == 0
    assert "nothing to look at" in ran.words


def test_a_log_with_a_doubt_ends_with_1(tmp_path: Path) -> None:
    log = written(tmp_path / "log.csv", GOOD + "P3,6 March 2024,M1,wibbly\n")
    ran = run("import", log)
    assert ran.code == 1
    assert "wibbly" in ran.words


def test_check_changes_nothing(own_store: Path, tmp_path: Path) -> None:
    log = written(tmp_path / "log.csv", GOOD)
    before = own_store.read_bytes()
    assert run("check", log, *FILES, "--store", own_store).code == 1
    assert own_store.read_bytes() == before


@pytest.mark.parametrize(
    "asked", [("why", STUCK_PART), ("month", REVIEW_MONTH), ("catalyst",), ("records",)]
)
def test_asking_changes_nothing(asked: tuple[str, ...], own_store: Path) -> None:
    before = own_store.read_bytes()
    assert run(*asked, "--store", own_store).code == 0
    assert own_store.read_bytes() == before


def test_importing_the_same_files_again_changes_nothing(own_store: Path) -> None:
    before = run("records", "--json", "--store", own_store).out
    ran = run("import", *FILES, "--store", own_store)
    assert re.search(r"0 new records, 0 filled in or corrected, \d\d,\d{3} known", ran.words)
    assert run("records", "--json", "--store", own_store).out == before


def test_notes_between_the_rows_are_shown_not_lost() -> None:
    shown = run("check", BOOK).words
    assert re.search(r'row \d+ is a note, not a record: "', shown)


STORES: dict[str, tuple[Callable[[Path], str], str]] = {
    "no such folder": (lambda _: "/proc/nowhere/shop.laylog", "there is no store"),
    "a folder": (str, "is a folder"),
    "no database": (lambda folder: str(written(folder / "x.db", b"words " * 999)), "not a laylog"),
    "another kind of server": (lambda _: "mysql://nobody@127.0.0.1/x", "postgresql://"),
    "a server that is not there": (lambda _: "postgresql://nobody@127.0.0.1:1/x", "answer"),
}


@pytest.mark.parametrize(("where", "says"), STORES.values(), ids=STORES)
def test_a_store_that_cannot_be_opened_is_one_sentence(
    where: Callable[[Path], str], says: str, tmp_path: Path
) -> None:
    assert says in one_sentence(run("month", "--store", where(tmp_path)))


KNOWLEDGE: dict[str, tuple[str | bytes | None, str]] = {
    "not there": (None, "not there"),
    "no text": (png(), "cannot be read as text"),
    "no TOML": ("limit = [", "cannot be read as TOML"),
}


@pytest.mark.parametrize(("content", "says"), KNOWLEDGE.values(), ids=KNOWLEDGE)
def test_a_knowledge_file_that_cannot_be_read_is_one_sentence(
    content: str | bytes | None, says: str, tmp_path: Path
) -> None:
    if content is not None:
        written(tmp_path / "ours.toml", content)
    sentence = one_sentence(run("month", "--knowledge", "ours.toml"))
    assert says in sentence
    assert "ours.toml" in sentence


def test_demo_prints_the_three_answers_and_ends() -> None:
    shown = run("demo", "--no-serve")
    assert shown.code == 0
    for line in ("B0323: sticking, whole part", "April 2025", "Gel coat at 18.0 °C (given)"):
        assert line in shown.out.splitlines()


def test_serve_on_a_port_in_use_says_to_name_another(monkeypatch: pytest.MonkeyPatch) -> None:
    def taken(*_: object, **__: object) -> None:
        raise OSError(98, "Address already in use")

    monkeypatch.setattr("dashboard.app.serve", taken)
    ran = run("serve", "--port", "8700")
    assert ran.code == 2
    assert "port 8700" in ran.err
    assert "--port" in ran.err


def test_serve_and_demo_listen_on_this_machine_only(
    monkeypatch: pytest.MonkeyPatch, own_store: Path
) -> None:
    asked: list[object] = []
    monkeypatch.setattr("waitress.serve", lambda _, **how: asked.append((how["host"], how["port"])))
    ran = run("serve", "--port", "8700", "--store", own_store)
    assert run("serve", "--json").json == {"url": "http://127.0.0.1:8642/"}
    assert run("demo", "--port", "8701").code == ran.code == 0
    assert "http://127.0.0.1:8700/" in ran.out
    assert asked == [("127.0.0.1", 8700), ("127.0.0.1", 8642), ("127.0.0.1", 8701)]
