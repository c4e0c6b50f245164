"""Records written by hand are read like a file's, kept whole, told back and taken back."""

from __future__ import annotations

import json
from datetime import datetime
from typing import Any

import pandas as pd
import pytest

from analytics.errors import QuestionError, StoreError
from analytics.shop import Shop

HOSTILE = "<script>x</script>'; DROP TABLE part; --=1+1"


def part(shop: Shop, key: str) -> Any:
    return shop.log().parts.set_index("part_id").loc[key]


def test_job_is_read_like_a_row_of_a_file(shop: Shop) -> None:
    kept = shop.write_down(
        "part",
        {"part_id": "P-011", "date": "2024-04-01", "mould_id": "M2", "air_c": "64F",
         "outcome": "binned", "wax_coats": "4", "pva_used": "y"},
    )  # fmt: skip
    row = part(shop, "P-011")
    assert row["air_c"] == pytest.approx(17.78, abs=0.01)  # 64 F is 17.78 C
    assert (row["outcome"], row["wax_coats"], row["pva_used"]) == ("scrap", 4.0, True)
    assert row["looked"]
    assert json.loads(row["raw"])["air_c"] == "64F"
    assert row["file"].startswith("by hand, 2024-04-01 09:30:00")
    assert ("air_c", "64F", "17.778 °C") in kept.understood
    assert kept.saved is not None
    assert kept.saved.total.new == 1


def test_bare_figure_is_in_the_unit_the_form_shows(shop: Shop) -> None:
    shop.write_down("part", {"part_id": "P-011", "backup_hours": "3", "humidity_pct": "60"})
    row = part(shop, "P-011")
    assert (row["backup_hours"], row["humidity_pct"]) == (3.0, 60.0)


def test_cell_not_understood_is_told_and_stays_unknown(shop: Shop) -> None:
    kept = shop.write_down("part", {"part_id": "P-011", "air_c": "warm", "wax_coats": "900"})
    told = {(p.column, p.found) for p in kept.files[0].problems}
    assert told == {("air_c", "warm"), ("wax_coats", "900")}
    assert all(p.expected and p.action for p in kept.files[0].problems)
    assert pd.isna(part(shop, "P-011")["air_c"])
    assert ("air_c", "warm", None) in kept.understood


def test_every_writing_has_an_origin_of_its_own(shop: Shop) -> None:
    for number in ("P-011", "P-012"):
        shop.write_down("part", {"part_id": number})
    assert part(shop, "P-011")["file"] != part(shop, "P-012")["file"]


def test_part_without_a_number_gets_one_nobody_has(shop: Shop) -> None:
    for _ in range(2):
        shop.write_down("part", {"date": "2024-04-01", "mould_id": "m 2"})
    made = shop.log().parts["part_id"].tolist()[-2:]
    assert made == ["2024-04-01 M2 #1", "2024-04-01 M2 #2"]


def test_number_typed_another_way_is_the_one_known(shop: Shop) -> None:
    kept = shop.write_down("part", {"part_id": "p 009", "humidity_pct": "60"})
    assert part(shop, "P-009")["humidity_pct"] == 60.0
    assert part(shop, "P-009")["outcome"] == "rework"
    assert 'taken as "P-009"' in kept.files[0].problems[0].action


def test_known_part_is_filled_in_with_history(shop: Shop) -> None:
    shop.write_down("part", {"part_id": "P-009", "air_c": "21"})
    [change] = shop.store.history("part", "P-009")
    assert (change.field, change.old, change.new, change.old_raw) == ("air_c", "19.0", "21.0", "19")


def test_new_part_of_a_known_number_is_refused(shop: Shop) -> None:
    with pytest.raises(StoreError, match="P-009 already"):
        shop.write_down("part", {"part_id": "P-009", "air_c": "21"}, new=True)
    assert part(shop, "P-009")["air_c"] == 19.0


def test_mix_for_a_part_is_pointed_at_by_it(shop: Shop) -> None:
    cells = {"date": "2024-03-04", "material": "resin", "part_id": "p-010", "catalyst_pct": "1.2"}
    shop.write_down("batch", cells)
    assert part(shop, "P-010")["resin_batch_id"] == "P-010/resin"
    mix = shop.log().batches.set_index("batch_id").loc["P-010/resin"]
    assert (mix["material"], mix["catalyst_pct"]) == ("resin", 1.2)


def test_second_mix_leaves_the_part_with_its_first(shop: Shop) -> None:
    for dose in ("1.2", "1.4"):
        cells = {"date": "2024-03-04", "material": "resin", "part_id": "P-010"}
        shop.write_down("batch", {**cells, "catalyst_pct": dose})
    assert part(shop, "P-010")["resin_batch_id"] == "P-010/resin"
    assert shop.log().batches["catalyst_pct"].tolist()[-2:] == [1.2, 1.4]


