"""The year's doses on the terminal: a table to pin on the wall, and what it rests on."""

from __future__ import annotations

from calendar import month_abbr, month_name

from analytics.catalyst.season import SeasonMonth, SeasonTable
from analytics.cli import text
from analytics.saying import System, said_unit, said_value
from analytics.units import convert

MATERIAL_NAMES = {"gelcoat": "Gel coat", "resin": "Laminating resin"}


def show_season(table: SeasonTable) -> None:
    """Print the table, what to do in the months no dose fits, and the ten cautions."""
    window = table.window
    text.title(
        f"{MATERIAL_NAMES[table.material]}: catalyst through the year, for a gel time of "
        f"{window.low:.0f} to {window.high:.0f} min"
    )
    if table.ask_first:
        text.para(table.ask_first, 2)
    system = text.system()
    mass = said_unit("kg", system)
    heads = (
        "", said_unit("°C", system), "set %", f"g/{mass}", f"ml/{mass}", "gel min", "in 100",
        "last time",
    )  # fmt: skip
    text.table(heads, [_row(month, system) for month in table.months])
    text.echo()
    text.para(_legend(table), 2)
    _notes(table)
    text.echo("\nAlways:")
    text.items(table.cautions, "!")


def _row(month: SeasonMonth, system: System) -> tuple[str, ...]:
    name = month_abbr[month.month]
    if month.warmth is None or month.gel_min is None:
        return (name, "not logged", "", "", "", "", "", last_words(month))
    degrees = f"{said_value(month.warmth.median, '°C', system):.0f}"
    amount_kg = convert(1.0, said_unit("kg", system), "kg")
    set_pct = f"{month.catalyst_pct:.2f}" if month.feasible else f"({month.catalyst_pct:.2f}) !"
    gel = month.gel_min
    return (
        name,
        degrees,
        set_pct,
        f"{amount_kg * (month.g_per_kg or 0.0):.1f}",
        f"{amount_kg * (month.ml_per_kg or 0.0):.1f}",
        f"{gel.median:.0f} ({gel.low:.0f}-{gel.high:.0f})",
        f"{100 * (month.chance or 0.0):.0f}",
        last_words(month),
    )


def last_words(month: SeasonMonth) -> str:
    """What was done the last time in this month, and how it went, in one line."""
    last = month.last_time
    if last is None:
        return "nothing logged"
    told = [last.month]
    if last.catalyst_pct is not None:
        told.append(f"{last.catalyst_pct:.2f} %")
    if last.gel_min is not None:
        told.append(f"{last.gel_min:.0f} min")
        told.append(f"{last.in_window.count} of {last.in_window.out_of} in time")
    if last.faults.out_of:
        told.append(f"{last.faults.count} of {last.faults.out_of} parts with such faults")
    return ", ".join(told)


def _legend(table: SeasonTable) -> str:
    inside, outside = table.followed.inside, table.followed.outside
    return (
        f"Hours of work: {table.hours.text}. Behind the gel times: {table.jobs_used} logged. "
        f"Such faults: {text.listed(table.faults)}; {inside.count} of {inside.out_of} parts had "
        f"one whose gel time was inside the window, {outside.count} of {outside.out_of} outside "
        "it. In brackets with a !: no dose does it, see below."
    )


def _notes(table: SeasonTable) -> None:
    told = [
        f"{month_name[m.month]}: {m.instead[0]} {m.instead[1]}"
        for m in table.months
        if len(m.instead) > 1
    ]
    for heading, lines in (("No dose does it:", told), ("Know this:", table.warnings)):
        if lines:
            text.echo("\n" + heading)
            text.items(lines, "-")
