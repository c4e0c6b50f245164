"""A sample of `python -m tests.hard.fuzz`: spoilt logs and bombs are read or refused, no more."""

from __future__ import annotations

import io
import subprocess
import sys
import zipfile
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from analytics.errors import FileError
from analytics.records import finishing
from analytics.records.book_process import memory_limit
from analytics.records.limits import LONGEST_CELL, LONGEST_FIGURE
from analytics.records.numbers import read_number
from analytics.records.opening import open_sheets
from tests.hard.bombs import bombs
from tests.hard.fuzz import ROOT, Reader, Tally, fuzz, tally_one
from tests.hard.mutants import HOSTILE, Mutant, mutant, seeds
from tests.records.reading_odd import ODD, problems, read, read_text

SAMPLE = range(70_000, 70_070)
QUICK_BOMBS = (
    "a cell in the last row and column.xlsx", "laughs in the strings.xlsx", "laughs.ods",
    "rows and columns a million times.ods", "a cell in the last row and column.xls",
    "sectors in a ring.xls", "doubled quotes.csv", "figures of a hundred thousand digits.csv",
    "'\\xa0' over and over",
)  # fmt: skip
MEASURED_BOMBS = ("sectors in a ring.xls", "one row a thousand million times.ods")
HEADINGS = ("Part", "Date", "Mould", "Air C", "Catalyst %", "PVA used", "Result", "Notes")

needs_proc = pytest.mark.skipif(not Path("/proc/self").exists(), reason="needs Linux's /proc")


@needs_proc
def test_spoilt_logs_are_read_or_refused_in_little_time_and_memory(tmp_path: Path) -> None:
    tally = fuzz(SAMPLE, tmp_path)
    assert tally.faults == []
    assert sum(tally.counts.values()) == len(SAMPLE)
    assert min(tally.counts["read"], tally.counts["refused"]) > 5


# A process counts as large as the one that started it, so a small one measures; and what a reader
# without limits would take must not be had here either.
MEASURER = """
import resource, subprocess, sys
resource.setrlimit(resource.RLIMIT_AS, (2**30, 2**30))
command = [sys.executable, "-m", "analytics.records.book_process"]
quiet = subprocess.DEVNULL
subprocess.run(command, stdin=sys.stdin, stdout=quiet, stderr=quiet)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024)
"""


@needs_proc
@pytest.mark.parametrize("bomb", list(bombs(MEASURED_BOMBS)), ids=lambda bomb: bomb.told)
def test_reader_of_a_workbook_takes_no_more_memory_than_it_may(
    bomb: Mutant, tmp_path: Path
) -> None:
    path = tmp_path / bomb.name
    path.write_bytes(bomb.data)
    with path.open("rb") as given:
        done = subprocess.run(
            [sys.executable, "-c", MEASURER], stdin=given, cwd=ROOT, capture_output=True, check=True
        )
    assert 30 * 2**20 < int(done.stdout) < memory_limit(len(bomb.data))


@needs_proc
def test_bombs_do_no_harm(tmp_path: Path) -> None:
    tally, reader, kinds = Tally(), Reader(), 0
    try:
        for bomb in bombs(QUICK_BOMBS):
            tally_one(tally, reader, bomb, tmp_path, bomb.told)
            kinds += 1
    finally:
        reader.close()
    assert tally.faults == []
    assert kinds == len(QUICK_BOMBS)


def test_a_mutant_is_always_the_same_and_mostly_not_its_seed() -> None:
    files = seeds()
    assert mutant(5, files) == mutant(5, files)
    whole = {path.read_bytes() for path in files}
    assert sum(mutant(n, files).data in whole for n in range(60)) < 10


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    headings=st.lists(
        st.sampled_from(HEADINGS) | st.text(max_size=12), min_size=2, max_size=8
    ),
    cells=st.lists(
        st.lists(st.sampled_from(HOSTILE) | st.text(max_size=20), min_size=2, max_size=8),
        max_size=5,
    ),
)  # fmt: skip
def test_whatever_stands_in_headings_and_cells_every_row_is_accounted_for(
    tmp_path: Path, headings: list[str], cells: list[list[str]]
) -> None:
    import csv

    text = io.StringIO()
    csv.writer(text).writerows([headings, *cells])
    result = read_text(tmp_path, text.getvalue().encode("utf-8", "replace").decode())
    for report in result.files:
        assert report.sheets or report.problems
    named = result.tables["part"]["part_id"]
    assert named.notna().all()
    assert named.is_unique


