"""Every odd file is accounted for row by row, and each kind of trouble is met as it should be."""

from __future__ import annotations

import json
from pathlib import Path

import pandas as pd
import pytest

from tests.records.reading_odd import ODD, faults, mixes, parts, problems, read, read_text

EVERY = sorted(p for p in ODD.rglob("*") if p.is_file() and p.suffix != ".md")


@pytest.mark.parametrize("path", EVERY, ids=lambda path: path.name)
def test_every_row_is_a_record_a_repeat_or_listed(path: Path) -> None:
    for report in read(path).files:
        for sheet in report.sheets:
            records = sheet.parts + sheet.batches + sheet.logger + sheet.lots + sheet.moulds
            assert sheet.rows == records + sheet.duplicates + sheet.not_records


@pytest.mark.parametrize("path", EVERY, ids=lambda path: path.name)
def test_counts_are_the_rows_of_the_tables(path: Path) -> None:
    result = read(path)
    sheets = [sheet for report in result.files for sheet in report.sheets]
    assert sum(sheet.parts for sheet in sheets) == len(result.tables["part"])
    assert sum(sheet.logger for sheet in sheets) == len(result.tables["logger"])
    assert sum(sheet.lots for sheet in sheets) == len(result.tables["lot"])
    assert sum(sheet.moulds for sheet in sheets) == len(result.tables["mould"])


@pytest.mark.parametrize("path", EVERY, ids=lambda path: path.name)
def test_every_problem_says_what_where_and_what_to_do(path: Path) -> None:
    for problem in problems(read(path)):
        assert problem.file == path.name
        assert problem.found
        assert problem.expected
        assert problem.action
        assert problem.row is None or problem.row >= 1


@pytest.mark.parametrize("path", EVERY, ids=lambda path: path.name)
def test_reading_twice_gives_the_same(path: Path) -> None:
    once, again = read(path), read(path)
    assert once.files == again.files
    for record, table in once.tables.items():
        pd.testing.assert_frame_equal(table, again.tables[record])


# ---------------------------------------------------------------- slips of the pen


def test_slips_of_the_pen_are_asked_about_not_guessed() -> None:
    result = read("slips-of-the-pen.csv")
    table = parts(result)
    assert pd.isna(table.at["S2", "air_c"])
    assert pd.isna(table.at["S2", "humidity_pct"])
    assert pd.isna(table.at["S2", "gelcoat_wet_mm"])
    doses = mixes(result)["catalyst_pct"].dropna()
    assert doses.to_dict() == {"S1/gelcoat": 1.8, "S1/resin": 1.5, "S2/resin": 1.6, "S3/resin": 1.4}
    asked = {(p.row, p.found.split(" (")[0]) for p in problems(result, "ask")}
    assert asked == {
        (3, "356"), (3, "0.65"), (3, "30"), (3, "17.41 %"), (4, "2cc/kg"), (5, "2cc/gal"),
        (5, "0.15"),
    }  # fmt: skip


def test_question_says_how_to_answer_it() -> None:
    told = {p.found.split(" (")[0]: p.action for p in problems(read("slips-of-the-pen.csv"), "ask")}
    assert "If 65 % was meant, type 65 %" in told["0.65"]
    assert "If 30 thou was meant" in told["30"]
    assert "If 1.741 % was meant" in told["17.41 %"]
    assert 'laylog place "Gel coat catalyst" gelcoat.catalyst_pct --unit' in told["2cc/gal"]


def test_what_was_typed_is_kept_even_where_it_was_not_believed() -> None:
    raw = json.loads(parts(read("slips-of-the-pen.csv")).at["S2", "raw"])
    assert raw["humidity_pct"] == "0.65"
    assert raw["gelcoat.catalyst_pct"] == "17.41 %"


def test_overnight_is_about_eighteen_hours_and_says_so() -> None:
    result = read("slips-of-the-pen.csv")
    assert parts(result).at["S2", "demould_hours"] == 18
    [told] = problems(result, "approximate")
    assert (told.row, told.found) == (3, "overnight")


def test_shop_can_say_how_long_overnight_is() -> None:
    result = read("slips-of-the-pen.csv", settings={"overnight_h": 15})
    assert parts(result).at["S2", "demould_hours"] == 15


