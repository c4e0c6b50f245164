"""Text files in any encoding and with any separator; long ones by a quicker road, same result."""

from __future__ import annotations

import time
from pathlib import Path

import pandas as pd
import pytest

from analytics.records import textfiles
from analytics.records.opening import open_sheets
from analytics.records.textfiles import decode, find_separator
from tests.records.reading_odd import ODD, read


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "mac_roman"]
)
def test_text_is_read_in_the_encoding_it_was_saved_in(encoding: str) -> None:
    text = "Gel coat (µm); Temp °C; made by Zoë – £5\n" * 20
    assert decode(text.encode(encoding)).lstrip("\ufeff") == text


def test_degrees_from_an_old_dos_program_are_degrees() -> None:
    text = "Temp °C; ½ h; 5 m²\n" * 20
    assert decode(text.encode("cp850")) == text


@pytest.mark.parametrize("separator", [";", "\t", ",", "|"])
def test_separator_is_found(separator: str) -> None:
    rows = [["Job", "Temp", "Result"], ["1", "18", "ok"], ["2", "19", "pinholes"]]
    sample = "A title, with a comma\n" + "\n".join(separator.join(row) for row in rows)
    assert find_separator(sample) == separator


def test_decimal_commas_do_not_separate() -> None:
    assert find_separator("a;b;c\n1,5;2,5;3,5\n1,5;2,5;3,5\n") == ";"


def test_separator_the_spreadsheet_names_is_taken() -> None:
    assert find_separator("sep=|\na|b\n") == "|"


def test_columns_set_apart_by_spaces_have_no_separator() -> None:
    text = (ODD / "same" / "columns-by-spaces.txt").read_text(encoding="utf-8")
    assert find_separator(text) is None


def test_line_break_in_a_quoted_cell_does_not_end_the_row(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text('Job,Date,Mould,Notes\n1,13/03/2024,M1,"one\ntwo"\n', encoding="utf-8")
    [sheet] = open_sheets(path)
    assert sheet.rows == 2
    assert sheet.row(1)[3] == "one two"


@pytest.mark.parametrize(
    "text",
    [
        "Job;Temp;Result\r\n1; 18 ;ok\r\n\r\n2;19\r\n3;20;stuck;extra\r\n;;\r\n",
        'Job,"Temp, C",Notes\n1,18,ok\n2,19,"stuck, and ""torn"""\n\n3,20,",x",more\n4,,""',
        'Job,Film,Notes\n1,5",ok\n2,"",fine\n3,"1",a\n4,2,b\n5,3,c\n',
        'Job,Mould,Notes\n1,M1,ok\n2,",fine\n3,M2,"runs\non"\n4,M3,\n5,M4,\n6,M5,"open\n',
    ],
    ids=["ragged", "quoted", "inches", "dittos and long quotes"],
)
def test_quick_road_gives_what_the_slow_one_gives(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str
) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(text.encode())
    [slow] = open_sheets(path)
    monkeypatch.setattr(textfiles, "_LONG_TEXT", 0)
    [quick] = open_sheets(path)
    assert quick.rows == slow.rows
    assert [quick.row(n) for n in range(quick.rows)] == [slow.row(n) for n in range(slow.rows)]


def test_twenty_thousand_logger_rows_take_well_under_a_second_of_work(tmp_path: Path) -> None:
    times = pd.date_range("2024-01-01", periods=20_000, freq="30min")
    rows = [f"{t:%d/%m/%Y %H:%M};{n % 250 / 10};{40 + n % 50}" for n, t in enumerate(times)]
    path = tmp_path / "logger.csv"
    path.write_text("Time;Temp C;RH %\n" + "\n".join(rows) + "\n", encoding="utf-8")
    read(path)
    started = time.process_time()
    result = read(path)
    assert time.process_time() - started < 1.0
    assert len(result.tables["logger"]) == 20_000
