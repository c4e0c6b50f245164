"""Files looked at before they are kept, and cells typed anew before they are."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pandas as pd
import pytest

from analytics.errors import QuestionError
from analytics.records.mends import Mend
from analytics.shop import Shop
from analytics.shop.previewing import PreviewCell, PreviewRow, PreviewSheet

LOG = """Part no,Date,Mould,Air C,Pulls since wax,Zorble,Result
P-1,2024-03-01,M1,18,2,1,ok
P-2,2024-03-02,M1,warm,3,1,pinholes
P-3,31/31/2024,M2,19,4,1,ok
,,,,5,3,bad
P-5,2024-03-05,M2,20,6,1,pinholes
"""
MENDS = {
    "log.csv": [
        Mend("log", 3, 3, "17"),
        Mend("log", 4, 1, "2024-03-03"),
        Mend("log", 5, 0, "P-4"),
        Mend("log", 6, 3, "21"),
    ]
}


@pytest.fixture
def log(tmp_path: Path) -> Path:
    path = tmp_path / "log.csv"
    path.write_text(LOG, encoding="utf-8")
    return path


@pytest.fixture
def empty(open_shop: Callable[[], Shop]) -> Shop:
    return open_shop()


def sheet_of(shop: Shop, log: Path, mends: dict[str, list[Mend]] | None = None) -> PreviewSheet:
    [sheet] = shop.preview([log], mends).sheets
    return sheet


def cell(row: PreviewRow, heading: str) -> PreviewCell:
    return next(one for one in row.cells if one.heading == heading)


def test_cells_stand_next_to_what_was_read_of_them(empty: Shop, log: Path) -> None:
    first = sheet_of(empty, log).first[0]
    assert first.about == "part P-1"
    air = cell(first, "Air C")
    assert (air.typed, air.read, air.target) == ("18", "18 °C", "air_c")
    assert cell(first, "Zorble").target is None
    assert cell(first, "Zorble").read is None


def test_rows_with_something_to_look_at_come_first(empty: Shop, log: Path) -> None:
    rows = sheet_of(empty, log).to_mend
    assert [(row.row, row.about) for row in rows] == [
        (3, "part P-2"),
        (4, "part P-3"),
        (5, "no record"),
    ]
    assert [p.found for p in cell(rows[0], "Air C").problems] == ["warm"]
    assert cell(rows[0], "Air C").read is None
    assert rows[2].problems[0].kind == "unreadable row"


def test_preview_keeps_nothing(empty: Shop, log: Path) -> None:
    empty.preview([log], MENDS)
    assert empty.log().parts.empty
    assert empty.imports() == ()


def test_mended_cells_are_read_anew(empty: Shop, log: Path) -> None:
    rows = {row.row: row for row in sheet_of(empty, log, MENDS).to_mend}
    air = cell(rows[3], "Air C")
    assert (air.typed, air.mended, air.read, air.problems) == ("warm", "17", "17 °C", ())
    assert rows[5].about == "part P-4"
    assert cell(rows[4], "Date").read == "2024-03-03"


def test_kept_file_with_mends_tells_file_and_hand_apart(empty: Shop, log: Path) -> None:
    empty.keep_files([log], MENDS)
    parts = empty.log().parts.set_index("part_id")
    assert sorted(parts.index) == ["P-1", "P-2", "P-3", "P-4", "P-5"]
    assert parts["air_c"].to_dict() | {"P-4": 0.0} == {
        "P-1": 18.0, "P-2": 17.0, "P-3": 19.0, "P-4": 0.0, "P-5": 21.0,
    }  # fmt: skip
    assert [one.file.startswith("by hand") for one in empty.imports()] == [False, True]
    told = {(c.key, c.field): (c.old, c.new, c.old_raw) for c in empty.store.history("part")}
    assert told == {
        ("P-2", "air_c"): (None, "17.0", "warm"),
        ("P-3", "date"): (None, "2024-03-03", "31/31/2024"),
        ("P-5", "air_c"): ("20.0", "21.0", "20"),
    }


def test_mends_outlive_the_old_file_read_again(empty: Shop, log: Path) -> None:
    empty.keep_files([log], MENDS)
    before = empty.log().parts
    again = empty.import_files([log])
    assert again.saved is not None
    assert again.saved.total.changed == 0
    pd.testing.assert_frame_equal(empty.log().parts, before)


def test_mends_are_taken_back_before_their_file(empty: Shop, log: Path) -> None:
    empty.keep_files([log], MENDS)
    empty.undo_import(2)
    plain = empty.log().parts.set_index("part_id")
    assert pd.isna(plain.loc["P-2", "air_c"])
    assert plain.loc["P-5", "air_c"] == 20.0
    assert "P-4" not in plain.index
    empty.undo_import(1)
    assert empty.log().parts.empty


def test_cell_emptied_by_hand_is_unknown(empty: Shop, log: Path) -> None:
    empty.keep_files([log], {"log.csv": [Mend("log", 2, 3, "")]})
    assert pd.isna(empty.log().parts.set_index("part_id").loc["P-1", "air_c"])


def test_mends_of_faults_replace_them(empty: Shop, log: Path) -> None:
    empty.keep_files([log], {"log.csv": [Mend("log", 3, 6, "wrinkles")]})
    found = empty.log().defects
    assert dict(zip(found["part_id"], found["defect"], strict=True)) == {
        "P-2": "wrinkling",
        "P-5": "pinholes",
    }


def test_file_without_mends_is_kept_as_ever(open_shop: Callable[[], Shop], log: Path) -> None:
    one, other = open_shop(), open_shop()
    one.keep_files([log], {})
    other.import_files([log])
    pd.testing.assert_frame_equal(one.log().parts, other.log().parts)


def test_mend_outside_the_sheet_does_nothing(empty: Shop, log: Path) -> None:
    wild = {"log.csv": [Mend("log", 900, 2, "x"), Mend("log", 2, 90, "x"), Mend("x", 2, 2, "")]}
    assert sheet_of(empty, log, wild).first == sheet_of(empty, log).first


def test_two_files_of_one_name_are_refused(empty: Shop, log: Path, tmp_path: Path) -> None:
    (tmp_path / "b").mkdir()
    other = tmp_path / "b" / "log.csv"
    other.write_text(LOG)
    with pytest.raises(QuestionError, match="same name"):
        empty.preview([log, other])


# -- browsing --


def test_parts_are_found_by_mould_month_fault_and_words(shop: Shop) -> None:
    def numbers(text: str = "", **filters: str) -> list[str]:
        return [part.part_id for part in shop.browse(text, **filters)[0]]

    assert numbers() == ["P-010", "P-009", "P-008"]
    assert numbers(mould="M1") == ["P-009", "P-008"]
    assert numbers(fault="pinholes") == ["P-009"]
    assert numbers(month="2024-03", mould="M2") == ["P-010"]
    assert numbers(month="2024-02") == []
    assert numbers("AL") == ["P-010"]
    assert numbers("pinh", mould="M2") == []


def test_long_list_says_how_many_fit(shop: Shop) -> None:
    found, count = shop.browse(limit=2)
    assert (len(found), count) == (2, 3)


def test_filters_offer_what_there_is(shop: Shop) -> None:
    offered = shop.browse_choices()
    assert offered.moulds == ("M1", "M2")
    assert offered.months == ("2024-03",)
    assert [fault for fault, _ in offered.faults] == ["pinholes"]


def test_part_comes_with_its_mixes(shop: Shop) -> None:
    shop.write_down("part", {"part_id": "P-010", "gelcoat_batch_id": "G12"})
    records = shop.part_records("P-010")
    assert [(one.record, one.key) for one in records] == [("part", "P-010"), ("batch", "G12")]


def test_unknown_part_is_a_sentence(shop: Shop) -> None:
    with pytest.raises(QuestionError, match="Look it up"):
        shop.part_records("P-999")
