"""A file that cannot be read gets one clear sentence, and the others are read all the same."""

from __future__ import annotations

import random
import zipfile
from pathlib import Path

import pytest

from analytics.errors import FileError
from analytics.records.limits import Limits
from analytics.records.opening import log_files, open_sheets
from tests.records.reading_odd import ODD, problems, read

GOOD = "Part,Date,Mould,Result\nP1,13/03/2024,M1,ok\n"


def refused(path: Path, limits: Limits | None = None) -> str:
    """What is said of a file that cannot be opened."""
    with pytest.raises(FileError) as told:
        open_sheets(path, limits) if limits else open_sheets(path)
    return str(told.value)


def file(folder: Path, name: str, content: bytes) -> Path:
    path = folder / name
    path.write_bytes(content)
    return path


def test_missing_file_is_named(tmp_path: Path) -> None:
    [told] = problems(read(tmp_path / "gone.csv"))
    assert told.kind == "file"
    assert "no such file" in told.found


@pytest.mark.parametrize("content", [b"", b"\n\n  \n", b"\xef\xbb\xbf"])
def test_empty_file_is_told(tmp_path: Path, content: bytes) -> None:
    assert "empty" in refused(file(tmp_path, "log.csv", content))


def test_file_that_may_not_be_read_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    path = file(tmp_path, "log.csv", GOOD.encode())
    monkeypatch.setattr(Path, "read_bytes", refuse)
    assert "not allowed" in refused(path)


@pytest.mark.parametrize("name", ["month-sheets.xlsx", "parts-and-mixes.ods", "old-excel.xls"])
def test_workbook_cut_short_is_told(tmp_path: Path, name: str) -> None:
    whole = (ODD / "same" / name).read_bytes()
    assert "cut short" in refused(file(tmp_path, name, whole[: len(whole) // 2]))


def test_workbook_with_a_password_is_told(tmp_path: Path) -> None:
    # a locked XLSX is an OLE file with a stream of this name (MS-OFFCRYPTO)
    locked = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)
    locked += "EncryptedPackage".encode("utf-16-le") + bytes(600)
    assert "password" in refused(file(tmp_path, "log.xlsx", locked))


def test_locked_ods_is_told(tmp_path: Path) -> None:
    path = tmp_path / "log.ods"
    with zipfile.ZipFile(path, "w") as package:
        package.writestr("content.xml", "x")
        package.writestr("META-INF/manifest.xml", "<manifest:encryption-data/>")
    assert "password" in refused(path)


def test_package_that_unpacks_to_too_much_is_not_unpacked(tmp_path: Path) -> None:
    path = tmp_path / "log.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("xl/worksheets/sheet1.xml", bytes(3_000_000))
    assert path.stat().st_size < 10_000
    assert "unpacks to 3 MB" in refused(path, Limits(unpacked_mb=2))


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("log.csv", b"%PDF-1.7 rest", "a PDF"),
        ("log.csv", b"\x89PNG\r\n\x1a\n", "a picture"),
        ("log.xls", b"<html><table></table></html>", "a web page"),
        ("log.csv", bytes(range(256)) * 8, "not a log"),
        ("log.xlsx", bytes(range(1, 256)) * 8, "damaged"),
    ],
)
def test_file_of_another_kind_is_told(tmp_path: Path, name: str, content: bytes, says: str) -> None:
    assert says in refused(file(tmp_path, name, content))


def test_letter_in_a_package_is_no_log(tmp_path: Path) -> None:
    path = tmp_path / "letter.docx"
    with zipfile.ZipFile(path, "w") as package:
        package.writestr("word/document.xml", "<x/>")
    assert "not a spreadsheet" in refused(path)


def test_limits_are_told_with_what_to_do(tmp_path: Path) -> None:
    path = file(tmp_path, "log.csv", GOOD.encode())
    assert "Split it" in refused(path, Limits(file_mb=0))
    assert "1 rows" in refused(path, Limits(rows=1))
    assert "columns" in refused(path, Limits(columns=3))


def test_content_decides_the_kind_not_the_name(tmp_path: Path) -> None:
    book = (ODD / "same" / "month-sheets.xlsx").read_bytes()
    assert [sheet.name for sheet in open_sheets(file(tmp_path, "log.csv", book))] == [
        "Mar 2024",
        "Apr 2024",
    ]


def test_one_bad_file_does_not_stop_the_others(tmp_path: Path) -> None:
    bad = file(tmp_path, "bad.xlsx", b"PK nothing")
    good = file(tmp_path, "good.csv", GOOD.encode())
    result = read(bad, tmp_path / "gone.csv", good)
    assert list(result.tables["part"]["part_id"]) == ["P1"]
    assert [len(report.problems) for report in result.files] == [1, 1, 0]


def test_folder_gives_the_logs_in_it(tmp_path: Path) -> None:
    file(tmp_path, "b.csv", GOOD.encode())
    file(tmp_path, "a.tsv", GOOD.replace(",", "\t").encode())
    file(tmp_path, "~$b.xlsx", b"lock")
    file(tmp_path, "photo.jpg", b"\xff\xd8\xff")
    assert [path.name for path in log_files(tmp_path)] == ["a.tsv", "b.csv"]


def test_folder_without_logs_is_told(tmp_path: Path) -> None:
    [told] = problems(read(tmp_path))
    assert "no logs in this folder" in told.found


def test_headings_alone_are_no_trouble(tmp_path: Path) -> None:
    result = read(file(tmp_path, "log.csv", GOOD.split("\n")[0].encode()))
    assert len(result.tables["part"]) == 0
    assert problems(result) == []


@pytest.mark.parametrize("name", ["month-sheets.xlsx", "parts-and-mixes.ods", "old-excel.xls"])
def test_damaged_bytes_never_end_in_a_traceback(tmp_path: Path, name: str) -> None:
    whole = (ODD / "same" / name).read_bytes()
    chance = random.Random(20240304)
    for number in range(12):
        spoilt = bytearray(whole)
        for _ in range(chance.randint(1, 30)):
            spoilt[chance.randrange(len(spoilt))] = chance.randrange(256)
        read(file(tmp_path, f"{number}{Path(name).suffix}", bytes(spoilt)))


def test_spoilt_cells_never_end_in_a_traceback(tmp_path: Path) -> None:
    odd = ["", "?", "1e9", "nan", "inf", '"', "30/02/2024", "00/00/00", "½", "12e5%", "1,2,3",
           "Total", "Part", "T-041", "99 Foo 12", "20 drops/gal", "٣", "x" * 300]  # fmt: skip
    chance = random.Random(20240305)
    lines = (ODD / "same" / "units-row.csv").read_text(encoding="utf-8").splitlines()
    for number in range(40):
        rows = [line.split(",") for line in lines]
        for _ in range(12):
            row = chance.choice(rows)
            row[chance.randrange(len(row))] = chance.choice(odd)
        text = "\n".join(",".join(row) for row in rows)
        result = read(file(tmp_path, f"{number}.csv", text.encode()))
        [sheet] = result.files[0].sheets
        records = sheet.parts + sheet.batches + sheet.logger + sheet.lots + sheet.moulds
        assert sheet.rows == records + sheet.duplicates + sheet.not_records
