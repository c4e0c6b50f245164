"""Headings as UK and US shops write them find their field; doubtful ones are asked about."""

from __future__ import annotations

import pytest

from analytics.records.coded import Coder
from analytics.records.columns import Column, Match
from analytics.records.fields import Placement
from analytics.records.matching import match_columns

CELLS = {
    "id": ["A1", "A2", "A3", "A4", "A5", "A6", "A7"],
    "things": ["hatch", "lid", "hatch", "hatch", "lid", "lid", "hatch"],
    "date": ["04/03/24", "05/03/24", "15/03/24"],
    "time": ["08:05", "9.15"],
    "c": ["18", "21.5", "16"],
    "f": ["65", "72", "68"],
    "rh": ["65", "72%"],
    "tick": ["Y", "N", "y"],
    "few": ["2", "3", "4", "0"],
    "min": ["20", "35", "45"],
    "h": ["2.5", "3", "4"],
    "day": ["22", "24", "48"],
    "pct": ["1.8", "2.0", "1.5"],
    "ml": ["17", "20", "15"],
    "mm": ["0.5", "0.45"],
    "thou": ["18", "22"],
    "gsm": ["300", "450"],
    "oz": ["1", "1.5"],
    "kg": ["2.5", "3"],
    "name": ["Dot", "Ed", "Dot"],
    "mould": ["M1", "M2", "M1"],
    "lot": ["G11", "G12"],
    "words": ["ok whatever", "rush job"],
    "fault": ["pinholes", "stuck"],
    "total": ["182", "183", "240"],
    "brush": ["brush", "spray"],
    "stick": ["stick", "drill"],
    "barcol": ["35", "40"],
}


def placed_as(record: str, heading: str, cells: str, **told: Placement) -> Match:
    coder = Coder()
    coder.extend(CELLS[cells])
    [match] = match_columns(record, [Column(0, heading, "", coder.coded())], told, lambda _: None)
    return match


@pytest.mark.parametrize(
    ("heading", "cells", "target"),
    [
        ("Job No", "id", "part_id"),
        ("Serial #", "id", "part_id"),
        ("Part", "id", "part_id"),
        ("Part", "things", "product"),
        ("Date Molded", "date", "date"),
        ("Laminator", "name", "operator"),
        ("Mold #", "mould", "mould_id"),
        ("Tool ID", "mould", "mould_id"),
        ("Mould °C", "c", "mould_c"),
        ("Mold surface temp (°F)", "f", "mould_c"),
        ("Tool pulls", "total", "mould_pulls_total"),
        ("# pulls since wax", "few", "pulls_since_renewal"),
        ("Releases since waxing", "few", "pulls_since_renewal"),
        ("Wax", "few", "wax_coats"),
        ("Wax", "things", "wax_type"),
        ("No. of coats of wax", "few", "wax_coats"),
        ("PVA (Y/N)", "tick", "pva_used"),
        ("Barrier film?", "tick", "pva_used"),
        ("PVA drying (mins)", "min", "pva_dry_min"),
        ("Film", "tick", "pva_used"),
        ("Film thk (mil)", "thou", "gelcoat_wet_mm"),
        ("WFT (mils)", "thou", "gelcoat_wet_mm"),
        ("GC min", "thou", "gelcoat_wet_min_mm"),
        ("Max film (mils)", "thou", "gelcoat_wet_max_mm"),
        ("Hrs to lay-up", "h", "backup_hours"),
        ("Gel>mat h", "h", "backup_hours"),
        ("GC to lam (min)", "min", "backup_hours"),
        ("Layup time (min)", "min", "laying_min"),
        ("# of plies", "few", "plies_in_session"),
        ("1st ply (oz)", "oz", "first_ply_g_m2"),
        ("Skin mat (g/m2)", "gsm", "first_ply_g_m2"),
        ("Resin kg", "kg", "resin_kg"),
        ("Shop deg F", "f", "air_c"),
        ("Ambient °C", "c", "air_c"),
        ("Damp %", "rh", "humidity_pct"),
        ("R.H.", "rh", "humidity_pct"),
        ("Out of mould after", "day", "demould_hours"),
        ("Time in mold (h)", "day", "demould_hours"),
        ("OK?", "tick", "outcome"),
        ("Outcome", "fault", "result"),
        ("How it came out", "fault", "result"),
        ("Fault 2", "fault", "defects"),
        ("Reject", "tick", "defects"),
        ("Said", "words", "notes"),
        ("Gel lot", "lot", "gelcoat.lot"),
        ("GC cat %", "pct", "gelcoat.catalyst_pct"),
        ("Lay-up cat cc/kg", "ml", "resin.catalyst_pct"),
        ("Gel went off (min)", "min", "gelcoat.gel_min"),
        ("Resin gel time min", "min", "resin.gel_min"),
        ("Gel coat weight (kg)", "kg", "gelcoat.mass_kg"),
        ("ShopTempC", "c", "air_c"),
        ("shop_rh_pct", "rh", "humidity_pct"),
        ("gelcoat.gel_min", "min", "gelcoat.gel_min"),
        ("Dew point", "c", "ignore"),
    ],
)
def test_heading_on_a_sheet_of_parts(heading: str, cells: str, target: str) -> None:
    assert placed_as("part", heading, cells).target == target


