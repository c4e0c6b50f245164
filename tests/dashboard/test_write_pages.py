"""Writing down and putting right on the pages, with a real shop behind them."""

from __future__ import annotations

import json
import shutil
from base64 import b64encode
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from dash import no_update

from analytics.errors import QuestionError, StoreError
from analytics.shop import Shop
from dashboard import dropping
from dashboard.app import create_app
from dashboard.pages import records, write
from dashboard.uploads import Waiting
from tests.dashboard.conftest import a_shop
from tests.dashboard.fake_shop import clock
from tests.dashboard.looking import every, ids, links, of_class, words
from tests.dashboard.small_log import HOSTILE_NOTE, HOSTILE_PART, STUCK

BAD = """Part no,Date,Mould,Air C,Result
P-201,2024-03-01,M1,18,ok
P-202,2024-03-02,M1,warm,<img src=x onerror=alert(1)>
,,,5,bad
"""
FIGURES = {"air_c", "pulls_since_renewal", "gelcoat_wet_mm"}


@pytest.fixture(scope="module")
def kept_log(tmp_path_factory: pytest.TempPathFactory, log_file: Path) -> Path:
    """A store with the small log in it, closed, to be copied."""
    folder = tmp_path_factory.mktemp("kept")
    with a_shop(folder, log_file):
        pass
    return folder / "shop.laylog"


@pytest.fixture
def shop(tmp_path: Path, kept_log: Path) -> Iterator[Shop]:
    shutil.copy(kept_log, tmp_path / "shop.laylog")
    with a_shop(tmp_path) as made:
        yield made


def dropped(text: str) -> str:
    return "data:text/csv;base64," + b64encode(text.encode()).decode()


def boxes(page: Any) -> dict[str, Any]:
    """The boxes of a form by field."""
    return {
        one.id["field"]: one
        for one in every(page)
        if isinstance(getattr(one, "id", None), dict) and one.id.get("type") == "word"
    }


def kinds(page: Any) -> set[str]:
    return {type(one).__name__ for one in every(page) if not isinstance(one, str)}


# -- writing down --


def test_four_things_can_be_written_down(shop: Shop) -> None:
    shown = write.form(shop, {})
    assert list(links(shown).values()) == [
        "/write?what=job",
        "/write?what=mix",
        "/catalyst?show=cup",
        "/write?what=fault",
    ]


def test_job_asks_a_dozen_things_first(shop: Shop) -> None:
    shown = write.form(shop, {"what": "job"})
    first, more = of_class(shown, "write")
    assert len(boxes(first)) == 12
    assert len(boxes(more)) > 30
    assert not set(boxes(first)) & set(boxes(more))


def test_every_field_of_a_part_and_a_mix_can_be_written(shop: Shop) -> None:
    from analytics.records.fields import dictionary

    asked = set(boxes(write.form(shop, {"what": "job"})))
    assert {field.id for field in dictionary().of("part")} <= asked
    asked = set(boxes(write.form(shop, {"what": "mix"})))
    worked_out = {"catalyst_basis", "lot_age_months"}
    assert {field.id for field in dictionary().of("batch")} - worked_out <= asked


def test_figures_bring_up_the_number_keys(shop: Shop) -> None:
    asked = boxes(write.form(shop, {"what": "job"}))
    assert {asked[name].inputMode for name in FIGURES} == {"decimal"}
    assert asked["date"].inputMode == "numeric"


def test_known_moulds_can_be_picked(shop: Shop) -> None:
    shown = write.form(shop, {"what": "job"})
    mould = boxes(shown)["mould_id"]
    [listed] = [one for one in every(shown) if getattr(one, "id", None) == mould.list]
    assert {option.value for option in listed.children} == {"M02", "M07"}


def test_job_says_what_was_understood_and_offers_a_way_back(shop: Shop) -> None:
    shown = write.write(shop, "job", {"part_id": "P-300", "air_c": "64F", "wax_coats": "lots"})
    told = words(shown)
    assert "Written down: P-300 The job is kept. Read: Shop air 64F as 17.778 °C." in told
    assert "Wax coats: “lots”, expected Wax coats, 0 to 15" in told
    [button] = [one for one in every(shown) if type(one).__name__ == "Button"]
    records.undo(shop, button.id)
    assert "P-300" not in set(shop.log().parts["part_id"])


def test_job_of_a_known_number_is_refused(shop: Shop) -> None:
    with pytest.raises(StoreError, match="P-071 already"):
        write.write(shop, "job", {"part_id": STUCK, "air_c": "3"})


