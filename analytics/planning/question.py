"""What is asked of a plan, checked, with every blank filled from the log or the trade and named."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, time

import pandas as pd

from analytics.catalyst.question import COLD_C, HOT_C, check_humidity, check_temperature
from analytics.errors import QuestionError
from analytics.knowledge.model import Knowledge
from analytics.planning.course import Course, given_course, usual_course
from analytics.planning.plies import Ply, plies_of, written
from analytics.planning.usual import (
    MouldState,
    known_moulds,
    lot_in_use,
    lot_of,
    mould_called,
    mould_state,
    usual_coats,
)
from analytics.records.log import Log

USUAL_SCHEDULE = "225+2x450"
USUAL_COATS = 1
NEW_MOULD_COATS = 4
MOST_COATS = 12
LARGEST_M2 = 60.0
DAY_STARTS, DAY_ENDS = "08:00", "17:00"
RELEASES = ("wax", "wax-and-film", "semi-permanent", "internal", "film")
AIM_C, COMFORT_C = 18.0, 25.0
LAY_UP_H, LAST_START_H = 3.0, 14
CLOCK = re.compile(r"(\d{1,2})(?:[:.h](\d{2}))?\s*(am|pm)?", re.I)


class WrongTemperatureError(QuestionError):
    """Too cold or too hot to laminate: no plan; `try_c` [°C] is what to warm or cool to.

    `try_start` is the hour from which the logger's usual course is warm enough, if it ever is.
    """

    def __init__(self, sentence: str, try_c: float, try_start: str | None = None) -> None:
        super().__init__(sentence)
        self.try_c, self.try_start = try_c, try_start


@dataclass(frozen=True)
class Asked:
    """What somebody said; None is left to the log, then to the trade."""

    mould: str | None = None
    area_m2: float | None = None
    schedule: str | None = None
    temperature_c: float | None = None
    start: str | None = None
    until: str | None = None
    day: date | None = None
    humidity_pct: float | None = None
    release: str | None = None
    wax_coats: int | None = None
    pulls: int | None = None
    gelcoat_lot: str | None = None
    resin_lot: str | None = None
    gelcoat_pct: float | None = None
    resin_pct: float | None = None


@dataclass(frozen=True)
class DayQuestion:
    """One checked question; `assumed` is a sentence for everything nobody said."""

    mould: str | None
    state: MouldState | None
    area_m2: float
    plies: tuple[Ply, ...]
    course: Course
    given_c: float | None
    begins: datetime
    ends: time
    release: str
    wax_coats: int
    pulls_next: int | None
    gelcoat_lot: str | None
    resin_lot: str | None
    catalyst_lot: str | None
    gelcoat_pct: float | None
    resin_pct: float | None
    assumed: tuple[str, ...]

    @property
    def film(self) -> bool:
        """Whether PVA film goes on today."""
        return self.release == "wax-and-film"


def settled(
    asked: Asked, log: Log, jobs: pd.DataFrame, knowledge: Knowledge, today: date
) -> DayQuestion:
    """The question with its blanks filled. Raises QuestionError where it cannot be."""
    assumed: list[str] = []
    day = asked.day or today
    mould = _mould(asked, log, assumed)
    state = mould_state(log, jobs, mould) if mould else None
    area = _area(asked, mould, state, assumed)
    plies = _plies(asked, state, assumed)
    course = _course(asked, log, day)
    release = _release(asked, state, assumed)
    pulls = _pulls(asked.pulls, state)
    return DayQuestion(
        mould=mould,
        state=state,
        area_m2=area,
        plies=plies,
        course=course,
        given_c=asked.temperature_c,
        begins=datetime.combine(day, clock(asked.start or DAY_STARTS)),
        ends=_ends(asked),
        release=release,
        wax_coats=_coats(asked.wax_coats, release, pulls, state, jobs, assumed),
        pulls_next=pulls,
        gelcoat_lot=_lot(log, jobs, "gelcoat", asked.gelcoat_lot, assumed),
        resin_lot=_lot(log, jobs, "resin", asked.resin_lot, assumed),
        catalyst_lot=lot_in_use(log, jobs, "gelcoat_catalyst"),
        gelcoat_pct=asked.gelcoat_pct,
        resin_pct=asked.resin_pct,
        assumed=tuple(assumed),
    )


def clock(said: str) -> time:
    """A clock time: 8, 08:00, 8.30 or 2pm. Raises QuestionError for anything else."""
    shape = CLOCK.fullmatch(said.strip())
    hour = int(shape[1]) if shape else 99
    if shape and shape[3]:
        hour = hour % 12 + (12 if shape[3].lower() == "pm" else 0)
    minute = int(shape[2] or 0) if shape else 99
    if hour > 23 or minute > 59:
        raise QuestionError(f'"{said}" is no clock time; write it like 08:00')
    return time(hour, minute)


def check_warmth(course: Course, when: datetime, doing: str) -> None:
    """Raise WrongTemperatureError below 15 or above 30 °C: no dose and no clock holds there."""
    at_c = course.at(when)
    told = f"it is {at_c:.3g} °C ({course.told}) for the {doing}"
    if at_c < COLD_C:
        later = _warm_from(course, when)
        wait = "wait for a warmer day" if later is None else f"wait until about {later}"
        raise WrongTemperatureError(
            f"{told}: below {COLD_C:g} °C polyester may gel and still "
            "never cure, and more catalyst does not mend that, so there is no plan for it. Warm "
            f"resin, mould and shop to {AIM_C:g} °C and keep them there, or {wait}; then plan with "
            "the temperature they have",
            AIM_C,
            later,
        )
    if at_c > HOT_C:
        raise WrongTemperatureError(
            f"{told}: above {HOT_C:g} °C gel and heat run ahead of "
            "you, and too little catalyst leaves it under-cured, so there is no plan for it. Cool "
            "resin, mould and shop to 25 °C, or start early in the morning and out of the sun; "
            "then plan with the temperature they have",
            COMFORT_C,
        )


def _warm_from(course: Course, after: datetime) -> str | None:
    """The first hour of that day after which the air stays warm enough for a lay-up."""
    hours = range(after.hour + 1, LAST_START_H + 1)
    starts = [after.replace(hour=hour, minute=0) for hour in hours]
    warm = (f"{at:%H:%M}" for at in starts if course.lowest_c(at, LAY_UP_H) >= COLD_C)
    return next(warm, None)


def _course(asked: Asked, log: Log, day: date) -> Course:
    if asked.humidity_pct is not None:
        check_humidity(asked.humidity_pct)
    if asked.temperature_c is None:
        return usual_course(log.logger, day, asked.humidity_pct)
    return given_course(check_temperature(asked.temperature_c), asked.humidity_pct)


def _mould(asked: Asked, log: Log, assumed: list[str]) -> str | None:
    if asked.mould:
        return mould_called(log, asked.mould)
    if asked.area_m2 is not None:
        return None
    known = known_moulds(log)
    if not known:
        raise QuestionError("say how large the part is: its area in m2, such as 1.9")
    assumed.append(f"Mould {known[0]}, the one used last.")
    return known[0]


def _area(asked: Asked, mould: str | None, state: MouldState | None, assumed: list[str]) -> float:
    if asked.area_m2 is None:
        if state is None or state.area_m2 is None:
            raise QuestionError(f"the log has no area for mould {mould}; give the area in m2")
        return state.area_m2
    area = float(asked.area_m2)
    if not area > 0:
        raise QuestionError(f"an area of {area:g} m2 cannot be; give the moulded area in m2")
    if area > LARGEST_M2:
        raise QuestionError(
            f"an area of {area:g} m2 is no part for a day; if square feet were meant, that is "
            f"{area * 0.09290304:.2g} m2, if dm2, {area / 100:.2g} m2"
        )
    if state and state.area_m2 and not 0.5 < area / state.area_m2 < 2:
        assumed.append(f"Area as you say; the log has {state.area_m2:g} m2 for mould {mould}.")
    return area


def _plies(asked: Asked, state: MouldState | None, assumed: list[str]) -> tuple[Ply, ...]:
    if asked.schedule:
        return plies_of(asked.schedule)
    if state and state.schedule:
        assumed.append(f"Plies {state.schedule}: {state.schedule_from}.")
        return plies_of(state.schedule)
    plies = plies_of(USUAL_SCHEDULE)
    assumed.append(f"Plies {written(plies)} g/m2, a usual schedule of the trade: nobody said.")
    return plies


def _release(asked: Asked, state: MouldState | None, assumed: list[str]) -> str:
    if asked.release:
        if asked.release not in RELEASES:
            raise QuestionError(
                f'"{asked.release}" is no kind of release; choose one of {", ".join(RELEASES)}'
            )
        return asked.release
    if state and state.release:
        return state.release
    assumed.append("Wax and PVA film as the release: nobody said.")
    return "wax-and-film"


def _pulls(said: int | None, state: MouldState | None) -> int | None:
    if said is not None and said < 0:
        raise QuestionError(f"{said} pulls since the release was renewed cannot be")
    return said if said is not None else (state.pulls_next if state else None)


def _coats(
    said: int | None,
    release: str,
    pulls: int | None,
    state: MouldState | None,
    jobs: pd.DataFrame,
    assumed: list[str],
) -> int:
    """Coats of wax to put on today: as said, else a renewal where it is due, else none or one."""
    if said is not None:
        if not 0 <= said <= MOST_COATS:
            raise QuestionError(f"{said} coats of wax cannot be; give 0 to {MOST_COATS}")
        return int(said)
    if release not in ("wax", "wax-and-film"):
        return 0
    due = state.renewed_at if state else None
    if pulls is not None and due is not None:
        if pulls < due:
            assumed.append(
                f"No wax today: pull {pulls + 1} since it was renewed, usually renewed after "
                f"{due:.0f}."
            )
            return 0
        coats = round(usual_coats(jobs) or NEW_MOULD_COATS)
        assumed.append(
            f"Release renewed today with {coats} coats: {pulls} pulls since the last time, "
            f"usually renewed after {due:.0f}."
        )
        return coats
    assumed.append(
        f"{USUAL_COATS} coat of wax today: nobody said. A new or stripped mould wants 3 to 7."
    )
    return USUAL_COATS


def _lot(
    log: Log, jobs: pd.DataFrame, role: str, said: str | None, assumed: list[str]
) -> str | None:
    if said:
        return lot_of(log, role, said)
    found = lot_in_use(log, jobs, role)
    if found:
        name = {"gelcoat": "Gel coat", "resin": "Resin"}[role]
        assumed.append(f"{name} lot {found}, the one used last.")
    return found


def _ends(asked: Asked) -> time:
    starts, ends = clock(asked.start or DAY_STARTS), clock(asked.until or DAY_ENDS)
    if ends <= starts:
        raise QuestionError(
            f"work cannot end at {ends:%H:%M} when it starts at {starts:%H:%M}; give the hour you "
            "go home"
        )
    return ends
