"""`laylog export` and `laylog records` with filters, as a terminal runs them."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import one_sentence, run


def test_whole_log_goes_to_one_workbook(sample_store: Path, tmp_path: Path) -> None:
    ran = run("export", "--store", sample_store, "--table", "moulds", "moulds.xlsx")
    assert ran.code == 0
    assert (tmp_path / "moulds.xlsx").read_bytes().startswith(b"PK")
    assert "moulds.xlsx" in ran.out


def test_folder_gets_every_table(sample_store: Path, tmp_path: Path) -> None:
    ran = run("export", "--store", sample_store, "--json", tmp_path / "out")
    names = [Path(file).name for file in ran.json["files"]]
    assert names == ["parts.csv", "mixes.csv", "lots.csv", "moulds.csv", "logger.csv", "faults.csv"]


def test_exported_folder_imports_as_no_news(own_store: Path, tmp_path: Path) -> None:
    run("export", "--store", own_store, tmp_path / "out")
    ran = run("import", "--store", own_store, tmp_path / "out")
    assert ran.code == 0
    assert "0 new records, 0 filled in or corrected" in ran.words


def test_csv_file_holds_the_parts(sample_store: Path, tmp_path: Path) -> None:
    run("export", "--store", sample_store, "log.csv")
    assert (tmp_path / "log.csv").read_text().startswith("part_id,date,")


def test_no_name_writes_nothing(sample_store: Path, tmp_path: Path) -> None:
    before = sorted(tmp_path.iterdir())
    assert "which file or folder" in one_sentence(run("export", "--store", sample_store, ""))
    assert sorted(tmp_path.iterdir()) == before


def test_file_in_the_way_is_a_sentence(sample_store: Path, tmp_path: Path) -> None:
    (tmp_path / "log.csv").write_text("mine")
    assert "--replace" in one_sentence(run("export", "--store", sample_store, "log.csv"))
    assert (tmp_path / "log.csv").read_text() == "mine"


@pytest.mark.parametrize(
    ("options", "fits"),
    [
        (["--mould", "BR-2"], lambda part: part["mould_id"] == "BR-2"),
        (["--month", "2025-04"], lambda part: part["date"].startswith("2025-04")),
        (["--fault", "pinholes"],
         lambda part: any(fault["defect"] == "pinholes" for fault in part["defects"])),
    ],
)  # fmt: skip
def test_records_are_filtered(sample_store: Path, options: list[str], fits: object) -> None:
    everything = run("records", "--store", sample_store, "--json").json["parts"]
    some = run("records", "--store", sample_store, "--json", *options).json["parts"]
    assert callable(fits)
    assert some == [part for part in everything if fits(part)]
    assert 0 < len(some) < len(everything)


def test_records_are_found_by_words(sample_store: Path) -> None:
    ran = run("records", "--store", sample_store, "b0323")
    assert "B0323" in ran.out
    assert "1 part" in ran.words