def test_fault_form_begins_with_the_part_it_came_from(shop: Shop) -> None:
    asked = boxes(write.form(shop, {"what": "fault", "fault": "pinholes", "part": "P-010"}))
    assert (asked["part_id"].value, asked["defect"].value) == ("P-010", "pinholes")


def test_fault_is_written_with_its_part(shop: Shop) -> None:
    write.write(shop, "fault", {"part_id": "P-002", "defect": "blisters", "severity": "severe"})
    faults = shop.log().defects.set_index("part_id")
    assert faults.loc["P-002", "defect"] == "blisters"
    assert faults.loc["P-002", "severity"] == "severe"


def test_strange_words_in_the_address_lead_to_a_form(shop: Shop) -> None:
    shown = write.form(shop, {"what": "mix", "material": "<b>"})
    assert boxes(shown)["material"].value == "gelcoat"
    assert "What do you see?" in words(write.form(shop, {"what": "fault", "fault": "<b>"}))


def test_hostile_words_in_a_form_stay_words(shop: Shop) -> None:
    for page in ({"what": "job"}, {"what": "mix"}, {"what": "fault", "fault": "pinholes"}):
        shown = write.form(shop, page)
        assert not kinds(shown) & {"Markdown", "DangerouslySetInnerHTML", "Iframe", "Script"}
    told = write.write(shop, "job", {"part_id": "<b>P</b>", "notes": HOSTILE_NOTE})
    assert HOSTILE_NOTE in words(told)


# -- a part, and putting it right --


def test_part_shows_every_field_with_unit_cell_and_origin(shop: Shop) -> None:
    shown = words(records.log_answer(shop, {"part": STUCK}))
    for told in ("From small-log.csv", "Shop air", "°C", "Gel-coat mix P-071/gelcoat", "Zorble"):
        assert told in shown


def fixing(shop: Shop, fix: str) -> Any:
    return of_class(records.log_answer(shop, {"part": STUCK, "fix": fix}), "fix")[0]


def test_field_can_be_put_right_where_it_is_shown(shop: Shop) -> None:
    box = fixing(shop, f"{STUCK}|air_c")
    [where] = [i for i in ids(box) if i["type"] == "correct"]
    [was] = [one.data for one in every(box) if type(one).__name__ == "Store"]
    said = records.correct(shop, where, "64F", was)
    assert "Shop air of P-071 is now: 17.8 °C" in said
    shown = words(records.log_answer(shop, {"part": STUCK}))
    assert "(typed “16”), until" in shown
    assert "by hand" in shown
    with pytest.raises(StoreError, match="look again"):
        records.correct(shop, where, "12", was)


def test_words_with_a_capital_t_are_shown_and_offered_as_they_are(shop: Shop) -> None:
    where = {"record": "part", "key": STUCK, "field": "operator"}
    records.correct(shop, where, "Tully", json.dumps({"was": None, "units": "metric"}))
    assert "Tully" in words(records.log_answer(shop, {"part": STUCK}))
    box = fixing(shop, f"{STUCK}|operator")
    assert [one.value for one in every(box) if type(one).__name__ == "Input"] == ["Tully"]


def test_mix_of_a_part_can_be_put_right(shop: Shop) -> None:
    box = fixing(shop, f"{STUCK}/gelcoat|catalyst_pct")
    [where] = [i for i in ids(box) if i["type"] == "correct"]
    records.correct(shop, where, "2.1", json.dumps({"was": "1.8", "units": "metric"}))
    mixes = shop.log().batches.set_index("batch_id")
    assert mixes.loc[f"{STUCK}/gelcoat", "catalyst_pct"] == 2.1


def test_choice_is_put_right_by_picking(shop: Shop) -> None:
    box = fixing(shop, f"{STUCK}|outcome")
    [pick] = [one for one in every(box) if type(one).__name__ == "RadioItems"]
    assert [option["value"] for option in pick.options] == ["good", "faulty", "rework", "scrap", ""]


def test_nothing_opens_for_a_field_that_is_not_there(shop: Shop) -> None:
    for fix in ("nonsense", f"{STUCK}|nonsense", "|", f"{STUCK}|part_id"):
        assert not of_class(records.log_answer(shop, {"part": STUCK, "fix": fix}), "fix")


def test_unknown_part_is_a_sentence(shop: Shop) -> None:
    with pytest.raises(QuestionError, match="Look it up"):
        records.log_answer(shop, {"part": "P-999"})


