"""A plan for the day: `plan_day` puts amounts, pots, clock, checks and risks together."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, datetime, time, timedelta
from functools import cache
from typing import TYPE_CHECKING

import pandas as pd

from analytics.catalyst import Learnt, learn
from analytics.catalyst.answer import CatalystAdvice
from analytics.days import day_words
from analytics.knowledge.model import Knowledge
from analytics.planning.amounts import materials, sessions, trade_ratio
from analytics.planning.answer import DayPlan
from analytics.planning.as_job import as_job
from analytics.planning.checks import checks_before
from analytics.planning.dosing import Doser, joined_cautions, joined_warnings
from analytics.planning.laying_out import Work, Worked, over
from analytics.planning.plies import Ply, written
from analytics.planning.question import Asked, DayQuestion, settled
from analytics.planning.times import Times
from analytics.planning.usual import resin_ratio
from analytics.records.log import Log

if TYPE_CHECKING:
    from analytics.diagnosis.risk import Change, PlannedRisk

Risks = Callable[[Mapping[str, object]], "tuple[tuple[PlannedRisk, ...], Change | None]"]

EARLIEST_START = time(5)
MIXES_TOO_MANY = 6


def plan_day(
    log: Log,
    jobs: pd.DataFrame,
    knowledge: Knowledge,
    *,
    today: date,
    asked: Asked,
    risks: Risks | None = None,
    learnt: Callable[[str], Learnt] | None = None,
) -> DayPlan:
    """What to weigh, cut and mix for one part, and when to do what.

    Parameters
    ----------
    jobs : the jobs table of `analytics.jobs` for this log.
    asked : what somebody said; the log and then the trade fill the rest, each blank named.
    risks : the shop's model: from a row of the jobs table to the risk of each defect and the one
        change that lowers it most.
    learnt : from "gelcoat" or "resin" to `analytics.catalyst.learn` of this log, to save learning
        again.

    Raises
    ------
    WrongTemperatureError
        Below 15 or above 30 °C there is no plan; it says what to do instead.
    QuestionError
        The question cannot be answered as asked; one sentence says why and what to do.
    """
    question = settled(asked, log, jobs, knowledge, today)
    times = Times(jobs, log.defects, knowledge)
    ratio = resin_ratio(jobs, knowledge) or trade_ratio(knowledge)
    whole = materials(question.area_m2, question.plies, ratio, knowledge)
    goes = sessions(question.plies, ratio, knowledge)
    known = learnt or cache(lambda material: learn(log, knowledge, material))
    doser = Doser(log, knowledge, question, today, known)
    work = Work(question, times, doser, ratio, goes[0])
    done, split = work.fitted()
    checks = checks_before(
        question, whole, goes, (done.gelcoat_at, done.first_ply_at), log, knowledge
    )
    doses = (done.gelcoat[0], done.resin[0])
    found, change = risks(as_job(question, done, whole, goes[0], jobs)) if risks else ((), None)
    fits, moves, start_by = _fit(question, done, split, goes)
    return DayPlan(
        title=_title(question),
        date=question.begins.date(),
        start=f"{question.begins:%H:%M}",
        until=f"{question.ends:%H:%M}",
        mould_id=question.mould,
        area_m2=question.area_m2,
        schedule=written(question.plies),
        temperature_c=question.course.at(done.gelcoat_at),
        temperature_from=question.course.told,
        humidity_pct=_known(question.course.damp_at(done.gelcoat_at)),
        release=question.release,
        wax_coats=question.wax_coats,
        pulls_since_renewal=question.pulls_next,
        materials=whole,
        mixes=(*done.gelcoat[1].mixes, *done.resin[1].mixes),
        doses=doses,
        timeline=tuple(done.day.steps),
        fits=fits,
        moves=moves,
        start_by=start_by,
        checks=checks,
        risks=found,
        change=change,
        assumed=question.assumed,
        warnings=(*_own_warnings(question, done), *joined_warnings(doses)),
        cautions=_cautions(question, doses, knowledge),
        jobs_used=len(jobs),
    )


def _fit(
    question: DayQuestion, done: Worked, split: bool, goes: list[tuple[Ply, ...]]
) -> tuple[bool, tuple[str, ...], str | None]:
    moves: list[str] = []
    if split:
        moves += _moved(question, done)
    if len(goes) > 1:
        rest = " and ".join(written(go) for go in goes[1:])
        moves.append(
            f"Lay {written(goes[0])} in the first go and {rest} g/m2 the day after, once the first "
            "is cold: key it if it is over a day old. Mixes and clock here are for the first go."
        )
    trim = next(step for step in done.day.steps if step.id == "trim")
    home = datetime.combine(done.laid.usual.date(), question.ends)
    late_trim = trim.starts.usual >= home or trim.starts.usual.date() > done.laid.usual.date()
    if late_trim:
        moves.append(
            f"Green trim comes after work ({trim.starts.usual:%H:%M}): stay for it, or leave the "
            "edge for a saw tomorrow, with mask and goggles."
        )
    start_by = _start_by(question, done) if not split else None
    return not split and len(goes) == 1 and not late_trim, tuple(moves), start_by


def _moved(question: DayQuestion, done: Worked) -> list[str]:
    today = "Today only the wax" if question.wax_coats else "Nothing today"
    rest = "film, gel coat and lay-up" if question.film else "gel coat and lay-up"
    begins = done.day.steps[question.wax_coats].starts.usual
    told = [
        f"{today}: {rest} go to tomorrow, from {begins:%H:%M}, as the last ply would not be on "
        f"by {question.ends:%H:%M}. Gel coat is not left overnight.",
        *_wax_too_late(question, done),
    ]
    if over(done, question) > timedelta():
        told.append(
            f"Even a whole day is too short: the last ply would be on at {done.laid.usual:%H:%M}. "
            "Work two at a time, work longer, or make the part in two."
        )
    return told


def _wax_too_late(question: DayQuestion, done: Worked) -> list[str]:
    if not question.wax_coats:
        return []
    waxed = done.day.steps[question.wax_coats - 1].ends.usual
    if waxed <= datetime.combine(question.begins.date(), question.ends):
        return []
    return [f"The wax alone takes until {waxed:%H:%M}: leave the last coat its wait overnight."]


def _start_by(question: DayQuestion, done: Worked) -> str | None:
    """The latest start with the last ply on before going home, as warm as the plan takes it."""
    home = datetime.combine(done.laid.usual.date(), question.ends)
    latest = question.begins + (home - done.laid.usual)
    latest -= timedelta(minutes=latest.minute % 5, seconds=latest.second)
    return f"{latest:%H:%M}" if latest.time() >= EARLIEST_START else None


def _own_warnings(question: DayQuestion, done: Worked) -> tuple[str, ...]:
    home = datetime.combine(done.laid.usual.date(), question.ends)
    found = []
    if done.laid.when().usual <= home < done.laid.when().late:
        found.append(
            f"On a slow day the last ply is on at {done.laid.when().late:%H:%M} only, after "
            f"{question.ends:%H:%M}: start earlier if you can."
        )
    if len(done.resin[1].mixes) > MIXES_TOO_MANY:
        found.append(
            f"{len(done.resin[1].mixes)} mixes of resin for one pair of hands: have a second "
            "person mix, or plan for a longer gel time."
        )
    if question.release == "semi-permanent":
        found.append("Semi-permanent release: its waits are on its sheet, none are planned here.")
    if question.given_c is None:
        found.append(
            "The temperature is what the logger usually reads at this time of year, not today's, "
            "and of the air: measure resin and mould before you mix, and plan again with that."
        )
    return tuple(found)


def _cautions(
    question: DayQuestion, doses: tuple[CatalystAdvice, ...], knowledge: Knowledge
) -> tuple[str, ...]:
    deep = question.state is not None and question.state.deep
    more = ("confined-mould",) if deep else ()
    trade = (*more, "styrene-vapour", "heat-burns", "sanding-dust")
    return (*joined_cautions(doses), *(knowledge.cautions[name] for name in trade))


def _title(question: DayQuestion) -> str:
    part = f"Mould {question.mould}" if question.mould else f"A part of {question.area_m2:g} m2"
    return f"{part}, {question.begins:%A} {day_words(question.begins)}"


def _known(value: float) -> float | None:
    return None if value != value else value
