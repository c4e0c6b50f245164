"""Habits of shops' logs that are easily misread: each is read as meant, told, or asked about."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pandas as pd
import pytest

from analytics.records.dates import as_clock, clocks_with_points, read_date_text
from analytics.records.numbers import read_number
from tests.records.reading_odd import ODD, faults, mixes, parts, problems, read, read_text

# ---------------------------------------------------------------- whole columns


def test_gallon_that_is_not_named_is_asked_about_once_for_its_column() -> None:
    [told] = problems(read("dose-per-gallon.csv"), "ask")
    assert told.row is None
    assert told.found.startswith("6 doses in cc/gal")
    assert "--unit" in told.action


def test_doses_for_a_pot_without_any_masses_are_one_question(tmp_path: Path) -> None:
    rows = "".join(f"P{n},{n + 12}/03/2024,M1,{n + 20} ml,ok\n" for n in range(5))
    result = read_text(tmp_path, f"Part,Date,Mould,Gel coat catalyst,Result\n{rows}")
    [told] = problems(result, "ask")
    assert told.row is None
    assert "no mass of the mix" in told.found


def test_percent_heading_over_fractions_alone_means_fractions(tmp_path: Path) -> None:
    rows = "".join(f"P{n},{n + 12}/03/2024,M1,0.01{n}5,0.6{n},ok\n" for n in range(5))
    result = read_text(tmp_path, f"Part,Date,Mould,Gel coat catalyst %,RH %,Result\n{rows}")
    assert list(mixes(result)["catalyst_pct"]) == pytest.approx([1.05, 1.15, 1.25, 1.35, 1.45])
    assert list(parts(result)["humidity_pct"]) == [60, 61, 62, 63, 64]
    assert {told.column for told in problems(result, "assumed")} == {"Gel coat catalyst %", "RH %"}


def test_points_are_thousands_where_commas_are_decimals() -> None:
    table = parts(read("points-between-thousands.csv"))
    assert list(table["glass_kg"]) == [4.25, 12.1, 3.9]
    assert list(table["cost"]) == [1079.5, 20, 2000]


def test_clock_times_are_no_hours_passed() -> None:
    result = read("clock-times.csv")
    table = parts(result)
    assert table["backup_hours"].isna().all()
    assert table["demould_hours"].isna().all()
    assert "Demould time" in {told.column for told in problems(result, "column")}


def test_words_that_say_what_is_measured_are_not_left_out_of_a_heading() -> None:
    result = read("clock-times.csv")
    assert parts(result)[["trim_hours", "wax_type"]].isna().all().all()
    assert {"Trim wt", "Date waxed"} <= {told.column for told in problems(result, "column")}


def test_half_past_eight_as_a_spreadsheet_shows_it() -> None:
    assert list(parts(read("clock-times.csv"))["start_time"])[:3] == ["08:10", "08:20", "08:30"]
    assert clocks_with_points(["8.05", "8.3"])
    assert not clocks_with_points(["8.25", "8.5"])
    assert not clocks_with_points(["8.05", "8.75"])
    assert as_clock("8.3") == "8.30"


def test_cross_between_yes_and_no_is_asked_about(tmp_path: Path) -> None:
    text = "Part,Date,Mould,PVA,Result\n" + "".join(
        f"P{n},{n + 12}/03/2024,M1,{said},ok\n" for n, said in enumerate(("y", "n", "x"))
    )
    result = read_text(tmp_path, text)
    assert pd.isna(parts(result).at["P2", "pva_used"])
    assert [told.found for told in problems(result, "unknown word")] == ["x"]


# ---------------------------------------------------------------- lots, mixes and pots


def test_batch_that_goes_on_for_days_is_a_lot_and_told() -> None:
    result = read("gel-batch-lots.csv")
    table = mixes(result)
    assert table.at["P1/gelcoat", "lot"] == table.at["P3/gelcoat", "lot"] == "B40"
    assert table.at["P8/resin", "lot"] == "R7"
    assert not problems(result, "missing mix")
    assert {"GC batch", "Resin batch"} <= {p.column for p in problems(result, "assumed")}


def test_batch_the_mixing_record_holds_is_a_mix(tmp_path: Path) -> None:
    (tmp_path / "mixes.csv").write_text(
        "Mix no,Material,Catalyst %,Gel time\nB40,gel,1.8,12\nB41,gel,1.6,15\n", encoding="utf-8"
    )
    result = read(ODD / "gel-batch-lots.csv", tmp_path / "mixes.csv")
    assert set(parts(result)["gelcoat_batch_id"]) == {"B40", "B41", "B42"}


def test_pots_numbered_from_one_each_day_are_told_apart_by_their_day() -> None:
    result = read("pots-of-the-day.csv", "pots-mixed.csv")
    table = parts(result)
    assert table.at["D3", "gelcoat_batch_id"] == "2024-03-05 1"
    assert mixes(result).at["2024-03-05 1", "catalyst_pct"] == 1.7
    assert not problems(result, "mix number twice")
    assert any("again on other days" in told.found for told in problems(result, "assumed"))


def test_gaps_of_the_mixing_record_are_filled_from_the_part_row(tmp_path: Path) -> None:
    mixing = "Mix no,Material,Gel time\nG1,gel,12\nG2,gel,15\nG3,gel,14\n"
    (tmp_path / "a.csv").write_text(mixing, encoding="utf-8")
    book = openpyxl.Workbook()
    book.active.title = "Parts"
    rows = [["Part", "Date", "Mould", "Gel mix", "Gel cat %", "Result"]]
    rows += [[f"P{n}", f"1{n}/03/2024", "M1", f"g{n}", 1.5 + n / 10, "ok"] for n in (3, 4, 5)]
    for row in rows:
        book.active.append(row)
    sheet = book.create_sheet("Mixes")
    for row in [["Mix no", "Material", "Gel time"], ["G3", "gel", 12], ["G4", "gel", 15]]:
        sheet.append(row)
    book.save(tmp_path / "book.xlsx")
    table = mixes(read(tmp_path / "book.xlsx"))
    assert table.loc["G3", ["catalyst_pct", "gel_min"]].tolist() == [1.8, 12]
    assert sorted(table.index) == ["G3", "G4", "g5"]


# ---------------------------------------------------------------- sheets


def test_month_sheet_without_headings_uses_its_neighbours_and_says_so() -> None:
    result = read("months-each-its-own-way.xlsx")
    assert parts(result).at["N4", "operator"] == "Wyn"
    [told] = [p for p in problems(result, "assumed") if p.found == "no row of headings"]
    assert (told.sheet, "Jan 24" in told.action) == ("Feb 24", True)


def test_month_sheets_with_other_headings_and_units_are_each_read_their_way() -> None:
    table = parts(read("months-each-its-own-way.xlsx"))
    assert len(table) == 12
    assert table.at["N8", "air_c"] == pytest.approx(17.22, abs=0.01)
    assert table.at["N8", "operator"] == "Bo"
    assert table.at["N8", "wax_coats"] == 4


def test_sheet_without_headings_that_fits_no_neighbour_is_told(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    for row in (["Part", "Date", "Mould", "Wax coats"], ["A1", "13/03/2024", "M1", 3]):
        book.active.append(row)
    other = book.create_sheet("Prices")
    for row in (["resin", 3.1, "per kg", "drum"], ["mat", 2.2, "per kg", "roll"]):
        other.append(row)
    book.save(tmp_path / "book.xlsx")
    [told] = problems(read(tmp_path / "book.xlsx"), "sheet")
    assert told.sheet == "Prices"


def test_sheet_turned_on_its_side_is_told_how_to_turn_it() -> None:
    [told] = problems(read("on-its-side.csv"), "sheet")
    assert "Transpose" in told.action


def test_workbook_cells_are_read_as_they_are_shown() -> None:
    result = read("as-shown.xlsx")
    table = mixes(result)
    assert set(table["catalyst_pct"]) == {1.85, 1.25}
    assert table.at["A1/gelcoat", "lot"] == "0417"
    assert set(parts(result)["air_c"]) == {18.5}
    assert problems(result) == []


def test_cells_joined_down_a_column_hold_for_all_their_rows() -> None:
    table = parts(read("as-shown.xlsx"))
    assert list(table["date"].dt.day) == [4, 4, 4, 5, 5, 5]
    assert set(table["mould_id"]) == {"M1"}


def test_logger_headings_with_time_zone_and_serial_numbers_are_known() -> None:
    result = read("logger-with-device.csv")
    assert list(result.tables["logger"]["air_c"]) == pytest.approx([18, 20, 19])
    assert problems(result) == []


def test_lone_ditto_marks_in_a_windows_file_swallow_no_rows() -> None:
    table = parts(read("dittos-windows.txt"))
    assert list(table.index) == ["K1", "K2", "K3", "K4", "K5"]
    assert list(table["date"].dt.day) == [4, 4, 14, 14, 14]
    assert table.at["K4", "operator"] == "Wyn"


def test_quote_that_is_never_closed_swallows_no_rows(tmp_path: Path) -> None:
    rows = ['P1,13/03/2024,M1,"in a rush,ok', "P2,14/03/2024,M1,,ok", 'P3,15/03/2024,M1,6",ok']
    result = read_text(tmp_path, "Part,Date,Mould,Notes,Result\n" + "\n".join(rows) + "\n")
    assert list(parts(result).index) == ["P1", "P2", "P3"]


def test_total_with_its_count_under_the_part_numbers_is_no_part(tmp_path: Path) -> None:
    text = "Day,Part,Mould,Result\n13/03/2024,P1,M1,ok\n14/03/2024,P2,M1,ok\nTotal for page,2,,\n"
    assert list(parts(read_text(tmp_path, text)).index) == ["P1", "P2"]


# ---------------------------------------------------------------- headings


def test_us_words_and_fractions_of_ounces() -> None:
    result = read("us-words.csv")
    table = parts(result)
    assert list(table["operator"]) == ["Bo", "Wyn", "Bo", "Bo"]
    assert table.at["901", "ply_schedule"] == "3 x 1.5 oz"
    assert table.at["901", "rework_min"] == 30
    assert list(table["outcome"].fillna("")) == ["rework", "scrap", "good", ""]
    # 1.5 and 0.75 oz/ft2 at 305.152 g/m2 per oz/ft2
    assert list(table["first_ply_g_m2"]) == pytest.approx([457.73, 457.73, 228.86, 457.73], abs=0.1)


def test_column_of_numbers_no_other_row_has_names_the_parts_and_is_told(tmp_path: Path) -> None:
    rows = "".join(f"Z{n},{n + 12}/03/2024,M1,ok\n" for n in range(6))
    result = read_text(tmp_path, f"Zibbet,Date,Mould,Result\n{rows}")
    assert list(parts(result).index) == [f"Z{n}" for n in range(6)]
    assert "Zibbet" in {told.column for told in problems(result, "assumed")}


def test_one_side_of_a_heading_in_two_languages_is_enough(tmp_path: Path) -> None:
    text = "Lfd. Nr. / Job no,Datum,Form (mould),Gelcoat kg/m2,Result\nP1,13.03.2024,M1,0.5,ok\n"
    result = read_text(tmp_path, text)
    assert parts(result).at["P1", "mould_id"] == "M1"
    assert result.tables["batch"].empty
    assert "Gelcoat kg/m2" in {told.column for told in problems(result, "column")}


def test_columns_under_a_mixs_wide_heading_are_that_mixs(tmp_path: Path) -> None:
    text = (
        ",,,GELCOAT,,,LAY-UP,,,PULL,\n"
        "Ref,Date,Mould,Wt kg,Cat ml,Gel min,Wt kg,Cat ml,Gel min,hrs after,Result\n"
        "P1,13/03/2024,M1,2,32,12,5,60,30,24,ok\n"
        "P2,14/03/2024,M1,2,34,14,5,64,35,20,ok\n"
    )
    result = read_text(tmp_path, text)
    table = mixes(result)
    assert table.loc["P1/gelcoat", ["mass_kg", "gel_min"]].tolist() == [2, 12]
    assert table.loc["P1/resin", ["mass_kg", "gel_min"]].tolist() == [5, 30]
    assert parts(result).at["P1", "demould_hours"] == 24


def test_at_most_two_fields_are_suggested_and_their_cells_fit(tmp_path: Path) -> None:
    rows = "".join(f"P{n},{n + 12}/03/2024,M1,Bo,18,ok\n" for n in range(3))
    result = read_text(tmp_path, f"Part,Date,Mould,Shift boss,Bench temp,Result\n{rows}")
    told = {p.column: p.action for p in problems(result, "column")}
    assert "air_c" in told["Bench temp"]
    assert "temp" not in told["Shift boss"]
    assert "_c" not in told["Shift boss"]


# ---------------------------------------------------------------- cells


@pytest.mark.parametrize(
    ("typed", "quantity", "value"),
    [
        ("20/22/24", "length", 22),
        ("18, 20, 22 mils", "length", 20),
        ("1-1/2 oz", "areal", 1.5),
        ("61pc", "share", 61),
        ("1.8 g per 100 g", "dose", 1.8),
        ("1.8 phr", "dose", 1.8),
        ("1.6 ml/100 g of resin", "dose", 1.6),
    ],
)
def test_more_ways_to_write_a_figure(typed: str, quantity: str, value: float) -> None:
    number = read_number(typed, quantity)
    assert number is not None
    assert (number.value, number.rough) == (pytest.approx(value), False)


@pytest.mark.parametrize("typed", ["16.7 or so", "approx 16.7", "16.7 ± 0.5"])
def test_more_ways_to_say_roughly(typed: str) -> None:
    number = read_number(typed, "temperature")
    assert number is not None
    assert (number.value, number.rough) == (16.7, True)


@pytest.mark.parametrize("typed", ["3 cap fulls", "20/80", "18 / door open"])
def test_what_is_no_reading_stays_unread(typed: str) -> None:
    assert read_number(typed, "length") is None


@pytest.mark.parametrize(
    "typed", ["4. März 2024", "4 mars 2024", "4 marzo 2024", "Montag 4. März 24"]
)
def test_months_in_other_languages(typed: str) -> None:
    date = read_date_text(typed)
    assert date is not None
    assert date.known == (2024, 3, 4)


def test_reject_tick_beside_the_fault_in_words_is_no_unknown_word(tmp_path: Path) -> None:
    text = (
        "Part,Date,Mould,Reject?,What was wrong\nP1,13/03/2024,M1,Y,pinholes\nP2,14/03/2024,M1,N,\n"
    )
    result = read_text(tmp_path, text)
    assert faults(result) == {"P1": ["pinholes"]}
    assert list(parts(result)["outcome"]) == ["faulty", "good"]
    assert problems(result, "unknown word") == []
