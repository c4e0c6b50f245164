"""Dates as shops write them; day and month order settled once for a column."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pandas as pd
import pytest

from analytics.records.date_order import choose_order
from analytics.records.dates import (
    clock_text,
    months_named,
    nearest_year,
    read_clock,
    read_date_text,
    told_order,
    years_named,
)
from tests.records.reading_odd import parts, problems, read, read_text

TODAY = dt.date(2025, 6, 1)


@pytest.mark.parametrize(
    "typed",
    [
        "2024-03-04", "2024/3/4", "20240304", "4 Mar 2024", "4-Mar-24", "4th March '24",
        "March 4, 2024", "Mon 4 March 2024", "45355", "2024-03-04T00:00:00", "4 sept. 2024",
    ],
)  # fmt: skip
def test_date_that_reads_one_way_is_read(typed: str) -> None:
    date = read_date_text(typed)
    assert date is not None
    month = 9 if "sept" in typed else 3
    assert date.known == (2024, month, 4)


@pytest.mark.parametrize("typed", ["04/03/24", "4.3.2024", "04-03-24", "4 3 24"])
def test_figures_wait_for_the_column(typed: str) -> None:
    date = read_date_text(typed)
    assert date is not None
    assert date.known is None
    assert date.figures is not None
    assert date.figures[:2] == (4, 3)


@pytest.mark.parametrize("typed", ["soon", "U1-00001", "overnight", "12:30", "M01", "4 Foo 2024"])
def test_what_is_no_date_is_not_made_one(typed: str) -> None:
    assert read_date_text(typed) is None


@pytest.mark.parametrize(
    ("typed", "clock"),
    [
        ("08:05", "08:05"), ("8.05am", "08:05"), ("0805", "08:05"), ("8 am", "08:00"),
        ("8:05 PM", "20:05"), ("14h30", "14:30"), ("12:00:00 AM", "00:00"), ("noon", "12:00"),
        ("0.336805", "08:05"),
    ],
)  # fmt: skip
def test_time_of_day_is_read(typed: str, clock: str) -> None:
    minutes = read_clock(typed)
    assert minutes is not None
    assert clock_text(minutes) == clock


@pytest.mark.parametrize("typed", ["25:00", "8:75", "later", "2.5"])
def test_what_is_no_time_is_not_made_one(typed: str) -> None:
    assert read_clock(typed) is None


def order_of(*typed: str, months: tuple[int, ...] = ()) -> str | None:
    dates = [read_date_text(text) for text in typed]
    choice = choose_order(dates, [months] * len(dates), None, TODAY)
    return f"{choice.order} {'certain' if choice.certain else 'assumed'}" if choice else None


def test_one_day_over_twelve_settles_the_column() -> None:
    assert order_of("04/03/24", "13/03/24") == "dmy certain"
    assert order_of("03/04/24", "03/13/24") == "mdy certain"


def test_days_still_to_come_settle_the_column() -> None:
    assert order_of("05/12/2024", "05/11/2025", "06/01/2024") == "mdy certain"


def test_sheet_named_for_its_month_settles_the_column() -> None:
    assert order_of("04/03/24", "05/03/24", months=(3,)) == "dmy assumed"
    assert order_of("03/04/24", "03/05/24", months=(3,)) == "mdy assumed"


def test_rows_that_run_on_settle_the_column() -> None:
    assert order_of("03/04/24", "03/06/24", "03/08/24", "03/12/24") == "mdy assumed"
    assert order_of("04/03/24", "06/03/24", "08/03/24", "12/03/24") == "dmy assumed"


def test_column_of_plain_dates_has_no_order_to_settle() -> None:
    assert order_of("2024-03-04", "4 Mar 2024") is None


def test_titles_name_years_and_months() -> None:
    assert years_named(["Moulding log March 2024", "Mar 24"]) == (2024,)
    assert months_named(["Mar 2024", "april"]) == (3, 4)
    assert years_named(["sheet 12", "M20245"]) == ()


def test_heading_or_title_states_the_order() -> None:
    assert told_order(["Made (d/m/y)"]) == "dmy"
    assert told_order(["Date (mm/dd/yyyy)"]) == "mdy"
    assert told_order(["US dates"]) == "mdy"
    assert told_order(["Moulded by"]) is None


def test_day_and_month_take_the_nearest_year() -> None:
    assert nearest_year(30, 12, dt.date(2024, 1, 4)) == dt.date(2023, 12, 30)
    assert nearest_year(29, 2, dt.date(2023, 3, 1)) == dt.date(2024, 2, 29)


def test_year_comes_from_the_sheets_title(tmp_path: Path) -> None:
    text = "Log for March 2024\nPart,Date,Mould,Result\nP1,4 Mar,M1,ok\nP2,5/3,M1,ok\n"
    dates = parts(read_text(tmp_path, text))["date"]
    assert list(dates) == [pd.Timestamp("2024-03-04"), pd.Timestamp("2024-03-05")]


def test_year_comes_from_the_rows_round_it(tmp_path: Path) -> None:
    text = (
        "Part,Date,Mould,Result\nP1,28 Dec 2023,M1,ok\nP2,30 Dec,M1,ok\nP3,3 Jan,M1,ok\n"
        "P4,4 Jan 2024,M1,ok\n"
    )
    dates = parts(read_text(tmp_path, text))["date"]
    assert list(dates.dt.year) == [2023, 2023, 2024, 2024]


def test_date_without_any_year_near_it_is_asked_about(tmp_path: Path) -> None:
    result = read_text(tmp_path, "Part,Date,Mould,Result\nP1,4 Mar,M1,ok\nP2,5 Mar,M1,ok\n")
    assert parts(result)["date"].isna().all()
    assert {p.found for p in problems(result, "date")} == {"4 Mar", "5 Mar"}


def test_day_alone_takes_month_and_year_from_the_sheet() -> None:
    dates = parts(read("fault-columns.csv"))["date"]
    assert list(dates.dt.strftime("%Y-%m-%d").unique()) == [
        "2024-03-04", "2024-03-05", "2024-03-12", "2024-03-13",
    ]  # fmt: skip


def test_other_dates_of_the_file_lend_their_order(tmp_path: Path) -> None:
    text = "Lot,Material,Received,Opened,Use by\nG1,gelcoat,13/01/2024,06/02/2024,01/07/2024\n"
    result = read_text(tmp_path, text)
    assert result.tables["lot"]["opened"].iloc[0] == pd.Timestamp("2024-02-06")
    assert problems(result) == []


def test_long_logger_is_read_as_cell_by_cell(tmp_path: Path) -> None:
    times = pd.date_range("2024-01-25", periods=3_000, freq="17min")
    rows = "".join(f"{time:%d/%m/%Y %H:%M};{n % 30};50\n" for n, time in enumerate(times))
    result = read_text(tmp_path, "Time;Temp C;RH %\n" + rows)
    assert list(result.tables["logger"]["timestamp"]) == list(times)
