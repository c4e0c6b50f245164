"""The charts of the year carry the table's doses and gel times, and leave gaps as gaps."""

from __future__ import annotations

from datetime import date
from typing import Any

import plotly.graph_objects as go
import pytest

from analytics.catalyst import SeasonTable, season
from analytics.figures import season as figures
from analytics.knowledge.loading import load_knowledge
from analytics.records.log import Log
from tests.builders import a_log


def a_table(*months: int, air_c: float = 19.0) -> SeasonTable:
    """A year with five mixes in each of these months and nothing in the others."""
    mixes = [
        {"material": "gelcoat", "date": f"2024-{month:02d}-{day:02d}", "air_c": air_c,
         "catalyst_pct": 1.5, "gel_min": 18}
        for month in months
        for day in range(1, 6)
    ]  # fmt: skip
    log = a_log(batches=mixes) if mixes else Log.empty()
    return season(log, load_knowledge(), material="gelcoat", today=date(2025, 3, 4))


def trace(drawn: go.Figure, name: str) -> Any:
    return next(one for one in drawn.data if one.name == name)


@pytest.mark.parametrize("draw", [figures.doses, figures.gel_times])
def test_every_month_has_its_place_whatever_was_logged(draw: Any) -> None:
    drawn = draw(a_table(3, 6))
    assert list(drawn.layout.xaxis.categoryarray) == figures.NAMES
    assert all(len(one.x) == 12 for one in drawn.data)


def test_doses_are_the_table_s_with_gaps_where_nothing_is_logged() -> None:
    table = a_table(3, 6)
    to_set = trace(figures.doses(table), "to set")
    assert list(to_set.y) == [month.catalyst_pct for month in table.months]
    assert [k for k, dose in enumerate(to_set.y) if dose is not None] == [2, 5]
    assert list(trace(figures.doses(table), "last time").y)[2] == 1.5


def test_month_no_dose_will_do_is_a_cross_and_named_in_the_title() -> None:
    drawn = figures.doses(a_table(1, air_c=8.0))
    assert trace(drawn, "to set").marker.symbol[0] == "x"
    assert "in 1 of 1 months no dose does it" in drawn.layout.title.text


def test_title_says_when_nothing_is_logged() -> None:
    assert figures.doses(a_table()).layout.title.text == "No temperature is logged in any month"


def test_gel_times_carry_their_interval_and_the_wanted_band() -> None:
    table = a_table(3)
    drawn = figures.gel_times(table)
    expected, march = trace(drawn, "expected"), table.months[2].gel_min
    assert march is not None
    assert expected.y[2] == march.median
    assert expected.error_y.array[2] == pytest.approx(march.high - march.median)
    assert expected.error_y.arrayminus[2] == pytest.approx(march.median - march.low)
    assert [(shape.y0, shape.y1) for shape in drawn.layout.shapes] == [(8, 20)]


def test_axes_carry_their_units() -> None:
    table = a_table(3)
    assert figures.doses(table).layout.yaxis.title.text == "catalyst, % by mass"
    assert figures.gel_times(table).layout.yaxis.title.text == "gel time, min"
