"""The charts of a dose carry the curve of the advice and point at the advised dose."""

from __future__ import annotations

from typing import Any

import plotly.graph_objects as go

from analytics.catalyst.answer import Window
from analytics.figures import catalyst as figures
from tests.dashboard.fake_shop import an_advice


def trace(drawn: go.Figure, name: str) -> Any:
    return next(one for one in drawn.data if one.name == name)


def test_chance_title_says_dose_chance_and_window() -> None:
    title = figures.chance(an_advice()).layout.title.text
    assert title == "1.75 % gives 78 in 100 of gelling in 12 to 20 min"


def test_title_says_when_no_dose_will_do() -> None:
    title = figures.chance(an_advice(feasible=False, chance=0.11)).layout.title.text
    assert title == ("No dose in the allowed range does it: the nearest, 1.75 %, gives 11 in 100")


def test_chance_curve_is_the_curve_of_the_advice_in_percent() -> None:
    advice = an_advice()
    curve = trace(figures.chance(advice), "chance")
    assert list(curve.x) == [point.catalyst_pct for point in advice.curve]
    assert list(curve.y) == [100 * point.chance for point in advice.curve]


def test_axes_carry_their_units() -> None:
    for drawn, height in (
        (figures.chance(an_advice()), "chance, %"),
        (figures.gel_time(an_advice()), "gel time, min"),
    ):
        assert drawn.layout.xaxis.title.text == "catalyst, % by mass"
        assert drawn.layout.yaxis.title.text == height


def test_advised_dose_is_marked_on_both_charts() -> None:
    advice = an_advice()
    here = trace(figures.chance(advice), "this dose")
    assert (here.x[0], here.y[0]) == (1.75, 78)
    there = trace(figures.gel_time(advice), "this dose")
    assert (there.x[0], there.y[0]) == (1.75, 16.2)


def test_nothing_is_drawn_outside_the_allowed_doses() -> None:
    low, high = figures.chance(an_advice()).layout.xaxis.range
    assert 0.9 < low < 1.0
    assert 2.5 < high < 2.6


def test_wanted_time_is_a_band_across_the_gel_times() -> None:
    drawn = figures.gel_time(an_advice(window=Window(14, 22)))
    assert [(shape.y0, shape.y1) for shape in drawn.layout.shapes] == [(14, 22)]
    assert drawn.layout.title.text == ("At 1.75 % it gels in about 16 min; you want 14 to 22 min")


def test_spread_of_gel_times_lies_around_the_expected_one() -> None:
    drawn = figures.gel_time(an_advice())
    low, mid, high = (list(trace(drawn, n).y) for n in ("shortest", "expected", "longest"))
    assert all(a < b < c for a, b, c in zip(low, mid, high, strict=True))
    assert trace(drawn, "longest").fill == "tonexty"
