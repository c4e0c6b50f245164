"""The charts of a month say what was found and carry the numbers of the review."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from analytics.figures import month as figures
from analytics.month.answer import Day
from tests.dashboard.fake_shop import HOSTILE, a_review, a_share


def a_day(number: int, **changes: object) -> Day:
    made = Day(date(2024, 3, number), 3, 3, 0, 0, {}, None, None)
    return replace(made, **changes)


def test_title_of_the_days_names_the_worst_one() -> None:
    days = (a_day(4, good=2, faulty=1), a_day(12, good=1, faulty=2), a_day(13))
    title = figures.days(a_review(days=days)).layout.title.text
    assert title == "Faults on 2 of 3 working days, most on the 12th (2 of 3 parts)"


@pytest.mark.parametrize(
    ("number", "words"),
    [(1, "1st"), (2, "2nd"), (3, "3rd"), (11, "11th"), (13, "13th"), (22, "22nd"), (31, "31st")],
)
def test_day_numbers_are_read_as_people_say_them(number: int, words: str) -> None:
    title = figures.days(a_review(days=(a_day(number, good=2, faulty=1),))).layout.title.text
    assert f"most on the {words} " in title


def test_month_without_faults_says_so() -> None:
    drawn = figures.days(a_review(days=(a_day(4), a_day(5))))
    assert drawn.layout.title.text == "No fault written down on any of 2 working days"


def test_month_without_days_says_so() -> None:
    assert figures.days(a_review(days=())).layout.title.text == (
        "No day of this month has a part in the log"
    )


def test_each_way_a_part_can_end_is_a_bar_of_its_own() -> None:
    days = (a_day(4, parts=4, good=2, faulty=1, unknown=1), a_day(5))
    drawn = figures.days(a_review(days=days))
    assert {trace.name: list(trace.y) for trace in drawn.data} == {
        "good": [2, 3],
        "faulty": [1, 0],
        "no result written": [1, 0],
    }
    assert [list(trace.x) for trace in drawn.data] == [[4, 5]] * 3


def test_bars_differ_by_pattern_as_well_as_colour() -> None:
    patterns = [trace.marker.pattern.shape for trace in figures.days(a_review()).data]
    assert len(set(patterns)) == 3


def test_axes_say_what_is_counted() -> None:
    drawn = figures.days(a_review())
    assert (drawn.layout.xaxis.title.text, drawn.layout.yaxis.title.text) == (
        "day of the month",
        "parts made",
    )


def test_hover_tells_the_day_in_plain_words() -> None:
    day = a_day(4, good=2, faulty=1, defects={"pinholes": 1}, air_c=14.2, humidity_pct=71.0)
    spoken = figures.days(a_review(days=(day,))).data[0].customdata[0]
    assert spoken == (
        "2024-03-04<br>3 made<br>2 good<br>1 faulty<br>pinholes: 1<br>air 14 °C<br>humidity 71 %"
    )


def test_weather_nobody_wrote_is_left_out_of_the_hover() -> None:
    spoken = figures.days(a_review(days=(a_day(4),))).data[0].customdata[0]
    assert "°C" not in spoken
    assert "humidity" not in spoken


def test_words_of_a_log_cannot_write_tags_into_a_chart() -> None:
    day = a_day(4, defects={HOSTILE: 1})
    spoken = figures.days(a_review(days=(day,))).data[0].customdata[0]
    assert "<script>" not in spoken
    assert "&lt;script&gt;" in spoken


def test_share_of_faulty_parts_is_in_percent_by_month() -> None:
    drawn = figures.faulty_by_month(a_review())
    share = drawn.data[0]
    assert list(share.x) == ["2023-11-01", "2023-12-01", "2024-01-01", "2024-02-01", "2024-03-01"]
    assert [round(y, 1) for y in share.y] == [10.9, 15.2, 13.0, 8.7, 28.3]
    assert drawn.layout.yaxis.title.text == "faulty parts, %"


def test_month_beyond_its_limits_has_another_shape() -> None:
    share = figures.faulty_by_month(a_review()).data[0]
    assert list(share.marker.symbol) == ["circle"] * 4 + ["diamond"]


def test_title_says_when_luck_does_not_explain_the_month() -> None:
    title = figures.faulty_by_month(a_review()).layout.title.text
    assert title == "March 2024: 28 % faulty, more than luck alone explains"


def test_title_says_when_luck_does() -> None:
    title = figures.faulty_by_month(a_review("2024-02", title="February 2024")).layout.title.text
    assert title == "February 2024: 9 % faulty, within what luck alone does"


def test_short_log_gets_no_limits_and_says_so() -> None:
    chart = a_review().chart
    points = tuple(replace(p, low=None, high=None, beyond=False) for p in chart.points)
    drawn = figures.faulty_by_month(a_review(chart=replace(chart, centre=None, points=points)))
    assert [trace.name for trace in drawn.data] == ["faulty parts"]
    assert drawn.layout.title.text == (
        "March 2024: 28 % faulty; too few months to say what is usual"
    )


def test_month_with_no_results_is_not_drawn_as_nought() -> None:
    chart = a_review().chart
    points = (
        *chart.points[:-1],
        replace(chart.points[-1], faulty=a_share(0, 0), low=None, high=None, beyond=False),
    )
    drawn = figures.faulty_by_month(a_review(chart=replace(chart, points=points)))
    assert "2024-03-01" not in list(drawn.data[0].x)
    assert drawn.layout.title.text == "No results are written for March 2024"
