"""Exports open in other programs, run nothing there, and come back as they went."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import openpyxl
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyarrow import parquet

from analytics import export
from analytics.errors import FileError, QuestionError
from analytics.export import as_csv, as_xlsx, exported
from analytics.records.own_export import TABLE_NAMES, guarded, unguarded
from analytics.shop import Shop
from tests.builders import a_log

FORMULAS = ("=1+1", "+1+1", "-1+1", "@SUM(A1)", "=cmd|'/c calc'!A0", "'=1+1")
HOSTILE = "<img src=x onerror=alert(1)>'); DROP TABLE part; --"
TABLES = tuple(TABLE_NAMES.values())
NOW = datetime(2024, 4, 1, 9, 30)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """A shop full of hostile words; reading its own exports back adds nothing to it."""
    place = tmp_path_factory.mktemp("hostile") / "shop.laylog"
    made = Shop.open(str(place), now=lambda: NOW, environ={})
    made.write_down(
        "part",
        {"part_id": "P-1", "date": "2024-03-31", "start_time": "08:30", "mould_id": "M1",
         "air_c": "-2.5", "pva_used": "no", "outcome": "rework", "notes": 'said "x"\n, twice',
         "gelcoat.catalyst_pct": "20 g/kg"},
    )  # fmt: skip
    made.write_fault("P-1", "pinholes", "slight", "corner", "tiny holes")
    for number, text in enumerate((*FORMULAS, HOSTILE)):
        made.write_down("part", {"part_id": f"{text} {number}", "notes": text, "mould_id": text})
    made.write_down("lot", {"lot": "-12", "expires": "2024-12-31", "density_g_ml": "1.1"})
    made.write_down("mould", {"mould_id": "M1", "deep": "yes"})
    made.write_down("logger", {"timestamp": "2024-03-31 08:15", "air_c": "-4"})
    yield made
    made.close()


def same(one: Shop, other: Shop) -> None:
    for name in ("parts", "batches", "lots", "moulds", "logger", "defects"):
        tables = [getattr(shop.log(), name) for shop in (one, other)]
        kept = [t.drop(columns=["file", "sheet", "row", "raw"], errors="ignore") for t in tables]
        pd.testing.assert_frame_equal(*kept)


def test_exported_csv_comes_back_as_no_news(shop: Shop, tmp_path: Path) -> None:
    written = shop.export_to(tmp_path / "out", "all")
    assert [path.name for path in written] == [f"{name}.csv" for name in TABLES]
    answer = shop.import_files([tmp_path / "out"])
    assert answer.saved is not None
    assert (answer.saved.total.new, answer.saved.total.changed) == (0, 0)
    assert not answer.has_problems


@pytest.mark.parametrize("where", ["out", "all.xlsx"])
def test_export_fills_another_store_the_same(shop: Shop, tmp_path: Path, where: str) -> None:
    shop.export_to(tmp_path / where, "all")
    other = Shop.open(str(tmp_path / "other.laylog"), now=lambda: NOW, environ={})
    other.import_files([tmp_path / where])
    same(shop, other)
    other.close()


def test_every_row_of_an_export_is_accounted_for(shop: Shop, tmp_path: Path) -> None:
    shop.export_to(tmp_path / "out", "all")
    for file in shop.check_files([tmp_path / "out"]).files:
        [sheet] = file.sheets
        counted = sheet.parts + sheet.batches + sheet.logger + sheet.lots + sheet.moulds
        assert sheet.rows == counted + sheet.duplicates + sheet.not_records


@pytest.mark.parametrize(
    ("before", "after"), [("2024-03-31", "31/03/2024"), ("-2.5", "cold"), (",rework,", ",binned,")]
)
def test_export_somebody_edited_is_read_as_any_log(
    shop: Shop, tmp_path: Path, before: str, after: str
) -> None:
    [path] = shop.export_to(tmp_path / "parts.csv", "parts")
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after), encoding="utf-8")
    [report] = shop.check_files([path]).files
    assert report.sheets[0].columns[0].how != "laylog's own export"
    assert report.sheets[0].parts == len(shop.log().parts)


def test_no_cell_of_a_csv_begins_a_formula(shop: Shop) -> None:
    for name in TABLES:
        table = exported(shop.log(), name)
        figures = {c for c in table if table[c].dtype == "float64"}
        for row in csv.DictReader(io.StringIO(as_csv(table).decode())):
            for column, cell in row.items():
                assert column in figures or not cell.startswith(("=", "+", "-", "@", "\t", "\r"))


def test_negative_figures_stay_figures(shop: Shop) -> None:
    rows = list(csv.DictReader(io.StringIO(as_csv(exported(shop.log(), "parts")).decode())))
    assert rows[0]["air_c"] == "-2.5"
    assert rows[0]["date"] == "2024-03-31"
    assert rows[0]["pva_used"] == "no"


def test_no_cell_of_a_workbook_is_a_formula(shop: Shop) -> None:
    book = openpyxl.load_workbook(io.BytesIO(shop.export("all", "xlsx")))
    assert book.sheetnames == list(TABLES)
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert {cell.data_type for cell in cells} <= {"s", "n", "d", "inlineStr"}
    assert "=1+1" in {cell.value for cell in cells}


def test_workbook_holds_days_and_figures_as_such(shop: Shop) -> None:
    sheet = openpyxl.load_workbook(io.BytesIO(shop.export("parts", "xlsx")))["parts"]
    heads = [cell.value for cell in sheet[1]]
    first = dict(zip(heads, sheet[2], strict=True))
    assert first["date"].value.date().isoformat() == "2024-03-31"
    assert first["date"].number_format == "yyyy-mm-dd"
    assert first["air_c"].value == -2.5


def test_character_no_workbook_can_hold_does_not_stop_it() -> None:
    log = a_log(parts=[{"part_id": "P1", "notes": "bell\x07 and\ufffe more"}])
    assert as_xlsx({"parts": exported(log, "parts")})


def test_table_longer_than_a_sheet_is_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(export, "MOST_SHEET_ROWS", 1)
    with pytest.raises(QuestionError, match="more than a sheet holds"):
        as_xlsx({"parts": exported(a_log(parts=[{}, {}]), "parts")})


def test_parquet_has_kinds_and_units(shop: Shop) -> None:
    table = parquet.read_table(io.BytesIO(shop.export("parts", "parquet")))
    kinds = {field.name: str(field.type) for field in table.schema}
    assert kinds["air_c"] == "double"
    assert kinds["date"] == "date32[day]"
    assert kinds["pva_used"] == "bool"
    assert kinds["part_id"] == "string"
    assert table.column("humidity_pct").null_count == table.num_rows
    moments = parquet.read_table(io.BytesIO(shop.export("logger", "parquet")))
    assert str(moments.schema.field("timestamp").type) == "timestamp[ms]"


@pytest.mark.parametrize("kind", ["csv", "xlsx", "parquet"])
@pytest.mark.parametrize("name", TABLES)
def test_empty_log_exports_its_headings(name: str, kind: str) -> None:
    assert export.as_bytes(a_log(), name, kind)


def test_file_that_is_there_is_not_written_over(shop: Shop, tmp_path: Path) -> None:
    own = tmp_path / "parts.csv"
    own.write_text("my own log")
    with pytest.raises(FileError, match="there already"):
        shop.export_to(own, "parts")
    assert own.read_text() == "my own log"
    shop.export_to(own, "parts", replace=True)
    assert own.read_text().startswith("part_id,")
    assert not list(tmp_path.glob(".laylog-*"))


def test_folder_with_one_of_the_files_is_left_alone(shop: Shop, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "lots.csv").write_text("mine")
    with pytest.raises(FileError, match=r"lots\.csv"):
        shop.export_to(tmp_path / "out", "all")
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["lots.csv"]


def test_strange_ending_is_a_sentence(shop: Shop, tmp_path: Path) -> None:
    with pytest.raises(QuestionError, match=r"\.csv, \.xlsx and \.parquet"):
        shop.export_to(tmp_path / "log.docx", "all")


@pytest.mark.parametrize(("name", "kind"), [("part", "csv"), ("parts", "exe")])
def test_unknown_table_or_format_is_a_sentence(shop: Shop, name: str, kind: str) -> None:
    with pytest.raises(QuestionError):
        shop.export(name, kind)


@given(st.text(alphabet="'=+-@\t\ra0 ", max_size=6))
def test_disarmed_text_comes_back_exactly(text: str) -> None:
    safe = guarded(text)
    assert unguarded(safe) == text
    assert not safe.startswith(("=", "+", "-", "@", "\t", "\r"))