# ---------------------------------------------------------------- doses


def test_doses_become_shares_by_mass_and_keep_how_they_were_written() -> None:
    table = mixes(read("doses.csv"))
    # by hand with 1.16 g/ml catalyst and 1.10 g/ml resin, 453.59237 g/lb, 3785.411784 ml/US gal
    by_hand = {
        "D1": (1.5, "mass %"),
        "D2": (1.5, "g/kg"),
        "D3": (1.972, "ml/kg at 1.16 g/ml"),
        "D4": (1.790, "cc/lb at 1.16 g/ml"),
        "D5": (1.003, "cc/US gal at 1.16 g/ml, resin 1.1 g/ml"),
        "D6": (0.989, "fl oz/US gal at 1.16 g/ml, resin 1.1 g/ml"),
        "D7": (2.109, "volume % at 1.16 g/ml, resin 1.1 g/ml"),
        "D8": (2.046, "drops/oz of 0.05 ml at 1.16 g/ml"),
        "D9": (1.74, "ml per pot at 1.16 g/ml"),
    }
    for mix, (dose, basis) in by_hand.items():
        assert table.at[mix, "catalyst_pct"] == pytest.approx(dose, abs=6e-4)
        assert table.at[mix, "catalyst_basis"] == basis
    assert table.loc[["D10", "D11"], "catalyst_pct"].isna().all()


def test_shops_own_catalyst_density_is_used() -> None:
    table = mixes(read("doses.csv", settings={"catalyst_g_ml": 1.10}))
    assert table.at["D3", "catalyst_pct"] == pytest.approx(1.87)
    assert table.at["D3", "catalyst_basis"] == "ml/kg at 1.1 g/ml"


def test_drops_are_flagged_as_rough() -> None:
    [told] = problems(read("doses.csv"), "approximate")
    assert told.row == 9
    assert "give or take 30 %" in told.action


def test_gallon_that_is_not_named_and_pot_without_a_mass_are_asked_about() -> None:
    assert {p.row for p in problems(read("doses.csv"), "ask")} == {11, 12}


# ---------------------------------------------------------------- dates


def test_impossible_and_coming_days_stay_unknown() -> None:
    result = read("dates-that-cannot-be.csv")
    dates = parts(result)["date"]
    assert dates.isna().to_dict() == {"B1": False, "B2": True, "B3": True, "B4": True, "B5": False}
    assert {p.row for p in problems(result, "date")} == {3, 4, 5}


def test_last_years_year_in_january_is_asked_about() -> None:
    result = read("last-years-year.csv")
    assert parts(result)["date"].isna().sum() == 1
    [told] = problems(result, "date")
    assert (told.row, told.found) == (6, "04/01/2023")
    assert "If 2024 was meant" in told.action


def test_dates_that_read_either_way_are_read_one_way_and_told() -> None:
    result = read("either-way-dates.csv")
    assert list(parts(result)["date"].dt.month.unique()) == [4]
    [told] = problems(result, "assumed")
    assert told.column == "Date"
    assert "day/month" in told.action


def test_date_written_once_a_day_holds_for_the_rows_below_and_is_told() -> None:
    result = read("date-once-a-day.csv")
    assert list(parts(result)["date"].dt.day) == [4, 4, 4, 5, 5]
    [told] = problems(result, "assumed")
    assert (told.row, told.column) == (3, "Date")


# ---------------------------------------------------------------- repeats and numbers


def test_repeat_is_merged_and_contradiction_kept_apart() -> None:
    result = read("twice.csv")
    table = parts(result)
    [sheet] = result.files[0].sheets
    assert (sheet.parts, sheet.duplicates, sheet.not_records) == (6, 2, 3)
    assert table.at["A2", "outcome"] == "faulty"
    assert table.at["A2", "air_c"] == 18
    assert table.at["A2", "notes"] == "filled in later"
    assert faults(result)["A2"] == ["sticking"]
    assert {"A3", "A3 #2"} <= set(table.index)
    [told] = problems(result, "part number twice")
    assert told.row == 7
    assert "row 6" in told.expected


def test_parts_without_numbers_are_named_by_date_and_mould_and_told_once() -> None:
    result = read("twice.csv")
    assert {"2024-02-14 M1 #1", "2024-02-14 M1 #2"} <= set(parts(result).index)
    [told] = problems(result, "no number")
    assert told.found == "2 rows without a part number"


