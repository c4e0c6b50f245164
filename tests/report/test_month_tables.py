"""The month's tables as files: the review's own figures, one place each, and nothing that runs."""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date
from pathlib import Path

import openpyxl
import pytest

from analytics.errors import FileError, QuestionError
from analytics.month import review_month
from analytics.month.actions import Action
from analytics.month.answer import MonthReview
from analytics.report.month_tables import month_tables, tables_file
from tests.month.shops import a_shop, some_knowledge

FORMULA = "=HYPERLINK(0)"


@pytest.fixture(scope="module")
def review() -> MonthReview:
    shop = a_shop(81)
    actions = [Action(FORMULA, date(2023, 1, 1), ("sticking",))]
    return review_month(shop.jobs, shop.log, some_knowledge(), month="2023-05", actions=actions)


def test_tables_hold_the_figures_of_the_review(review: MonthReview) -> None:
    tables = month_tables(review)
    assert tables["totals"]["parts"].iloc[0] == review.parts
    assert tables["totals"]["good_parts"].iloc[0] == review.good.count
    assert tables["faults"]["with_it_parts"].tolist() == [
        line.this_month.count for line in review.defects
    ]
    assert tables["days"]["parts"].sum() == review.parts
    assert all((table["month"] == "2023-05").all() for table in tables.values())


def test_what_nobody_wrote_is_blank_and_not_0(review: MonthReview) -> None:
    unsaid = replace(review, totals=(replace(review.totals[0], cost=None, rework_hours=None),))
    assert month_tables(unsaid)["totals"][["cost", "rework_hours"]].isna().all(axis=None)


def test_csv_names_the_table_on_every_row_and_disarms_formulas(
    review: MonthReview, tmp_path: Path
) -> None:
    path = tables_file(review, tmp_path / "may.csv", replace=False)
    rows = list(csv.DictReader(path.read_text("utf-8").splitlines()))
    assert {row["table"] for row in rows} == set(month_tables(review))
    action = next(row for row in rows if row["table"] == "actions")
    assert action["what"] == f"'{FORMULA}"
    assert action["since"] == "2023-01-01"


def test_workbook_has_a_sheet_a_table_and_no_formula(review: MonthReview, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(tables_file(review, tmp_path / "may.xlsx", replace=False))
    assert book.sheetnames == list(month_tables(review))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert FORMULA in {cell.value for cell in cells}
    assert not [cell for cell in cells if cell.data_type == "f"]


def test_file_there_already_is_kept_unless_told_otherwise(
    review: MonthReview, tmp_path: Path
) -> None:
    log = tmp_path / "jobs.csv"
    log.write_text("part,date\n", "utf-8")
    with pytest.raises(FileError, match="is there already"):
        tables_file(review, log, replace=False)
    assert log.read_text("utf-8") == "part,date\n"
    tables_file(review, log, replace=True)
    assert log.read_text("utf-8").startswith("table,month,")


def test_other_endings_are_refused_and_nothing_is_written(
    review: MonthReview, tmp_path: Path
) -> None:
    with pytest.raises(QuestionError, match=r"must end in \.csv or \.xlsx"):
        tables_file(review, tmp_path / "may.pdf", replace=False)
    assert not list(tmp_path.iterdir())