def test_mix_for_a_part_nobody_knows_is_refused(shop: Shop) -> None:
    with pytest.raises(QuestionError, match='no part is called "X-1"'):
        shop.write_down("batch", {"date": "2024-03-04", "part_id": "X-1"})


def test_mixes_known_to_the_log_are_not_missed(shop: Shop) -> None:
    kept = shop.write_down("part", {"part_id": "P-011", "gelcoat_batch_id": "G12"})
    assert kept.files[0].problems == ()
    lost = shop.write_down("part", {"part_id": "P-012", "gelcoat_batch_id": "G99"})
    assert [p.kind for p in lost.files[0].problems] == ["missing mix"]


@pytest.mark.parametrize(
    ("kind", "cells", "table"),
    [
        ("lot", {"lot": "GL-9", "material": "gelcoat", "expires": "2024-09-30"}, "lots"),
        ("mould", {"mould_id": "M3", "deep": "yes", "area_m2": "2.4"}, "moulds"),
        ("logger", {"timestamp": "2024-04-01 08:15", "air_c": "14,5"}, "logger"),
    ],
)
def test_every_kind_of_record_can_be_written(
    shop: Shop, kind: str, cells: dict[str, str], table: str
) -> None:
    before = len(getattr(shop.log(), table))
    assert shop.write_down(kind, cells).files[0].problems == ()
    assert len(getattr(shop.log(), table)) == before + 1


@pytest.mark.parametrize(
    ("kind", "cells", "said"),
    [
        ("part", {"air_c": "18"}, "a part number, or a day and a mould"),
        ("part", {"part_id": " ? "}, "a part number"),
        ("batch", {"gel_min": "18"}, "a mix number, or a day"),
        ("part", {"part_id": "P-1", "colour of sky": "x"}, 'no field called "colour of sky"'),
        ("boat", {"part_id": "P-1"}, "cannot be written down"),
    ],
)
def test_nothing_is_kept_of_what_cannot_be_a_record(
    shop: Shop, kind: str, cells: dict[str, str], said: str
) -> None:
    with pytest.raises(QuestionError, match=said):
        shop.write_down(kind, cells)
    assert len(shop.imports()) == 2


def test_writing_is_taken_back(shop: Shop) -> None:
    before = shop.log().parts
    kept = shop.write_down("part", {"part_id": "P-009", "air_c": "21", "notes": "x"})
    assert kept.saved is not None
    shop.undo_import(kept.saved.files[0].import_id)
    pd.testing.assert_frame_equal(shop.log().parts, before)


def test_hostile_words_are_only_words(shop: Shop) -> None:
    shop.write_down("part", {"part_id": HOSTILE, "notes": HOSTILE, "mould_id": HOSTILE})
    row = part(shop, HOSTILE)
    assert (row["notes"], row["mould_id"]) == (HOSTILE, HOSTILE)
    assert len(shop.log().parts) == 4
    assert shop.store.check() == ()


# -- faults --


def test_fault_is_added_to_those_there_are(shop: Shop) -> None:
    shop.write_fault("P-009", "print-through", "slight", "left corner", "can see the weave")
    found = shop.log().defects
    assert found["defect"].tolist() == ["pinholes", "print-through"]
    assert tuple(found.iloc[1][["severity", "place", "words"]]) == (
        "slight", "left corner", "can see the weave",
    )  # fmt: skip
    assert part(shop, "P-009")["outcome"] == "rework"
    assert part(shop, "P-009")["defects"] == "pinholes; can see the weave"


def test_fault_on_a_good_part_makes_it_faulty(shop: Shop) -> None:
    shop.write_fault("p-010", "pinholes")
    assert part(shop, "P-010")["outcome"] == "faulty"


def test_fault_can_be_said_in_words_alone(shop: Shop) -> None:
    shop.write_fault("P-010", "", words="bad pin holes on the flange")
    [fault] = shop.log().defects[lambda d: d["part_id"] == "P-010"].to_dict("records")
    assert (fault["defect"], fault["severity"], fault["place"]) == ("pinholes", "severe", "flange")


def test_same_fault_again_is_one_fault(shop: Shop) -> None:
    shop.write_fault("P-009", "pinholes", "severe")
    [fault] = shop.log().defects.to_dict("records")
    assert fault["severity"] == "severe"


def test_fault_outlives_the_file_read_again(shop: Shop, jobs_file: Any) -> None:
    shop.write_fault("P-009", "print-through")
    kept = shop.import_files([jobs_file])
    assert kept.saved is not None
    assert kept.saved.total.changed == 0
    assert len(shop.log().defects) == 2


@pytest.mark.parametrize(
    ("part_id", "defect", "words"), [("X", "pinholes", ""), ("P-009", "gremlins", ""),
                                     ("P-009", "", " ")]
)  # fmt: skip
def test_fault_nobody_can_place_is_refused(
    shop: Shop, part_id: str, defect: str, words: str
) -> None:
    with pytest.raises(QuestionError):
        shop.write_fault(part_id, defect, words=words)


