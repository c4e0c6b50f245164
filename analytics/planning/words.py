"""A plan's times and amounts in words, the same on the terminal, the page and paper."""

from __future__ import annotations

from datetime import date, datetime

from analytics.planning.answer import DayPlan, Mix, Span, Step, When

MATERIALS = {"gelcoat": "Gel coat", "resin": "Resin"}
RELEASES = {
    "wax": "wax",
    "wax-and-film": "wax and PVA film",
    "semi-permanent": "semi-permanent release",
    "internal": "internal release",
    "film": "release film or tape",
}
STATES = {"ok": "In order", "look": "Look at it", "stop": "Stop", "unknown": "Find out"}


def clock_words(when: datetime, day: date) -> str:
    """ "11:35", or with its weekday where it is not this day."""
    return f"{when:%H:%M}" if when.date() == day else f"{when:%a} {when:%H:%M}"


def range_words(when: When, day: date) -> str:
    """ "10:15 to 12:20, count on 11:35"; the one time where the range is none."""
    early, usual, late = (clock_words(one, day) for one in (when.early, when.usual, when.late))
    if when.early == when.late:
        return usual
    return f"{early} to {late}, count on {usual}"


def step_words(step: Step, day: date) -> str:
    """When a step begins and ends, ranges told."""
    begins = clock_words(step.starts.usual, day)
    if step.id == "trim":
        return (
            f"opens {range_words(step.starts, day)}; closes about "
            f"{clock_words(step.ends.usual, day)}"
        )
    if step.id == "gelled":
        return f"gelled {range_words(step.ends, day)}"
    if not step.hands_on:
        return f"ready {range_words(step.ends, day)}"
    return f"from about {begins}; done {range_words(step.ends, day)}"


def span_words(span: Span, unit: str, decimals: int = 1) -> str:
    """ "2.3 to 3.0 mm, likely 2.6 mm"."""
    low, usual, high = (f"{one:.{decimals}f}" for one in (span.low, span.usual, span.high))
    return f"{low} to {high} {unit}, likely {usual} {unit}"


def pots_words(mix: Mix) -> str:
    """How many pots alike, what each holds, its catalyst, and how long it lasts."""
    many = f"{mix.of} mixes alike, each" if mix.of > 1 else "1 mix of"
    return (
        f"{MATERIALS[mix.material]}: {many} {mix.kg:.2f} kg with {mix.grams:.1f} g "
        f"({mix.ml:.1f} ml) of catalyst, {mix.catalyst_pct:.2f} % by mass. {lasts_words(mix)}"
    )


def lasts_words(mix: Mix) -> str:
    """How long a pot can be worked, and how long its work takes."""
    return f"Use it up in {mix.working_min:.0f} min; putting it on takes about {mix.work_min:.0f}"


def temperature_words(plan: DayPlan) -> str:
    """How warm it is taken to be, and who says so."""
    damp = "" if plan.humidity_pct is None else f", {plan.humidity_pct:.0f} % humidity"
    return f"{plan.temperature_c:.1f} °C{damp} ({plan.temperature_from})"


def release_words(plan: DayPlan) -> str:
    """The release, and what is put on today."""
    coats = plan.wax_coats
    today = "no wax today" if coats == 0 else f"{coats} coat{'s' if coats > 1 else ''} of wax today"
    known = RELEASES[plan.release]
    return f"{known}, {today}" if plan.release in ("wax", "wax-and-film") else known
