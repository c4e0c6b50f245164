"""The day by the clock: every step from the first wax coat to the earliest demould, as ranges."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from analytics.catalyst.answer import GelTime
from analytics.knowledge.model import Knowledge
from analytics.planning.answer import Mix, Span, Step
from analytics.planning.course import Course
from analytics.planning.moments import Moment
from analytics.planning.question import DAY_STARTS, DayQuestion, clock
from analytics.planning.times import Times

MINUTES_LAID = "laying"


@dataclass(frozen=True)
class Pots:
    """The mixes of one material, how long putting one of them on takes [min], and its gel time."""

    mixes: tuple[Mix, ...]
    each_min: Span
    gel: GelTime


@dataclass
class Day:
    """A day being laid out: `now` moves on with every step put down."""

    question: DayQuestion
    times: Times
    today: date
    now: Moment
    steps: list[Step] = field(default_factory=list)

    @property
    def knowledge(self) -> Knowledge:
        return self.times.knowledge

    @property
    def course(self) -> Course:
        return self.question.course

    def put(
        self,
        step_id: str,
        title: str,
        figure: str,
        *,
        span: Span | None = None,
        hands_on: bool = False,
        family: str | None = None,
        stay: bool = False,
    ) -> Moment:
        """Put a step down from now on; with `stay` the clock is left where it is."""
        told = self.knowledge.plan[figure]
        known = span or self.times.of(figure)
        ends = self.now.after(self.minutes(figure, known), family or step_id)
        starts_at = self.now.when()
        self.steps.append(
            Step(
                id=step_id,
                title=title,
                starts=starts_at,
                ends=ends.when(),
                hands_on=hands_on,
                test=told.test,
                rests_on=known.source,
                jobs=known.jobs,
                tomorrow=starts_at.usual.date() > self.today,
            )
        )
        if not stay:
            self.now = ends
        return ends

    def minutes(self, figure: str, span: Span) -> tuple[float, float, float]:
        """A wait in minutes from now in this air, as (low, usual, high)."""
        told, start = self.knowledge.plan[figure], self.now.usual
        in_hours = 60.0 if told.unit.startswith("h") else 1.0
        parts = (span.low * in_hours, span.usual * in_hours, span.high * in_hours)
        if told.slowed_by == "cold":
            energy = self.knowledge.constants["activation-energy"].value
            low, usual, high = (self.course.cured(start, part / 60, energy) for part in parts)
            return low, usual, high
        if told.slowed_by == "damp":
            low, usual, high = (self.course.dried(start, part) for part in parts)
            return low, usual, high
        return parts


def release(day: Day) -> None:
    """Wax, coat by coat."""
    coats = day.question.wax_coats
    for coat in range(1, coats + 1):
        last = coat == coats
        name = "wax-last-coat" if last else "wax-between-coats"
        told = "" if coats == 1 else f" {coat} of {coats}"
        day.put(f"wax-{coat}", f"Wax coat{told} on, wait, buff", name, hands_on=True, family=name)


def film(day: Day) -> None:
    """PVA over the wax, where it is used."""
    if day.question.film:
        day.put("film", "PVA film on, leave to dry", "film-dry")


def gelcoat(day: Day, pots: Pots) -> None:
    """Gel coat on, gelled, ready to back up."""
    count = len(pots.mixes)
    named = f"Gel coat on, {count} mixes" if count > 1 else "Gel coat on"
    whole = _times(_with_mixing(day, pots.each_min), count)
    day.put("gelcoat", named, "gelcoat-on", span=whole, hands_on=True)
    gel = pots.gel
    spread = Span(gel.low, gel.median, gel.high, 0, "gel time of the film at this dose")
    put_gel(day, spread)
    day.put("ready", "Gel coat left until ready to back up", "gelcoat-ready")


def put_gel(day: Day, span: Span) -> None:
    """The film's gel, seen on the way to being ready: the clock stays."""
    day.put("gelled", "Gel coat gels", "gelcoat-on", span=span, stay=True)
    day.steps[-1] = replace(day.steps[-1], test="Edge of the film: it no longer runs or wets.")


def lay_up(day: Day, pots: Pots) -> None:
    """Lay-up, mix by mix."""
    each = _with_mixing(day, pots.each_min)
    for mix in pots.mixes:
        told = "" if mix.of == 1 else f", mix {mix.number} of {mix.of}"
        day.put(
            f"lay-{mix.number}", f"Lay up {mix.covers}{told}", "laying",
            span=each, hands_on=True, family=MINUTES_LAID,
        )  # fmt: skip


def after_lay_up(day: Day) -> None:
    """Green trim and earliest demould, both counted from the last ply."""
    laid = day.now
    _trim(day)
    day.now = laid
    out = day.put("demould", "Earliest demould", "demould")
    day.steps[-1] = replace(day.steps[-1], title=f"Earliest demould{_in_hours(day, out.usual)}")


def _trim(day: Day) -> None:
    """From rubbery to too hard: one step, opened by a wait."""
    opens = day.times.of("green-trim-opens")
    day.now = day.now.after(day.minutes("green-trim-opens", opens), "green-trim-opens")
    day.put("trim", "Green trim with a knife", "green-trim-lasts", hands_on=True)
    tests = (day.knowledge.plan[name].test for name in ("green-trim-opens", "green-trim-lasts"))
    day.steps[-1] = replace(
        day.steps[-1], test=" ".join(tests), rests_on=opens.source, jobs=opens.jobs
    )


def _in_hours(day: Day, when: datetime) -> str:
    """When somebody is there to take it out, where the earliest falls into the night."""
    opens, ends = min(day.question.begins.time(), clock(DAY_STARTS)), day.question.ends
    if opens <= when.time() <= ends:
        return ""
    morning = when.date() if when.time() < opens else when.date() + timedelta(days=1)
    return f"; with work hours, {morning:%A} {opens:%H:%M}"


def _with_mixing(day: Day, span: Span) -> Span:
    """One mix put on, with its weighing and stirring."""
    mixing = day.times.of("mixing")
    return Span(
        span.low + mixing.low, span.usual + mixing.usual, span.high + mixing.high,
        span.jobs, span.source,
    )  # fmt: skip


def _times(span: Span, count: int) -> Span:
    return Span(span.low * count, span.usual * count, span.high * count, span.jobs, span.source)


def begun(question: DayQuestion, times: Times, start: datetime, today: date) -> Day:
    """An empty day that begins at a clock time."""
    return Day(question, times, today, Moment(start))
