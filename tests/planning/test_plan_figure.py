"""The day by the clock, as a drawing."""

from __future__ import annotations

from typing import Any

from analytics.figures.plan import clock
from analytics.planning import DayPlan
from tests.planning.days import room, step


def traces(plan: DayPlan, name: str) -> list[Any]:
    return [trace for trace in clock(plan).data if trace.name == name]


def test_every_step_of_the_day_but_demoulding_is_a_bar() -> None:
    plan = room(wax_coats=2)
    drawn = [y for name in ("work", "wait") for trace in traces(plan, name) for y in trace.y]
    assert sorted(drawn) == sorted(
        ["Wax 1", "Wax 2", "PVA", "Gel coat", "Gels", "Ready", "Mix 1", "Mix 2", "Mix 3", "Trim"]
    )


def test_bars_begin_and_last_as_the_plan_says() -> None:
    plan = room()
    work = traces(plan, "work")[0]
    place = list(work.y).index("Gel coat")
    gelcoat = step(plan, "gelcoat")
    assert work.base[place] == gelcoat.starts.usual
    assert work.x[place] == (gelcoat.ends.usual - gelcoat.starts.usual).total_seconds() * 1000


def test_whiskers_show_from_when_to_when_a_step_may_end() -> None:
    plan = room()
    ready = step(plan, "ready")
    whisker = next(trace for trace in traces(plan, "may end") if trace.y[0] == "Ready")
    assert list(whisker.x) == [ready.ends.early, ready.ends.late]


def test_title_says_when_the_work_falls() -> None:
    plan = room()
    title = clock(plan).layout.title.text
    assert f"Gel coat on from {step(plan, 'gelcoat').starts.usual:%H:%M}" in title
    assert "at the earliest" in title


def test_wax_of_the_day_before_does_not_stretch_the_clock() -> None:
    split = room(start="14:00", wax_coats=2)
    drawn = [y for name in ("work", "wait") for trace in traces(split, name) for y in trace.y]
    assert not any(name.startswith("Wax") for name in drawn)