def test_hostile_part_is_only_text(shop: Shop) -> None:
    shown = records.log_answer(shop, {"part": HOSTILE_PART, "fix": f"{HOSTILE_PART}|notes"})
    assert HOSTILE_NOTE in words(shown)
    assert not kinds(shown) & {"Markdown", "DangerouslySetInnerHTML", "Iframe", "Script"}
    assert all(href.startswith("/") and "<" not in href for href in links(shown).values())


def test_filters_are_held_by_the_address(shop: Shop) -> None:
    assert records.filtered(["M07", None, "pinholes"], "?month=2024-01") == (
        "?mould=M07&fault=pinholes"
    )
    assert records.filtered(["M07", None, None], "?mould=M07") is no_update
    shown = words(records.parts_table(shop, "", {"mould": "M07", "month": "2024-03"}))
    assert "13 parts" in shown


# -- a dropped file --


def test_cell_that_was_not_read_can_be_typed_anew(shop: Shop) -> None:
    waiting = Waiting()
    name = waiting.put([dropped(BAD)], ["bad.csv"])
    shown = dropping.look(shop, waiting, name)
    cells = [i for i in ids(shown) if isinstance(i, dict) and i["type"] == "mend"]
    texts = [one.value for one in every(shown) if getattr(one, "id", None) in cells]
    at = next(n for n, cell in enumerate(cells) if (cell["row"], cell["column"]) == (3, 3))
    assert texts[at] == "warm"
    texts[at] = "17"
    dropping.mend(waiting, name, cells, texts)
    again = words(dropping.look(shop, waiting, name))
    assert "in the file warm → 17 °C" in again
    dropping.keep(shop, waiting, name)
    parts = shop.log().parts.set_index("part_id")
    assert parts.loc["P-202", "air_c"] == 17.0
    assert shop.store.history("part", "P-202")[0].old_raw == "warm"


def test_boxes_left_alone_mend_nothing(shop: Shop) -> None:
    waiting = Waiting()
    name = waiting.put([dropped(BAD)], ["bad.csv"])
    shown = dropping.look(shop, waiting, name)
    cells = [i for i in ids(shown) if isinstance(i, dict) and i["type"] == "mend"]
    texts = [one.value for one in every(shown) if getattr(one, "id", None) in cells]
    dropping.mend(waiting, name, cells, texts)
    with waiting.held(name) as upload:
        assert upload.mends == {}


def test_every_problem_with_a_cell_leads_to_it(shop: Shop) -> None:
    waiting = Waiting()
    shown = dropping.look(shop, waiting, waiting.put([dropped(BAD)], ["bad.csv"]))
    targets = [href[1:] for href in links(shown).values() if href.startswith("#")]
    assert targets
    assert set(targets) <= {i for i in ids(shown) if isinstance(i, str)}


def test_kept_file_waits_no_longer(shop: Shop) -> None:
    waiting = Waiting()
    name = waiting.put([dropped(BAD)], ["bad.csv"])
    with waiting.held(name) as upload:
        [path] = upload.paths
    dropping.keep(shop, waiting, name)
    assert not path.exists()


# -- taking the log along --


@pytest.fixture
def client(shop: Shop) -> Any:
    return create_app(shop, clock=clock).server.test_client()


@pytest.mark.parametrize(
    ("file", "begin"),
    [("parts.csv", b"part_id,"), ("all.xlsx", b"PK"), ("mixes.parquet", b"PAR1")],
)
def test_export_is_a_file_to_save(client: Any, file: str, begin: bytes) -> None:
    answer = client.get(f"/export/{file}", headers={"Host": "127.0.0.1"})
    assert answer.status_code == 200
    assert answer.data.startswith(begin)
    assert answer.headers["Content-Disposition"] == f'attachment; filename="laylog-{file}"'
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize("file", ["all.csv", "parts.exe", "nothing.csv", "..%2Fparts.csv"])
def test_export_of_nothing_is_not_found(client: Any, file: str) -> None:
    answer = client.get(f"/export/{file}", headers={"Host": "127.0.0.1"})
    assert "Content-Disposition" not in answer.headers


def test_exported_formulas_are_disarmed(client: Any) -> None:
    text = client.get("/export/parts.csv", headers={"Host": "127.0.0.1"}).data.decode()
    assert "'=cmd|" in text
    assert ",=cmd|" not in text
    assert ',"=cmd|' not in text
