"""Weather under the days, and the control charts: the numbers of the review, said plainly."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from analytics.figures.month_charts import control
from analytics.figures.month_weather import weather
from analytics.month.answer import Day
from analytics.month.answer_pieces import ControlChart, ControlPoint
from tests.dashboard.fake_shop import HOSTILE, a_review


def a_day(number: int, **changes: object) -> Day:
    made = Day(date(2024, 3, number), 3, 3, 0, 0, {}, 15.0, 60.0, 12.0, 18.0, 50.0, 70.0, 6.0)
    return replace(made, **changes)


def a_chart(**changes: object) -> ControlChart:
    points = (
        ControlPoint("2024-01", 0.2, None, 0.5, False, True),
        ControlPoint("2024-02", None, None, None, False, False),
        ControlPoint("2024-03", 0.7, None, 0.5, True, False),
    )
    made = ControlChart(
        "u", "any-fault", "Faults per part", "faults a part", "limits from 1 point",
        "beyond the limits, above the usual", True, 0.2, points,
    )  # fmt: skip
    return replace(made, **changes)


def test_weather_is_drawn_on_the_same_days_as_the_parts() -> None:
    drawn = weather(a_review(days=(a_day(4), a_day(12, air_low_c=3.0))))
    air = drawn.data[0]
    assert (list(air.x), list(air.base), list(air.y)) == ([4, 12], [12.0, 3.0], [6.0, 15.0])
    assert tuple(drawn.layout.xaxis.range) == (0.4, 31.6)
    assert drawn.layout.title.text.startswith("Air 3 to 18 °C in the working hours")


def test_days_near_the_dew_point_are_marked_and_counted() -> None:
    drawn = weather(a_review(days=(a_day(4), a_day(12, dew_margin_c=1.5))))
    assert drawn.layout.title.text.endswith("a mould face near the dew point on 1 day")
    assert [list(trace.x) for trace in drawn.data if trace.name == "near the dew point"] == [[12]]


def test_no_weather_logged_is_no_picture() -> None:
    nothing = {"air_low_c": None, "air_high_c": None, "dew_margin_c": None}
    assert weather(a_review(days=(a_day(4, **nothing),))) is None


def test_a_face_never_measured_is_not_called_dry() -> None:
    title = weather(a_review(days=(a_day(4, dew_margin_c=None),))).layout.title.text
    assert title == "Air 12 to 18 °C in the working hours"


def test_a_control_chart_says_the_rule_and_marks_the_point_by_shape() -> None:
    drawn = control(a_chart())
    assert drawn.layout.title.text == "Faults per part: beyond the limits, above the usual"
    assert list(drawn.data[0].x) == [0, 2]
    assert list(drawn.data[0].marker.symbol) == ["circle", "diamond"]


def test_a_limit_there_is_none_of_is_not_drawn() -> None:
    assert [trace.name for trace in control(a_chart()).data] == [
        "Faults per part", "upper limit", "usual",
    ]  # fmt: skip


def test_labels_out_of_a_log_are_not_read_as_markup() -> None:
    point = ControlPoint(HOSTILE, 1.0, 0.0, 2.0, False, True)
    drawn = control(a_chart(title=HOSTILE, points=(point,)))
    assert "<script" not in drawn.to_json().replace("\\u003c", "<")
