"""The ten things every screen that shows a dose must also say, with today's figures in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from analytics.catalyst.answer import Density, GelTime
from analytics.catalyst.question import Question
from analytics.days import day_words
from analytics.knowledge.model import Constant, Knowledge


@dataclass(frozen=True)
class Pot:
    """What goes into this pot: dose [mass %], catalyst [g and ml] and its density."""

    catalyst_pct: float
    grams: float
    ml: float
    density: Density


@dataclass(frozen=True)
class Basis:
    """What the figure rests on: logged gel times used, the last one's day, the largest mix [kg]."""

    jobs_used: int
    last_record: date | None
    largest_kg: float


def cure_risks(
    temperature_c: float, catalyst_pct: float, film: bool, constants: Mapping[str, Constant]
) -> tuple[str, ...]:
    """Reasons why this mix may gel in time and still stay under-cured; empty where none."""
    cold = constants["cure-risk-below-temperature"].value
    least = constants["cure-risk-below-dose"].value
    most = constants["cure-risk-above-dose"].value
    found = []
    if temperature_c < cold:
        found.append(f"colder than {cold:g} °C: it may gel and stay soft for good")
    if catalyst_pct < least:
        found.append(f"less than {least:g} % catalyst: it may never cure")
    if catalyst_pct > most:
        found.append(f"more than {most:g} % catalyst: it may read hard and still be weak")
    if film:
        found.append("a thin film loses its heat: it gels later and cures slower than a cup")
    return tuple(found)


def ten_cautions(
    question: Question, pot: Pot, cup: GelTime, basis: Basis, knowledge: Knowledge
) -> tuple[str, ...]:
    """The ten cautions, a few plain sentences each.

    `cup` is the cup test's expected gel time. The standing warnings are in the words of the
    knowledge in force.
    """
    stop_share = knowledge.constants["cup-test-tolerance"].value
    return _ten(
        question,
        knowledge,
        dose=f"This dose: {pot.catalyst_pct:.2f} % by mass, {pot.grams:.1f} g or {pot.ml:.1f} ml "
        f"for this pot of {question.pot_kg:g} kg, at {pot.density.g_ml:.2f} g/ml "
        f"({pot.density.source}).",
        cup=_cup_test(cup, stop_share),
        size=_mix_size(question, cup, basis.largest_kg),
        rests=f"{_rests_on(basis)} 9 mixes in 10 should gel in {cup.low:.0f} to {cup.high:.0f} "
        "min in the cup.",
    )


def season_cautions(
    question: Question, density: Density, basis: Basis, knowledge: Knowledge
) -> tuple[str, ...]:
    """The ten cautions for a sheet of many months."""
    share = 100 * question.working_share[0]
    return _ten(
        question,
        knowledge,
        dose=f"Doses are % by mass, with the grams and ml beside them, at {density.g_ml:.2f} g/ml "
        f"({density.source}).",
        cup="100 g at the month's dose and temperature should gel in about the month's gel time.",
        size=f"Mix no more than you can use in {share:.0f} % of the gel time expected, less until "
        "the cup test agrees; a big pot gels sooner and runs hot.",
        rests=f"{_rests_on(basis)} 9 mixes in 10 of a month should gel between its two figures.",
    )


def list_cautions(
    question: Question, density: Density, basis: Basis, knowledge: Knowledge
) -> tuple[str, ...]:
    """The ten cautions for a list of doses that were set: what was right then may not be today."""
    return _ten(
        question,
        knowledge,
        dose=f"Doses are % by mass; grams become ml at {density.g_ml:.2f} g/ml ({density.source}) "
        "for the pot in hand.",
        cup="100 g at the dose and temperature should gel in about the time expected.",
        size="Mix no more than you can use well before the gel time expected; a big pot gels "
        "sooner and runs hot.",
        rests=f"{_rests_on(basis)} The times expected are those of the day each was set, with the "
        "figures 9 mixes in 10 should lie between.",
    )


def _ten(
    question: Question, knowledge: Knowledge, *, dose: str, cup: str, size: str, rests: str
) -> tuple[str, ...]:
    """The ten, with what is this question's own put into them."""
    limits, trade = question.limits, knowledge.cautions
    return (
        f"Range in force: {limits.low:g} to {limits.high:g} % by mass ({limits.source}). "
        f"{trade['sheet-overrules']}",
        f"{dose} {trade['dose-by-mass']}",
        f"Never below {limits.low:g} % or above {limits.high:g} %, whatever the hurry; going past "
        "1.0 to 2.5 % needs the data sheet's reference. Outside the temperatures and doses in "
        "this log the figure is not tested.",
        f"{trade['cup-test-first']} {cup}",
        f"{trade['peroxide-eyes']} {trade['peroxide-and-accelerator']}",
        f"{size} {trade['leftover-mix']} {trade['peroxide-contamination']}",
        f"{trade['warm-not-dose']} Gel is not cure.",
        f"{rests} {trade['advice-not-approval']}",
        f"For MEKP only, not for BPO, CHP or AAP. {trade['sheet-needed']}",
        "Write down the dose you decided on and the gel time you got.",
    )


def _cup_test(cup: GelTime, stop_share: float) -> str:
    early, late = (1 - stop_share) * cup.median, (1 + stop_share) * cup.median
    return (
        f"100 g at this dose and temperature should gel in about {cup.median:.0f} min "
        f"({cup.low:.0f} to {cup.high:.0f}); stop under {early:.0f} or over {late:.0f} min, and "
        "find out why."
    )


def _mix_size(question: Question, cup: GelTime, largest_kg: float) -> str:
    share = question.working_share[0]
    largest = f" The largest mix in this log was {largest_kg:g} kg." if largest_kg > 0 else ""
    return (
        f"Mix no more than you can use in about {share * cup.median:.0f} min "
        f"({100 * share:.0f} % of the gel time expected), less until the cup test agrees; a big "
        f"pot gels sooner and runs hot.{largest}"
    )


def _rests_on(basis: Basis) -> str:
    used, last = basis.jobs_used, basis.last_record
    if not used or last is None:
        return "Rests on no gel time of this shop, only on trade figures."
    times = "1 logged gel time" if used == 1 else f"{used} logged gel times"
    return f"Rests on {times}, the last on {day_words(last)}."