def test_row_that_names_no_part_is_listed_and_told() -> None:
    result = read("twice.csv")
    listed = {(line.row, line.kind) for line in result.files[0].sheets[0].listed}
    assert {(10, "unreadable"), (11, "total")} <= listed
    [told] = problems(result, "unreadable row")
    assert told.row == 10


def test_numbers_a_program_wrote_with_a_point_are_plain_again() -> None:
    table = parts(read("program-export.csv"))
    assert list(table.index) == ["101", "102", "103"]
    assert set(table["mould_id"]) == {"1", "2"}
    assert table.at["101", "start_time"] == "08:15"


# ---------------------------------------------------------------- words and ticks


def test_shops_words_become_faults_with_how_bad_and_where() -> None:
    result = read("shop-words.csv")
    found = faults(result)
    assert found["W1"] == ["print-through", "sticking", "tacky-surface"]
    assert found["W3"] == ["fish-eyes", "pinholes", "wrinkling"]
    assert found["W6"] == ["wrinkling"]
    assert "W4" not in found
    table = result.tables["defect"].set_index(["part_id", "defect"])
    assert table.loc[("W2", "pinholes"), "severity"] == "slight"
    assert table.loc[("W2", "pinholes"), "place"] == "top edge"
    assert table.loc[("W3", "wrinkling"), "severity"] == "severe"


def test_outcome_is_what_the_shop_said() -> None:
    outcome = parts(read("shop-words.csv"))["outcome"]
    assert (outcome["W5"], outcome["W8"], outcome["W11"]) == ("good", "scrap", "good")


def test_blank_result_is_unknown_never_good() -> None:
    table = parts(read("shop-words.csv"))
    for part in ("W9", "W10", "W12"):
        assert pd.isna(table.at[part, "outcome"])
        assert not table.at[part, "looked"]


def test_word_nobody_knows_is_kept_and_asked_about() -> None:
    result = read("shop-words.csv")
    [told] = problems(result, "unknown word")
    assert (told.row, told.found) == (8, "gone a funny colour")
    assert parts(result).at["W7", "defects"] == "gone a funny colour"
    assert parts(result).at["W7", "looked"]


def test_columns_to_tick_for_each_fault_are_read() -> None:
    result = read("fault-columns.csv")
    assert faults(result) == {
        "1": ["pinholes"],
        "3": ["print-through", "sticking"],
        "5": ["wrinkling"],
    }
    first = result.tables["defect"].iloc[0]
    assert (first["severity"], first["place"]) == ("severe", "top edge")
    looked = parts(result)["looked"]
    assert looked.to_dict() == {"1": True, "2": True, "3": True, "4": False, "5": True}


def test_cross_means_no_beside_ticks_and_yes_alone() -> None:
    table = parts(read("ticks.csv"))
    assert table["pva_used"].astype(object).where(table["pva_used"].notna(), None).to_dict() == {
        "T1": False, "T2": True, "T3": True, "T4": None, "T5": None,
    }  # fmt: skip
    assert table["waxed_topcoat"].dropna().to_dict() == {"T1": True, "T3": True, "T5": True}


def test_unknown_choice_is_left_unknown_and_told() -> None:
    result = read("ticks.csv")
    assert parts(result)["gelcoat_method"].isna().to_dict()["T5"]
    assert {(p.row, p.found) for p in problems(result, "unknown word")} == {
        (6, "maybe"),
        (6, "trowel"),
    }


def test_lone_quotation_mark_means_as_above() -> None:
    table = parts(read("lone-quotes.csv"))
    assert table.loc["Q2", ["operator", "mould_id", "wax_type"]].tolist() == ["Dot", "M1", "paste"]
    assert table.at["Q3", "date"] == pd.Timestamp("2024-03-15")


# ---------------------------------------------------------------- headings, sheets, other records


def test_column_nobody_knows_is_asked_about_and_kept() -> None:
    result = read("unknown-headings.csv")
    told = problems(result, "column")
    assert [p.column for p in told] == ["Zibbet", "Moon"]
    assert 'laylog place "Zibbet"' in told[0].action
    raw = json.loads(parts(result).at["H1", "raw"])
    assert raw["other"] == {"Zibbet": "1.2", "Moon": "full"}


