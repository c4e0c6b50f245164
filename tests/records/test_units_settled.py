"""Which unit a column's bare figures are in: heading, title, other cells, then plausibility."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from analytics.records.fields import Placement
from tests.records.reading_odd import parts, problems, read_text


def column(folder: Path, heading: str, cells: list[str], field: str, **how: object) -> list[float]:
    """The values of one column of parts under this heading."""
    result = read_text(folder, table(heading, cells), **how)
    return [None if pd.isna(value) else value for value in parts(result)[field]]


def table(heading: str, cells: list[str], title: str = "") -> str:
    rows = [f"P{n};{n + 12}/03/2024;M1;{cell};ok" for n, cell in enumerate(cells)]
    return "\n".join([title, f"Part;Date;Mould;{heading};Result", *rows]) + "\n"


def test_heading_says_the_unit(tmp_path: Path) -> None:
    assert column(tmp_path, "Film (mil)", ["20"], "gelcoat_wet_mm") == [pytest.approx(0.508)]


def test_cell_overrules_the_heading(tmp_path: Path) -> None:
    values = column(tmp_path, "Film (mil)", ["20", "0.5 mm"], "gelcoat_wet_mm")
    assert values == [pytest.approx(0.508), 0.5]


def test_bare_figures_follow_the_unit_the_other_cells_state(tmp_path: Path) -> None:
    values = column(tmp_path, "Temp", ["65F", "68 F", "70"], "air_c")
    assert values[2] == pytest.approx(21.11, abs=0.01)


def test_bare_figures_that_can_only_be_fahrenheit_are_read_so_and_told(tmp_path: Path) -> None:
    result = read_text(tmp_path, table("Temp", ["58", "66", "72", "64"]))
    assert parts(result)["air_c"].between(14, 23).all()
    [told] = problems(result, "assumed")
    assert told.column == "Temp"
    assert "°F" in told.action


def test_bare_figures_in_the_usual_unit_need_no_remark(tmp_path: Path) -> None:
    result = read_text(tmp_path, table("Temp", ["18", "21", "16", "9"]))
    assert list(parts(result)["air_c"]) == [18, 21, 16, 9]
    assert problems(result) == []


@pytest.mark.parametrize(
    ("cells", "millimetres"),
    [
        (["18", "20", "22"], 20 * 0.0254),
        (["450", "500", "550"], 0.5),
        (["0.45", "0.5", "0.6"], 0.5),
    ],
)
def test_bare_film_readings_are_thou_micron_or_millimetres(
    tmp_path: Path, cells: list[str], millimetres: float
) -> None:
    values = column(tmp_path, "Wet film", cells, "gelcoat_wet_mm")
    assert values[1] == pytest.approx(millimetres)


def test_bare_ounces_of_mat_are_known_by_their_size(tmp_path: Path) -> None:
    values = column(tmp_path, "1st mat", ["1", "1.5", "2"], "first_ply_g_m2")
    assert values == [pytest.approx(v, abs=0.2) for v in (305.2, 457.7, 610.3)]


def test_humidity_kept_as_fractions_throughout_is_read_so(tmp_path: Path) -> None:
    assert column(tmp_path, "RH", ["0.65", "0.7", "0.58"], "humidity_pct") == [65, 70, 58]


def test_one_fraction_among_percents_is_asked_about(tmp_path: Path) -> None:
    values = column(tmp_path, "RH", ["65", "0.65", "58"], "humidity_pct")
    assert values == [65, None, 58]


def test_column_the_shop_placed_as_percent_or_fraction_takes_both(tmp_path: Path) -> None:
    placed = {"RH": Placement("humidity_pct", "percent or fraction")}
    values = column(tmp_path, "RH", ["65", "0.65", "58"], "humidity_pct", placed=placed)
    assert values == [65, 65, 58]


def test_bare_doses_that_cannot_be_percent_are_one_question(tmp_path: Path) -> None:
    heading = "Gel coat catalyst"
    result = read_text(tmp_path, table(heading, ["17", "20", "15", "18"]))
    assert len(result.tables["batch"]) == 0
    [told] = problems(result, "ask")
    assert told.row is None
    assert "laylog place" in told.action


def test_answering_the_question_reads_the_column(tmp_path: Path) -> None:
    heading = "Gel coat catalyst"
    placed = {heading: Placement("gelcoat.catalyst_pct", "ml/kg")}
    result = read_text(tmp_path, table(heading, ["17", "20"]), placed=placed)
    assert list(result.tables["batch"]["catalyst_pct"]) == [pytest.approx(1.972), 2.32]


def test_title_says_the_unit(tmp_path: Path) -> None:
    text = table("Gel coat catalyst", ["7", "1.5 %"], "catalyst in cc per lb unless % shown")
    doses = read_text(tmp_path, text).tables["batch"]["catalyst_pct"]
    assert list(doses) == [pytest.approx(1.790, abs=1e-3), 1.5]


def test_unit_in_a_row_of_its_own_below_the_headings(tmp_path: Path) -> None:
    text = "Part;Date;Mould;Temp;Film;Result\n;;;(°F);(mil);\nP1;13/03/2024;M1;66;20;ok\n"
    row = parts(read_text(tmp_path, text)).loc["P1"]
    assert row["air_c"] == pytest.approx(18.89, abs=0.01)
    assert row["gelcoat_wet_mm"] == pytest.approx(0.508)


def test_thousands_of_wrong_cells_are_told_in_one_line(tmp_path: Path) -> None:
    cells = ["60"] * 50 + [f"0.{n}" for n in range(10, 60)]
    rows = [f"P{n};13/03/2024;M1;{cell};ok" for n, cell in enumerate(cells)]
    text = "\n".join(["Part;Date;Mould;RH;Result", *rows]) + "\n"
    [told] = problems(read_text(tmp_path, text), "ask")
    assert "50 rows, the first in row 52" in told.found