# ---------------------------------------------------------------- what fuzzing found, once each


def test_no_figure_is_looked_for_in_a_page_of_digits() -> None:
    assert read_number("9" * LONGEST_FIGURE, "temperature") is not None
    assert read_number("9" * (LONGEST_FIGURE + 1), "temperature") is None


def test_a_quotation_mark_never_closed_is_told(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text('Part,Date,Notes\nP1,13/03/2024,"' + "x" * (LONGEST_CELL + 1))
    with pytest.raises(FileError, match="a quotation mark that is never closed"):
        open_sheets(path)


def test_a_long_line_of_cells_that_are_not_too_long_is_read(tmp_path: Path) -> None:
    cells = ["x" * 60_000, "y" * 60_000]
    result = read_text(tmp_path, f"Part,Date,Notes,Remarks\nP1,13/03/2024,{','.join(cells)}\n")
    assert result.tables["part"]["part_id"].tolist() == ["P1"]


def test_a_line_without_end_is_told(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("Part,Date\n" + "x," * 600_000)
    with pytest.raises(FileError, match="more than a million characters"):
        open_sheets(path)


def test_workbook_claiming_more_than_any_machine_has_is_told(tmp_path: Path) -> None:
    path = tmp_path / "log.xlsx"
    path.write_bytes(next(bombs(QUICK_BOMBS[:1])).data)
    with pytest.raises(FileError, match="far more memory or time") as caught:
        open_sheets(path)
    assert str(caught.value).startswith("log.xlsx: ")


@pytest.mark.parametrize("harm", ["name", "place"])
def test_package_whose_listing_makes_no_sense_is_damaged(tmp_path: Path, harm: str) -> None:
    data = bytearray((ODD / "same" / "parts-and-mixes.ods").read_bytes())
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        start = package.start_dir
    at = data.index(b"META-INF/manifest.xml", start)
    if harm == "name":
        data[at - 37] |= 8  # bit 11 of the flags: the name is UTF-8
        data[at + 3] = 0x94
    else:
        data[at - 4 : at] = b"\xff\xff\xff\x7f"
    path = tmp_path / "log.ods"
    path.write_bytes(data)
    with pytest.raises(FileError, match="damaged or cut short"):
        open_sheets(path)


@pytest.mark.parametrize("record", ["part", "batch", "lot", "mould"])
def test_records_of_every_kind_without_numbers_are_told_of(record: str) -> None:
    row = {"sheet_no": 0, "row": 1, finishing.KEYS[record]: "#1"}
    told = finishing._nameless_problem(record, pd.DataFrame([row]), "a.ods", ["log"])
    assert told.found.startswith("1 rows without a ")
    assert '"#1"' in told.action


def test_a_word_said_three_thousand_times_is_one_fault(tmp_path: Path) -> None:
    text = "Part,Date,Mould,Faults\nP1,13/03/2024,M1," + "pinholes " * 3000 + "\n"
    result = read_text(tmp_path, text + "P2,14/03/2024,M1,none\n")
    assert result.tables["defect"]["defect"].tolist() == ["pinholes"]


def test_readings_without_a_loggers_name_are_one_loggers(tmp_path: Path) -> None:
    """Two files of one logger overlap; that they are of two loggers, only a column can tell."""
    head = "Timestamp,Air temp C,Humidity %\n"
    (tmp_path / "march.csv").write_text(head + "2024-03-01 08:00,18,60\n2024-03-01 09:00,18,60\n")
    (tmp_path / "april.csv").write_text(head + "2024-03-01 09:00,18,60\n2024-03-01 10:00,18,60\n")
    result = read(tmp_path)
    assert problems(result, "file") == []
    assert result.tables["logger"]["logger_id"].isna().all()