# -- corrections --


def value(shop: Shop, field: str, key: str = "P-009", record: str = "part") -> str | None:
    found = shop.store.current(record, key)
    assert found is not None
    return found.texts[field]


def test_correction_is_read_by_the_fields_own_reader(shop: Shop) -> None:
    put = shop.correct("part", "P-009", "air_c", "70 °F", "19.0")
    assert float(put.new or "nan") == pytest.approx(21.11, abs=0.01)  # NIST SP 811: 70 F = 21.11 C
    dose = shop.correct("batch", "G12", "catalyst_pct", "20 g/kg", "1.7")
    assert dose.new == "2.0"
    assert value(shop, "catalyst_basis", "G12", "batch") == "g/kg"


def test_correction_that_cannot_be_read_changes_nothing(shop: Shop) -> None:
    with pytest.raises(QuestionError, match=r'"warm" could not be read\. Expected: Shop air'):
        shop.correct("part", "P-009", "air_c", "warm", "19.0")
    assert value(shop, "air_c") == "19.0"
    assert len(shop.imports()) == 2


def test_emptied_field_is_unknown_and_can_be_put_back(shop: Shop) -> None:
    put = shop.correct("part", "P-009", "air_c", " ", "19.0")
    assert value(shop, "air_c") is None
    assert put.import_id is not None
    shop.undo_import(put.import_id)
    assert value(shop, "air_c") == "19.0"


def test_two_people_do_not_overwrite_each_other(shop: Shop) -> None:
    was = value(shop, "air_c")
    shop.correct("part", "P-009", "air_c", "20", was)
    with pytest.raises(StoreError, match="look again"):
        shop.correct("part", "P-009", "air_c", "22", was)
    assert value(shop, "air_c") == "20.0"


def test_faults_corrected_replace_the_faults(shop: Shop) -> None:
    shop.correct("part", "P-009", "defects", "slight wrinkles in the corner", "pinholes")
    [fault] = shop.log().defects.to_dict("records")
    assert (fault["defect"], fault["place"]) == ("wrinkling", "corner")
    shop.correct("part", "P-009", "defects", "no faults", "slight wrinkles in the corner")
    assert shop.log().defects.empty


def test_number_of_a_record_is_not_corrected(shop: Shop) -> None:
    with pytest.raises(QuestionError, match="cannot be changed"):
        shop.correct("part", "P-009", "part_id", "P-900", "P-009")


def test_corrected_value_shows_its_past(shop: Shop) -> None:
    shop.correct("part", "P-009", "air_c", "20", "19.0")
    [air] = [f for f in shop.one_record("part", "P-009").fields if f.field == "air_c"]
    [past] = air.past
    assert (air.value, air.typed, past.old, past.typed) == ("20.0", "20", "19.0", "19")
    assert (past.by, past.at) == ("by hand", datetime(2024, 4, 1, 9, 30))


# -- beginnings --


def test_job_begins_where_the_last_one_was(shop: Shop) -> None:
    begin = shop.begin("part")
    assert begin.values["part_id"] == "P-011"
    assert (begin.values["mould_id"], begin.values["operator"]) == ("M2", "Al")
    assert (begin.values["date"], begin.values["start_time"]) == ("2024-04-01", "09:30")
    assert begin.known["gelcoat_batch_id"] == ("G12", "G11")


def test_mix_begins_with_the_last_lot_of_its_material(shop: Shop) -> None:
    assert shop.begin("batch", "gelcoat").values["lot"] == "GL-8"
    assert shop.begin("batch", "resin").values["lot"] == "RL-3"
    assert shop.begin("batch", "gelcoat").values["batch_id"] == "G13"
    assert shop.begin("batch", "resin").values["batch_id"] == "R12"


def test_suggested_number_is_never_one_in_use(shop: Shop) -> None:
    shop.write_down("part", {"part_id": "P-011"})
    shop.write_down("part", {"part_id": "P-010 again"})
    assert shop.begin("part").values["part_id"] == "P-012"


def test_cup_test_does_not_set_the_next_mix_number(shop: Shop) -> None:
    shop.write_down("batch", {"batch_id": "CUP-77", "date": "2024-04-01", "material": "gelcoat",
                              "gel_where": "cup", "lot": "GL-9"})  # fmt: skip
    begin = shop.begin("batch", "gelcoat")
    assert (begin.values["batch_id"], begin.values["lot"]) == ("G13", "GL-8")


def test_pot_timed_in_a_cup_keeps_its_number(shop: Shop) -> None:
    shop.write_down("batch", {"batch_id": "G13", "date": "2024-04-01", "material": "gelcoat",
                              "gel_where": "cup"})  # fmt: skip
    assert shop.begin("batch", "gelcoat").values["batch_id"] == "G14"


def test_empty_log_begins_with_today(open_shop: Any) -> None:
    begin = open_shop().begin("part")
    assert begin.values == {"date": "2024-04-01", "start_time": "09:30"}