def test_log_without_headings_is_told_and_nothing_made_up() -> None:
    result = read("no-headings.csv")
    assert len(result.tables["part"]) == 0
    [told] = problems(result)
    assert told.kind == "sheet"


def test_list_of_codes_beside_the_log_is_no_log() -> None:
    result = read("codes-beside-jobs.xlsx")
    assert list(parts(result).index) == ["K1", "K2"]
    assert [(p.kind, p.sheet) for p in problems(result)] == [("sheet", "Codes")]


def test_units_and_date_order_can_stand_in_a_title() -> None:
    result = read("us-shop.csv")
    row = parts(result).loc["101"]
    assert row["date"] == pd.Timestamp("2024-03-04")
    assert row["air_c"] == pytest.approx(20)
    assert row["gelcoat_wet_mm"] == pytest.approx(0.508)
    assert row["gelcoat_wet_min_mm"] == pytest.approx(0.4064)
    assert row["resin_kg"] == pytest.approx(4.5359237)
    assert row["area_m2"] == pytest.approx(3.716, abs=1e-3)
    assert problems(result, "assumed") == []


def test_lots_keep_their_leading_nought_and_may_run_out_later() -> None:
    table = read("lots.csv").tables["lot"].set_index("lot")
    assert list(table.index) == ["0417", "R 22", "C8"]
    assert table.at["0417", "expires"] == pd.Timestamp("2031-07-04")
    assert table.at["0417", "sheet_gel_pct"] == 1.8
    assert table.at["C8", "material"] == "catalyst"


def test_moulds_are_read() -> None:
    table = read("moulds.csv").tables["mould"].set_index("mould_id")
    assert table.at["M2", "draft"] == "poor"
    assert table["deep"].to_dict() == {"M1": False, "M2": True}


def test_logger_with_date_and_time_apart_is_put_together() -> None:
    result = read("logger-two-columns.csv")
    table = result.tables["logger"]
    assert list(table["timestamp"]) == [
        pd.Timestamp("2024-03-04 00:00"),
        pd.Timestamp("2024-03-04 00:30"),
        pd.Timestamp("2024-03-04 01:00"),
        pd.Timestamp("2024-03-13 13:30"),
    ]
    assert table["air_c"].iloc[0] == 10
    assert table["air_c"].isna().iloc[3]
    assert result.files[0].sheets[0].duplicates == 1


def test_logger_gap_is_unknown_not_nought() -> None:
    table = read("logger-decimal-commas.csv").tables["logger"]
    assert table["air_c"].tolist()[:2] == [8.0, 9.5]
    assert table.iloc[2][["air_c", "humidity_pct"]].isna().all()
    assert table["air_c"].iloc[3] == -1.5


def test_mix_that_names_its_part_is_the_parts_mix() -> None:
    result = read("mixes-naming-parts.csv", "twice.csv")
    row = parts(result).loc["A1"]
    assert (row["gelcoat_batch_id"], row["resin_batch_id"]) == ("A1/gelcoat", "A1/resin")


def test_missing_mixes_are_told_once_for_the_whole_file(tmp_path: Path) -> None:
    rows = "".join(f"P{n},0{n}/03/2024,M1,G{n},ok\n" for n in range(1, 6))
    result = read_text(tmp_path, "Part,Date,Mould,Gelcoat mix,Result\n" + rows)
    [told] = problems(result, "missing mix")
    assert told.found == "G1, G2, G3 and 2 more"
    assert parts(result).at["P5", "gelcoat_batch_id"] == "G5"


def test_mix_number_spelt_another_way_still_finds_its_mix(tmp_path: Path) -> None:
    (tmp_path / "mixes.csv").write_text("Mix,Gelcoat / Resin,Catalyst %\nGB-12,gelcoat,1.8\n")
    (tmp_path / "parts.csv").write_text(
        "Part,Date,Mould,Gelcoat mix,Result\nP1,13/03/2024,M1,gb 12,ok\n"
    )
    result = read(tmp_path / "parts.csv", tmp_path / "mixes.csv")
    assert parts(result).at["P1", "gelcoat_batch_id"] == "GB-12"
    assert problems(result, "missing mix") == []
