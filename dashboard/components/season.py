"""The year's doses as a sheet for the wall."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dash import html
from dash.development.base_component import Component

from analytics.days import MONTHS, day_words
from analytics.figures import season as figures
from analytics.saying import System, said_unit, said_value
from analytics.units import convert
from dashboard.components.charts import chart
from dashboard.components.dose import MATERIALS
from dashboard.components.notices import cautions, doubts
from dashboard.components.tables import table
from dashboard.components.words import number, plural

if TYPE_CHECKING:
    from analytics.catalyst.season import SeasonMonth, SeasonTable


def sheet(asked: SeasonTable, system: System = "metric") -> Component:
    """The table, the ten cautions right below it, then what it rests on and the drawings."""
    return html.Div(
        [
            _head(asked),
            doubts((asked.ask_first,), "First of all") if asked.ask_first else None,
            _table(asked, system),
            _notes(asked),
            _not_by_dose(asked),
            cautions(asked.cautions, "Before you pour"),
            html.Div(
                [
                    doubts(asked.warnings),
                    chart("season-dose", figures.doses(asked)),
                    chart("season-gel", figures.gel_times(asked)),
                ],
                className="more screen-only",
            ),
        ],
        className="dose season",
    )


def _head(asked: SeasonTable) -> Component:
    product = f" ({asked.product})" if asked.product else ""
    return html.Div(
        [
            html.H2(f"{MATERIALS[asked.material]}{product}, month by month"),
            html.P(
                f"Wanted: a gel time of {asked.window.low:.0f} to {asked.window.high:.0f} min. "
                f"Range allowed: {number(asked.limits.low)} to {number(asked.limits.high)} % by "
                f"mass ({asked.limits.source}). Print this page for the wall."
            ),
        ],
        className="season-head",
    )


def _table(asked: SeasonTable, system: System) -> Component:
    unit, mass = said_unit("°C", system), said_unit("kg", system)
    heads = (
        "Month", f"Warmth, {unit}", "Set, % by mass", f"For 1 {mass}", "Gels in, min",
        "Hits, in 100", "Last time",
    )  # fmt: skip
    return table(
        "Catalyst to set in each month",
        heads,
        [_row(month, system) for month in asked.months],
        "season-table",
    )


def _row(month: SeasonMonth, system: System) -> tuple[str | Component, ...]:
    name = MONTHS[month.month - 1]
    if month.warmth is None or month.gel_min is None:
        return (name, "no temperature logged", "–", "–", "–", "–", _last(month))
    low, mid, high = (
        f"{said_value(c, '°C', system):.0f}"
        for c in (month.warmth.low, month.warmth.median, month.warmth.high)
    )
    grams, ml = month.g_per_kg or 0.0, month.ml_per_kg or 0.0
    gel, kg = month.gel_min, convert(1.0, said_unit("kg", system), "kg")
    return (
        name,
        f"{mid} ({low}–{high})",
        _set(month),
        f"{number(kg * grams, 1)} g = {number(kg * ml, 1)} ml",
        f"{gel.median:.0f} ({gel.low:.0f}–{gel.high:.0f})",
        f"{100 * (month.chance or 0.0):.0f}",
        _last(month),
    )


def _set(month: SeasonMonth) -> Component:
    pct = f"{month.catalyst_pct:.2f}"
    if month.feasible:
        return html.Strong(pct)
    return html.Span([html.Strong("not by dose"), f" nearest {pct}"], className="season-not")


def _last(month: SeasonMonth) -> Component | str:
    last = month.last_time
    if last is None:
        return "nothing logged"
    told = [last.month[:4]]
    if last.catalyst_pct is not None:
        told.append(f"{last.catalyst_pct:.2f} %")
    if last.gel_min is not None:
        inside = last.in_window
        told.append(f"{last.gel_min:.0f} min, {inside.count} of {inside.out_of} in time")
    if last.faults.out_of:
        told.append(f"{last.faults.count} of {last.faults.out_of} faulty")
    return html.Span("; ".join(told), className="season-last")


def _not_by_dose(asked: SeasonTable) -> Component | None:
    """What to do in the months no dose fits, once for months that share it."""
    by_words: dict[str, list[str]] = {}
    for month in asked.months:
        if month.feasible is False:
            by_words.setdefault(month.instead[1], []).append(MONTHS[month.month - 1])
    if not by_words:
        return None
    return html.Section(
        [
            html.H2("Months no dose will do it"),
            html.Ul([html.Li(f"{', '.join(m)}: {told}") for told, m in by_words.items()]),
        ],
        className="instead must",
    )


def _notes(asked: SeasonTable) -> Component:
    """What the columns mean and rest on, in one paragraph that goes on the wall too."""
    last = f", the last on {day_words(asked.last_record)}" if asked.last_record else ""
    inside, outside = asked.followed.inside, asked.followed.outside
    faults = ", ".join(fault[:1].lower() + fault[1:] for fault in asked.faults)
    return html.P(
        f"Warmth in hours of work: {asked.hours.text}; in brackets 9 in 10 of it, or of the gel "
        f"times. Last time: year, usual dose, usual gel time, parts faulty ({faults}). Over the "
        f"whole log {inside.count} of {inside.out_of} parts were faulty so whose gel time was "
        f"inside the window, {outside.count} of {outside.out_of} outside it. Behind the gel times: "
        f"{plural(asked.jobs_used, 'logged gel time')}{last}.",
        className="season-note",
    )
