"""The files as handed over: the same every time, small, untidy, and free of the truth."""

from __future__ import annotations

import csv
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import pytest
from python_calamine import CalamineWorkbook

import sample_logs
from sample_logs.barn import BARN, SEED
from sample_logs.faults import EXPOSURES
from sample_logs.generate import main, untidy_files
from sample_logs.workshop import Shop

Cells = list[list[Any]]
BY_NAME = {path.name: path for path in sample_logs.FILES}
BLANK_MARKS = {"-", "?", "n/a", "–"}


@pytest.fixture(scope="module")
def made(barn: Shop) -> dict[str, bytes]:
    return untidy_files(barn, SEED)


@pytest.fixture(scope="module")
def job_book() -> dict[str, Cells]:
    return sheets(BY_NAME["workshop-jobs.xlsx"].read_bytes())


def sheets(data: bytes) -> dict[str, Cells]:
    book = CalamineWorkbook.from_filelike(BytesIO(data))
    return {name: book.get_sheet_by_name(name).to_python() for name in book.sheet_names}


def job_lines(book: dict[str, Cells]) -> Cells:
    return [row for page in book.values() for row in page if str(row[0]).startswith("B0")]


def mix_lines() -> list[list[str]]:
    text = BY_NAME["mixes.csv"].read_bytes().decode("cp1252")
    return list(csv.reader(StringIO(text), delimiter=";"))


def test_all_four_files_are_there(made: dict[str, bytes]) -> None:
    assert set(made) == set(BY_NAME)
    assert all(path.is_file() for path in sample_logs.FILES)


def test_making_them_twice_gives_the_same_bytes(barn: Shop, made: dict[str, bytes]) -> None:
    assert untidy_files(barn, SEED) == made


def test_command_writes_all_files_into_a_folder(tmp_path: Path, made: dict[str, bytes]) -> None:
    main(tmp_path)
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == made


@pytest.mark.parametrize("name", ["mixes.csv", "shed-logger.csv"])
def test_text_files_are_those_the_generator_makes(made: dict[str, bytes], name: str) -> None:
    assert BY_NAME[name].read_bytes() == made[name]


@pytest.mark.parametrize("name", ["workshop-jobs.xlsx", "lots-and-moulds.ods"])
def test_spreadsheets_are_those_the_generator_makes(made: dict[str, bytes], name: str) -> None:
    # Cell by cell: another version of the spreadsheet writer may pack the same cells differently.
    assert sheets(BY_NAME[name].read_bytes()) == sheets(made[name])


def test_all_files_together_are_small() -> None:
    assert sum(path.stat().st_size for path in sample_logs.FILES) < 1_200_000


def test_job_book_has_a_page_a_quarter(job_book: dict[str, Cells]) -> None:
    assert list(job_book) == [
        "2024 Q3", "2024 Q4", "2025 Q1", "2025 Q2", "2025 Q3", "2025 Q4", "2026 Q1"
    ]  # fmt: skip


def test_every_part_is_in_the_job_book_and_a_few_twice(
    job_book: dict[str, Cells], barn: Shop
) -> None:
    numbers = [row[0] for row in job_lines(job_book)]
    assert set(numbers) == set(barn.parts["part_id"])
    assert 0 < len(numbers) - len(set(numbers)) < 15


def test_parts_and_mixes_are_as_many_as_in_a_small_shop(barn: Shop) -> None:
    assert 600 <= len(barn.parts) <= 700
    assert 1000 <= len(barn.batches) <= 1200


def test_a_fifth_of_the_cells_is_missing(job_book: dict[str, Cells]) -> None:
    cells = [cell for row in job_lines(job_book) for cell in row[:34]]
    missing = sum(cell == "" or cell in BLANK_MARKS for cell in cells) / len(cells)
    assert 0.15 < missing < 0.25


def test_headings_are_repeated_and_pages_are_totalled(job_book: dict[str, Cells]) -> None:
    first_cells = [[row[0] for row in page] for page in job_book.values()]
    assert any(column.count("Job no.") > 1 for column in first_cells)
    assert all(column[-1] == "Total" for column in first_cells)


def test_early_pages_are_in_thou_and_fahrenheit_and_late_ones_metric(
    job_book: dict[str, Cells],
) -> None:
    headers = {name: next(r for r in page if r[0] == "Job no.") for name, page in job_book.items()}
    assert {"Wet film (thou)", "Shop temp (F)"} <= set(headers["2025 Q2"])
    assert {"Wet film (um)", "Shop temp (C)"} <= set(headers["2025 Q3"])


def test_some_cells_hold_several_faults_and_some_are_misspelt(job_book: dict[str, Cells]) -> None:
    page = job_book["2025 Q2"]
    column = next(r for r in page if r[0] == "Job no.").index("Faults")
    faults = [str(row[column]) for row in job_lines(job_book)]
    assert sum(any(join in cell for join in (", ", " + ", "; ", " / ")) for cell in faults) > 20
    assert any("pinholse" in cell or "fish eyse" in cell for cell in faults)


def test_doses_are_written_three_ways() -> None:
    doses = [row[7] for row in mix_lines() if len(row) > 7]
    for unit in ("g/kg", "ml/kg", "%"):
        assert sum(dose.endswith(unit) for dose in doses) > 50


def test_lot_numbers_keep_their_leading_zero() -> None:
    lots = [row[4] for row in mix_lines() if row and row[0].startswith("G0")]
    assert "0435" in lots


def test_nothing_is_dated_after_february_2026(barn: Shop) -> None:
    tables = (barn.parts["date"], barn.batches["date"], barn.logger["timestamp"])
    assert {str(column.max())[:7] for column in tables} == {"2026-02"}


def test_only_the_made_up_people_are_in_the_files(job_book: dict[str, Cells]) -> None:
    made_up = {person.name.lower() for person in BARN.people}
    in_book = {str(row[3]).strip().lower() for row in job_lines(job_book)}
    in_mixes = {
        row[-1].strip().lower() for row in mix_lines() if row and row[0][:2] in ("G0", "R0")
    }
    assert (in_book | in_mixes) - BLANK_MARKS - {""} == made_up


def test_no_file_gives_the_truth_away(made: dict[str, bytes], job_book: dict[str, Cells]) -> None:
    text = repr(job_book) + made["mixes.csv"].decode("cp1252")
    text += repr(sheets(made["lots-and-moulds.ods"]))
    assert [cause for cause in EXPOSURES if "-" in cause and cause in text] == []
