"""What to look at before starting: air, mould, materials, release, how much at once."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime

import numpy as np

from analytics.days import day_words
from analytics.knowledge.model import Knowledge
from analytics.physics.air import dew_margin_c, dew_point_c
from analytics.planning.answer import Check, Materials
from analytics.planning.plies import Ply
from analytics.planning.question import DayQuestion
from analytics.planning.usual import expiry
from analytics.records.log import Log

NIGHT_H = 18.0
COLD_NIGHT_C = 15.0


def checks_before(
    question: DayQuestion,
    materials: Materials,
    goes: list[tuple[Ply, ...]],
    work_at: tuple[datetime, datetime],
    log: Log,
    knowledge: Knowledge,
) -> tuple[Check, ...]:
    """Every check, the ones that stop the job first. `work_at`: gel coat on, first ply on."""
    found = [
        _warmth(question, work_at, knowledge),
        _dew(question, work_at[0], knowledge),
        *_damp(question, work_at[0], knowledge),
        *_night(question, work_at[1]),
        *_lots(question, log),
        *_release(question),
        *_amount(materials, goes, knowledge),
    ]
    order = {"stop": 0, "look": 1, "unknown": 2, "ok": 3}
    return tuple(sorted(found, key=lambda check: order[check.state]))


def _warmth(
    question: DayQuestion, work_at: tuple[datetime, datetime], knowledge: Knowledge
) -> Check:
    limit = knowledge.limits["air-temperature"]
    low, high = float(limit.low or 18), float(limit.high or 25)
    gel, laying = (question.course.at(when) for when in work_at)
    expected = f"{gel:.0f} °C" if round(gel) == round(laying) else f"{gel:.0f} to {laying:.0f} °C"
    measure = "Measure resin, mould and air before mixing: they want to be within 3 degrees C."
    inside = low <= min(gel, laying) and max(gel, laying) <= high
    text = f"{expected} ({question.course.told}); {low:g} to {high:g} °C is comfortable. {measure}"
    return Check("temperature", "Temperature", "ok" if inside else "look", text)


def _dew(question: DayQuestion, when: datetime, knowledge: Knowledge) -> Check:
    margin = float(knowledge.limits["dew-margin"].flag_low or 3.0)
    air, damp = question.course.at(when), question.course.damp_at(when)
    title = "Mould above the dew point"
    if np.isnan(damp):
        return Check(
            "dew", title, "unknown",
            f"Humidity not known: measure it, the mould face must be {margin:g} degrees C above "
            "the dew point. Breath on a cold mould that does not clear is a no.",
        )  # fmt: skip
    over = float(dew_margin_c(air, air, damp))
    dew = float(dew_point_c(air, damp))
    state = "ok" if over >= margin else "stop"
    text = (
        f"{over:.1f} degrees C above it if the mould is as warm as the air ({air:.0f} °C, "
        f"{damp:.0f} %; dew point {dew:.0f} °C). A colder mould is nearer: its face must read "
        f"{dew + margin:.0f} °C or more."
    )
    return Check("dew", title, state, text)  # type: ignore[arg-type]


def _damp(question: DayQuestion, when: datetime, knowledge: Knowledge) -> Iterator[Check]:
    limit, damp = knowledge.limits["humidity"], question.course.damp_at(when)
    if not np.isnan(damp) and limit.flag_high and damp > limit.flag_high:
        text = f"{damp:.0f} %, over {limit.flag_high:g} %: dry or warm the shop before gel coat."
        yield Check("humidity", "Humidity", "stop", text)


def _night(question: DayQuestion, laid: datetime) -> Iterator[Check]:
    lowest = question.course.lowest_c(laid, NIGHT_H)
    if lowest < COLD_NIGHT_C:
        yield Check(
            "night", "The night after", "look",
            f"Down to about {lowest:.0f} °C: cure stands nearly still below {COLD_NIGHT_C:g} °C. "
            "Keep the part warm, and demould by hardness.",
        )  # fmt: skip
    elif question.given_c is not None:
        text = f"The times hold only if it stays near {question.given_c:g} °C until demoulding."
        yield Check("night", "The night after", "unknown", text)


def _lots(question: DayQuestion, log: Log) -> Iterator[Check]:
    day: date = question.begins.date()
    lots = (
        ("Gel coat", question.gelcoat_lot),
        ("Resin", question.resin_lot),
        ("Catalyst", question.catalyst_lot),
    )
    for name, lot in lots:
        title = f"{name} lot"
        ident = f"lot-{name.split()[0].lower()}"
        if lot is None:
            yield Check(ident, title, "unknown", "Not in the log: read the date on the drum.")
            continue
        ends = expiry(log, lot)
        if ends is None:
            text = f"{lot}: the log has no date for it. Read the drum."
            yield Check(ident, title, "unknown", text)
        elif ends < day:
            ran_out = f"{lot} ran out on {day_words(ends)}"
            text = f"{ran_out}: cup-test against a fresh lot, or do not use it."
            yield Check(ident, title, "stop", text)
        else:
            yield Check(ident, title, "ok", f"{lot}, good until {day_words(ends)}.")


def _release(question: DayQuestion) -> Iterator[Check]:
    if question.mould is None and question.pulls_next is None:
        return
    title, pulls = "Pulls since the release was renewed", question.pulls_next
    due = question.state.renewed_at if question.state else None
    if pulls is None:
        text = "Not in the log: look the mould over, and check that water beads everywhere."
        yield Check("release", title, "unknown", text)
    elif due is None:
        text = f"{pulls}. The log does not show when this mould is renewed: watch the pull."
        yield Check("release", title, "unknown", text)
    elif question.wax_coats and pulls >= due:
        yield Check("release", title, "ok", f"{pulls}; renewed today.")
    elif pulls >= due:
        text = f"{pulls}, and this mould is usually renewed after {due:.0f}: wax it first."
        yield Check("release", title, "stop", text)
    else:
        yield Check("release", title, "ok", f"{pulls}; usually renewed after {due:.0f}.")


def _amount(
    materials: Materials, goes: list[tuple[Ply, ...]], knowledge: Knowledge
) -> Iterator[Check]:
    first, limit = goes[0][0], knowledge.limits["first-ply"]
    if first.kind == "woven" or first.g_m2 > (limit.flag_high or 450):
        yield Check(
            "first-ply", "First ply", "look",
            f"{first.g_m2:.0f} g/m2{' woven' if first.kind == 'woven' else ''} straight on the gel "
            f"coat prints through: {limit.low:g} to {limit.high:g} g/m2 mat first, let it cure.",
        )  # fmt: skip
    if len(goes) > 1:
        yield Check(
            "session", "Laid in one go", "look",
            f"{materials.thickness_mm.usual:.1f} mm in all is too much heat at once: "
            f"{len(goes[0])} plies today, the rest another day.",
        )  # fmt: skip
