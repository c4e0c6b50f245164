"""Metric or US on the screen: every page follows the choice, boxes read it, links stay metric."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import plotly.graph_objects as go
import pytest
from plotly.utils import PlotlyJSONEncoder

from analytics.saying import in_metric
from analytics.shop import Shop
from dashboard.app import create_app
from dashboard.components.writing_form import with_units
from dashboard.pages import catalyst, cause, home, month, plan, records, settle, write
from dashboard.units import props_said
from dashboard.units_in_charts import chart_said
from tests.dashboard.conftest import a_shop
from tests.dashboard.fake_shop import clock
from tests.dashboard.looking import every, of_class, words
from tests.dashboard.small_log import STUCK

METRIC = re.compile(
    r"(?<!\(kg, )°C|\d (?:degrees C|kg|mm|cm|m2|m²|g/m2)(?![\w/])"
    r"|\d (?:g|ml)(?![\w/])(?! / [\d.]+ (?:fl )?oz)"
)
PAGES: tuple[tuple[str, Callable[[Shop, dict[str, str]], Any], dict[str, str]], ...] = (
    ("home", home.latest, {}),
    ("cause", cause.answer, {"part": STUCK}),
    ("month", month.answer, {"month": "2024-02"}),
    ("dose", catalyst.answer, {"t": "18"}),
    ("too cold", catalyst.answer, {"t": "12"}),
    ("year", catalyst.answer, {"show": "year"}),
    ("cup", catalyst.answer, {"show": "cup"}),
    ("plan", plan.answer, {"t": "20", "area": "1.9", "rh": "90", "plies": "600 WR + 2x450"}),
    ("no plan", plan.answer, {"t": "11", "area": "1.9"}),
    ("settle", settle.answer, {}),
    ("part", records.log_answer, {"part": STUCK}),
    ("log", lambda shop, _query: records.found_parts(*shop.browse("", limit=30)), {}),
    ("job", write.form, {"what": "job"}),
    ("mix", write.form, {"what": "mix"}),
)


@pytest.fixture
def shop(tmp_path: Path, log_file: Path) -> Iterator[Shop]:
    with a_shop(tmp_path, log_file) as shop:
        shop.set_units("us")
        yield shop


def sent(page: Any) -> dict[str, Any]:
    """A page as the browser gets it in a US shop."""
    drawn: dict[str, Any] = json.loads(json.dumps(page, cls=PlotlyJSONEncoder))
    return {**drawn, "props": props_said(drawn["props"], "us")}


def shown(piece: Any, typed: bool = False) -> Iterator[str]:
    """Every text on a page but what somebody typed, and what is in its address and ids."""
    if isinstance(piece, str):
        yield piece
    elif isinstance(piece, list):
        for one in piece:
            yield from shown(one)
    elif isinstance(piece, dict) and "as-typed" not in str(piece.get("className", "")):
        for name, value in piece.items():
            if name not in ("id", "href", "value", "data") or isinstance(value, dict):
                yield from shown(value)


@pytest.mark.parametrize(("page", "answer", "query"), PAGES)
def test_no_metric_figure_is_left_on_a_page_in_us_units(
    shop: Shop, page: str, answer: Callable[[Shop, Any], Any], query: dict[str, str]
) -> None:
    texts = list(shown(sent(answer(shop, query))))
    assert len(texts) > 5, page
    assert [text for text in texts if METRIC.search(text)] == []


def test_answers_leave_the_app_in_the_shops_units(shop: Shop) -> None:
    client = create_app(shop, clock=clock).server.test_client()
    assert "It is 54 °F: below 59 °F" in asked(client, "?t=12")
    shop.set_units("metric")
    assert "It is 12 °C: below 15 °C" in asked(client, "?t=12")


def asked(client: Any, search: str) -> str:
    output = "catalyst-answer.children"
    request = {
        "output": output,
        "outputs": {"id": "catalyst-answer", "property": "children"},
        "inputs": [
            {"id": "address", "property": "search", "value": search},
            {"id": "written", "property": "data", "value": None},
        ],
        "state": [{"id": "address", "property": "pathname", "value": catalyst.PATH}],
        "changedPropIds": ["address.search"],
    }
    told = client.post(
        "/_dash-update-component", json=request, headers={"Host": "127.0.0.1"}
    ).get_data(as_text=True)
    return json.dumps(json.loads(told), ensure_ascii=False)


def boxes(drawn: Any) -> dict[str, tuple[dict[str, str], Any]]:
    inputs = [one for one in every(drawn) if type(one).__name__ == "Input"]
    return {one.id["name"]: (one.id, one.value) for one in inputs}


def test_boxes_ask_in_us_units_while_the_address_stays_metric() -> None:
    drawn = catalyst.form({"t": "18", "pot": "1.5"}, "us")
    assert "How warm is it? (°F)" in words(drawn).replace("  ", " ")
    found = boxes(drawn)
    assert (found["t"][1], found["units"][1]) == ("64.4", "us")
    ids, values = zip(*found.values(), strict=True)
    assert catalyst.to_address(values, ids, "?t=18&pot=1.5") is catalyst.no_update
    typed = ["68" if id_["name"] == "t" else value for id_, value in found.values()]
    assert catalyst.to_address(typed, ids, "?t=18&pot=1.5") == "?t=20&pot=1.5"


def test_form_drawn_before_the_shop_changed_its_units_is_read_as_its_labels_say() -> None:
    found = boxes(catalyst.form({"t": "18"}, "metric"))
    ids, values = zip(*found.values(), strict=True)
    typed = ["20" if id_["name"] == "t" else value for id_, value in found.values()]
    assert catalyst.to_address(typed, ids, "?t=18") == "?t=20"
    assert catalyst.keep_form("?t=18", values, ids, "us") is not catalyst.no_update


def test_plan_keeps_area_and_warmth_metric_in_its_address(shop: Shop) -> None:
    found = boxes(plan.keep_form(shop, "?area=1.9&t=20", [], []))
    assert found["t"][1] == "68"
    ids = [id_ for id_, _ in found.values()]
    values = [value for _, value in found.values()]
    assert plan.to_address(values, ids, "?area=1.9&t=20") is plan.no_update


def test_bare_figures_written_down_get_the_us_unit() -> None:
    cells = with_units("job", {"units": "us", "air_c": "64", "gelcoat_wet_mm": "20", "notes": "5"})
    assert cells == {"air_c": "64 °F", "gelcoat_wet_mm": "20 mil", "notes": "5"}
    assert with_units("job", {"units": "metric", "air_c": "18"}) == {"air_c": "18"}


def test_job_written_in_us_units_is_kept_in_metric(shop: Shop) -> None:
    typed = {"units": "us", "part_id": "US-1", "date": "2024-03-20", "air_c": "68",
             "gelcoat_wet_mm": "20"}  # fmt: skip
    write.write(shop, "job", typed)
    made = shop.log().parts.set_index("part_id").loc["US-1"]
    assert made["air_c"] == pytest.approx(20.0)
    assert made["gelcoat_wet_mm"] == pytest.approx(0.508)


def test_value_is_put_right_in_the_units_its_box_shows(shop: Shop) -> None:
    where = {"record": "part", "key": STUCK, "field": "air_c"}

    def box() -> tuple[str, str]:
        drawn = records.log_answer(shop, {"part": STUCK, "fix": f"{STUCK}|air_c"})
        [fix] = of_class(drawn, "fix")
        [value] = [one.value for one in every(fix) if type(one).__name__ == "Input"]
        [was] = [one.data for one in every(fix) if type(one).__name__ == "Store"]
        assert "Shop air (°F)" in words(fix)
        return value, was

    value, was = box()
    assert value == "60.8"  # 16 °C
    assert "nothing was changed" in records.correct(shop, where, value, was)
    records.correct(shop, where, "68", was)
    assert box()[0] == "68"
    made = shop.log().parts.set_index("part_id").loc[STUCK]
    assert made["air_c"] == pytest.approx(20.0)
    told = " ".join(shown(sent(records.log_answer(shop, {"part": STUCK}))))
    assert "61 °F (typed “16”), until" in told


def test_box_drawn_before_the_shop_changed_its_units_is_corrected_as_its_label_says(
    shop: Shop,
) -> None:
    where = {"record": "part", "key": STUCK, "field": "air_c"}
    records.correct(shop, where, "20", json.dumps({"was": "16.0", "units": "metric"}))
    made = shop.log().parts.set_index("part_id").loc[STUCK]
    assert made["air_c"] == pytest.approx(20.0)


def test_what_somebody_typed_is_shown_as_typed() -> None:
    code = {"props": {"children": "18 °C"}, "type": "Code", "namespace": "dash_html_components"}
    props = {"children": [code, {"props": {"children": "18 °C"}, "type": "Span"}]}
    first, second = props_said(props, "us")["children"]
    assert first["props"]["children"] == "18 °C"
    assert second["props"]["children"] == "64 °F"
    assert props_said({"children": "18 °C", "className": "a as-typed"}, "us")["children"] == "18 °C"


def test_axis_of_temperatures_is_turned_with_everything_on_it() -> None:
    figure = go.Figure(layout={"yaxis": {"title": {"text": "air, °C"}, "range": [0, 30]}})
    figure.add_bar(x=[1], y=[5.0], base=[10.0], customdata=["air 10 to 15 °C"])
    figure.add_scatter(x=[1], y=[20.0], error_y={"array": [5.0]}, hovertemplate="%{y:.0f} °C")
    figure.add_hline(y=15.0)
    bar, dot = (told := chart_said(json.loads(figure.to_json()), "us"))["data"]
    layout = told["layout"]
    assert (layout["yaxis"]["title"]["text"], layout["yaxis"]["range"]) == ("air, °F", [32, 86])
    # a bar is drawn by its length, which is stretched; its foot and the dot are shifted as well
    assert (bar["base"], bar["y"], bar["customdata"]) == ([50], [9], ["air 50 to 59 °F"])
    assert (dot["y"], dot["error_y"]["array"], dot["hovertemplate"]) == ([68], [9], "%{y:.0f} °F")
    assert (layout["shapes"][0]["y0"], bar["x"]) == (59, [1])


def test_axis_of_differences_is_stretched_only() -> None:
    figure = go.Figure(layout={"yaxis": {"title": {"text": "degrees C"}}})
    figure.add_scatter(x=[1], y=[3.0])
    told = chart_said(json.loads(figure.to_json()), "us")
    assert told["layout"]["yaxis"]["title"]["text"] == "degrees F"
    assert told["data"][0]["y"] == pytest.approx([5.4])


def test_choice_is_two_buttons_with_the_one_in_force_marked(shop: Shop) -> None:
    page = records.log_answer(shop, {})
    chosen = [one for one in every(page) if str(getattr(one, "id", "")).startswith("{'type': 'uni")]
    assert [(one.id["system"], one.className) for one in chosen] == [
        ("metric", "plain"), ("us", "here"),
    ]  # fmt: skip
    assert "metric" in records.choose_units(shop, {"system": "metric"})
    assert shop.units() == "metric"
    assert in_metric("68", "°C", shop.units()) == "68"
