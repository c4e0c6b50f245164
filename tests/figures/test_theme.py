"""Charts stand on any ground: transparent, and in colours seen on light and dark screens."""

from __future__ import annotations

from collections.abc import Callable

import plotly.graph_objects as go
import pytest

from analytics.figures import catalyst, month, theme
from tests.dashboard.contrast import contrast, palette
from tests.dashboard.fake_shop import a_review, an_advice

ALL: dict[str, Callable[[], go.Figure]] = {
    "days": lambda: month.days(a_review()),
    "faulty by month": lambda: month.faulty_by_month(a_review()),
    "chance": lambda: catalyst.chance(an_advice()),
    "gel time": lambda: catalyst.gel_time(an_advice()),
}


@pytest.mark.parametrize("name", ALL)
def test_every_chart_has_a_finding_and_two_named_axes(name: str) -> None:
    layout = ALL[name]().layout
    assert len(layout.title.text.split()) >= 4
    assert layout.xaxis.title.text
    assert layout.yaxis.title.text


@pytest.mark.parametrize("name", ALL)
def test_every_chart_is_see_through(name: str) -> None:
    layout = ALL[name]().layout
    assert {layout.paper_bgcolor, layout.plot_bgcolor} == {"rgba(0,0,0,0)"}


@pytest.mark.parametrize("name", ALL)
def test_charts_cannot_be_zoomed_or_dragged_by_a_thumb(name: str) -> None:
    layout = ALL[name]().layout
    assert layout.dragmode is False
    assert layout.xaxis.fixedrange
    assert layout.yaxis.fixedrange


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("colour", [theme.GOOD, theme.FAULTY, theme.LINE, theme.INK])
def test_marks_stand_out_from_the_sheet(scheme: str, colour: str) -> None:
    # WCAG 2.2, success criterion 1.4.11: graphical objects at least 3:1
    assert contrast(colour, palette(scheme)["sheet"]) >= 3.0


def test_text_of_a_log_is_shown_as_it_is() -> None:
    assert theme.plain("<b>&") == "&lt;b&gt;&amp;"
