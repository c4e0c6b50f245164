"""A day laid out from a start, and laid out again where it does not fit the hours of work."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from analytics.catalyst.answer import CatalystAdvice
from analytics.planning import timeline
from analytics.planning.amounts import materials
from analytics.planning.answer import Span
from analytics.planning.dosing import Doser
from analytics.planning.moments import Moment
from analytics.planning.plies import Ply
from analytics.planning.question import DAY_STARTS, DayQuestion, check_warmth, clock
from analytics.planning.timeline import Day, Pots
from analytics.planning.times import Times


@dataclass(frozen=True)
class Worked:
    """One laying-out of the day: its steps, its pots, when gel coat and first ply go on."""

    day: Day
    gelcoat: tuple[CatalystAdvice, Pots]
    resin: tuple[CatalystAdvice, Pots]
    gelcoat_at: datetime
    first_ply_at: datetime
    laid: Moment


@dataclass(frozen=True)
class Work:
    """Lays one part's day out from any start."""

    question: DayQuestion
    times: Times
    doser: Doser
    ratio: Span
    plies: tuple[Ply, ...]

    def fitted(self) -> tuple[Worked, bool]:
        """The day as it fits work hours, and whether all but the wax had to go to tomorrow.

        Gel coat is not left for another day to be backed up: it moves with its lay-up.
        """
        whole = self.laid_out(self.question.begins)
        if over(whole, self.question) <= timedelta():
            return whole, False
        return self.laid_out(self.question.begins, tomorrow=True), True

    def laid_out(self, start: datetime, tomorrow: bool = False) -> Worked:
        day = timeline.begun(self.question, self.times, start, self.question.begins.date())
        timeline.release(day)
        if tomorrow:
            opens = min(self.question.begins.time(), clock(DAY_STARTS))
            next_day = self.question.begins.date() + timedelta(days=1)
            day.now = Moment(datetime.combine(next_day, opens))
        timeline.film(day)
        course, knowledge = self.question.course, self.times.knowledge
        gelcoat_at = day.now.usual
        check_warmth(course, gelcoat_at, "gel coat")
        whole = materials(self.question.area_m2, self.plies, self.ratio, knowledge)
        on = _scaled(self.times.of("gelcoat-on"), self.question.area_m2)
        gelcoat = self.doser.gelcoat(course.at(gelcoat_at), whole.gelcoat_kg, on)
        timeline.gelcoat(day, gelcoat[1])
        first_ply_at = day.now.usual
        check_warmth(course, first_ply_at, "lay-up")
        laying = _scaled(self.times.of("laying"), whole.glass_kg)
        resin = self.doser.resin(course.at(first_ply_at), whole.resin_kg, laying, self.plies)
        timeline.lay_up(day, resin[1])
        laid = day.now
        timeline.after_lay_up(day)
        return Worked(day, gelcoat, resin, gelcoat_at, first_ply_at, laid)


def _scaled(span: Span, by: float) -> Span:
    return replace(span, low=span.low * by, usual=span.usual * by, high=span.high * by)


def over(done: Worked, question: DayQuestion) -> timedelta:
    """How far past going home the last ply is rolled."""
    home = datetime.combine(done.gelcoat_at.date(), question.ends)
    return done.laid.usual - home
