"""What to do where no dose inside the range gives the wanted gel time."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from analytics.catalyst.choice import Choice, choose, in_window, middle_min
from analytics.catalyst.model import GelTimeModel
from analytics.catalyst.question import COLD_C, HOT_C, Question

FASTER = "ask the supplier for a faster (winter) grade"
SLOWER = "ask the supplier for a slower (summer) grade"


def instead_of_dose(question: Question, model: GelTimeModel, choice: Choice) -> tuple[str, ...]:
    """Plain sentences: warm, cool, wait, smaller mixes, another grade. Empty where a dose does it.

    Temperatures are computed: the first whole degree from 15 to 30 °C at which some dose of the
    range puts the expected gel time inside the window, and the first at which it reaches its
    middle.
    """
    temperature_c, median = choice.temperature_c, choice.gel_min.median
    if temperature_c < COLD_C:
        return _too_cold(question, model, median)
    if temperature_c > HOT_C:
        return _too_hot(question, model, median)
    if median > question.window.high:
        return _too_slow(question, model, choice)
    if median < question.window.low:
        return _too_fast(question, model, choice)
    return ()


def _too_cold(question: Question, model: GelTimeModel, median: float) -> tuple[str, ...]:
    slow = median > question.window.high
    return (
        f"It is {question.temperature_c:.4g} °C: below {COLD_C:g} °C polyester may gel and still "
        "never cure, and more catalyst does not mend that.",
        f"Warm resin, mould and shop: {_aim(question, model, _upwards(COLD_C))}.",
        "If that cannot be done, wait for a warmer hour or day.",
        *((f"Or {FASTER}.",) if slow else ()),
    )


def _too_hot(question: Question, model: GelTimeModel, median: float) -> tuple[str, ...]:
    fast = median < question.window.low
    return (
        f"It is {question.temperature_c:.4g} °C: above {HOT_C:g} °C gel and heat run ahead of you, "
        "and too little catalyst leaves it under-cured.",
        f"Cool resin, mould and shop: {_aim(question, model, _downwards(HOT_C))}.",
        "If that cannot be done, wait: work early in the morning, out of the sun, in small mixes.",
        *((f"Or {SLOWER}.",) if fast else ()),
    )


def _told_apart(median: float, wanted: float) -> str:
    """Minutes, with a decimal where they would else read the same as those wanted."""
    return f"{median:.0f}" if round(median) != round(wanted) else f"{median:.1f}"


def _too_slow(question: Question, model: GelTimeModel, choice: Choice) -> tuple[str, ...]:
    gels = _told_apart(choice.gel_min.median, question.window.high)
    return (
        f"The most the range allows, {question.limits.high:g} %, is expected to gel in about "
        f"{gels} min; {question.window.high:.0f} min at most was wanted. "
        "Do not go over the range.",
        f"Warm resin and mould: {_aim(question, model, _upwards(choice.temperature_c))}.",
        f"Or {FASTER}, or plan for the longer time.",
    )


def _too_fast(question: Question, model: GelTimeModel, choice: Choice) -> tuple[str, ...]:
    usable_min = question.working_share[0] * choice.gel_min.median
    gels = _told_apart(choice.gel_min.median, question.window.low)
    return (
        f"The least the range allows, {question.limits.low:g} %, is expected to gel in about "
        f"{gels} min; {question.window.low:.0f} min at least was wanted. "
        "Do not go under the range.",
        f"Cool resin and mould: {_aim(question, model, _downwards(choice.temperature_c))}.",
        f"Make smaller mixes, each used up in about {usable_min:.0f} min, and spread each out of "
        "the pot at once.",
        f"Or {SLOWER}.",
    )


def _upwards(from_c: float) -> range:
    return range(math.ceil(from_c), int(HOT_C) + 1)


def _downwards(from_c: float) -> range:
    return range(math.floor(from_c), int(COLD_C) - 1, -1)


def _aim(question: Question, model: GelTimeModel, degrees: Iterable[int]) -> str:
    """The first temperature where a dose does it, and the one where it does it with room."""
    tried = [choose(question, model, float(degree)) for degree in degrees]
    least = _first(tried, lambda choice: in_window(question, choice))
    if least is None:
        return f"but no temperature from {COLD_C:g} to {HOT_C:g} °C does it with this material"
    comfortable = _first(tried, lambda choice: _reaches_middle(question, choice))
    told = f"at {_there(least)}"
    if comfortable is None or comfortable is least:
        return told
    return f"{told}; better still, at {_there(comfortable)}"


def _reaches_middle(question: Question, choice: Choice) -> bool:
    medians = choice.prediction.median
    return bool(medians[-1] <= middle_min(question) <= medians[0])


def _first(tried: Iterable[Choice], fits: Callable[[Choice], bool]) -> Choice | None:
    return next((choice for choice in tried if fits(choice)), None)


def _there(choice: Choice) -> str:
    gel = choice.gel_min.median
    return (
        f"{choice.temperature_c:g} °C {choice.catalyst_pct:.2f} % should gel in about {gel:.0f} min"
    )