@pytest.mark.parametrize(
    ("heading", "cells", "target"),
    [
        ("Mix #", "id", "batch_id"),
        ("Temp", "c", "air_c"),
        ("Deg F", "f", "air_c"),
        ("Resin temp °C", "c", "material_c"),
        ("Who", "name", "operator"),
        ("Mixed by", "name", "operator"),
        ("Mixed by", "stick", "mix_method"),
        ("Mix min", "few", "mix_min"),
        ("Stood min", "few", "rest_min"),
        ("lb", "kg", "mass_kg"),
        ("Cat. lot", "lot", "catalyst_lot"),
        ("Lot", "lot", "lot"),
        ("Gel (min)", "min", "gel_min"),
        ("Pot life", "min", "gel_min"),
        ("% MEKP", "pct", "catalyst_pct"),
        ("cc/kg", "ml", "catalyst_pct"),
        ("Part no", "id", "part_id"),
    ],
)
def test_heading_on_a_sheet_of_mixes(heading: str, cells: str, target: str) -> None:
    assert placed_as("batch", heading, cells).target == target


@pytest.mark.parametrize(
    ("heading", "cells", "target"),
    [
        ("Temprature", "c", "air_c"),
        ("Humdity %", "rh", "humidity_pct"),
        ("Dtae made", "date", "date"),
        ("Gellcoat thikness mm", "mm", "gelcoat_wet_mm"),
        ("Catalist gel %", "pct", "gelcoat.catalyst_pct"),
    ],
)
def test_misspelt_heading_is_mended_and_says_so(heading: str, cells: str, target: str) -> None:
    match = placed_as("part", heading, cells)
    assert match.target == target
    assert "spelling" in match.how or "heading" in match.how


@pytest.mark.parametrize("heading", ["Zibbet", "Catalyst", "Gel", "Time on oven shelf"])
def test_heading_that_could_be_anything_is_left_open(heading: str) -> None:
    assert placed_as("part", heading, "pct").target is None


def test_guesses_are_fields_the_shop_can_name() -> None:
    match = placed_as("part", "Humdiddity thing", "rh")
    assert match.target is None
    assert "humidity_pct" in match.guesses


def test_shops_own_word_overrules_everything() -> None:
    match = placed_as("part", "Temp", "c", Temp=Placement("exotherm_peak_c", "°C"))
    assert (match.target, match.unit) == ("exotherm_peak_c", "°C")


def test_shop_can_have_a_column_left_alone() -> None:
    assert placed_as("part", "Temp", "c", Temp=Placement("ignore")).target == "ignore"


def test_two_columns_for_one_field_are_told_and_the_first_is_used() -> None:
    coder = Coder()
    coder.extend(CELLS["c"])
    cells = coder.coded()
    columns = [Column(0, "Shop temp", "", cells), Column(1, "Room temp", "", cells)]
    first, second = match_columns("part", columns, {}, lambda _: None)
    assert (first.target, second.target, second.rival) == ("air_c", None, "Shop temp")


def test_bare_columns_belong_to_the_mix_on_their_left() -> None:
    def column(index: int, header: str, cells: str) -> Column:
        coder = Coder()
        coder.extend(CELLS[cells])
        return Column(index, header, "", coder.coded())

    columns = [
        column(0, "Gel lot", "lot"),
        column(1, "Cat %", "pct"),
        column(2, "Resin lot", "lot"),
        column(3, "Cat %", "pct"),
    ]
    targets = [match.target for match in match_columns("part", columns, {}, lambda _: None)]
    assert targets == [
        "gelcoat.lot", "gelcoat.catalyst_pct", "resin.lot", "resin.catalyst_pct",
    ]  # fmt: skip


def test_second_column_of_a_name_takes_the_next_field_it_can_mean() -> None:
    job, part = Coder(), Coder()
    job.extend(CELLS["id"])
    part.extend(CELLS["things"])
    columns = [Column(0, "Job", "", job.coded()), Column(1, "Part", "", part.coded())]
    targets = [match.target for match in match_columns("part", columns, {}, lambda _: None)]
    assert targets == ["part_id", "product"]


def test_mix_and_batch_side_by_side_are_the_mix_and_the_lot() -> None:
    mix, batch = Coder(), Coder()
    mix.extend(CELLS["id"])
    batch.extend(["0417", "0417", "0418"])
    columns = [Column(0, "Mix no", "", mix.coded()), Column(1, "Batch", "", batch.coded())]
    targets = [match.target for match in match_columns("batch", columns, {}, lambda _: None)]
    assert targets == ["batch_id", "lot"]
