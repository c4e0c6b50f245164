"""What one cup says about its lot, beside what was expected of it."""

from __future__ import annotations

import math

from analytics.catalyst.advice import Learnt, basis_of
from analytics.catalyst.answer import DoseLimits, GelTime, Window
from analytics.catalyst.cautions import Pot, ten_cautions
from analytics.catalyst.cup import Cup, CupAnswer, LotOffset
from analytics.catalyst.dose_range import catalyst_density, dose_limits
from analytics.catalyst.model import GelTimeModel
from analytics.catalyst.priors import NINETY_PCT_Z
from analytics.catalyst.question import Question, working_share
from analytics.catalyst.readings import GelReadings
from analytics.knowledge.model import Knowledge
from analytics.physics.dose import catalyst_g, catalyst_ml
from analytics.records.log import Log

SETTLED_RATIO = 1.25
"""An interval inside 1/1.25 to 1.25 of the usual lot is narrow enough to call the lot as usual."""


def expected_of(cup: Cup, readings: GelReadings, model: GelTimeModel) -> GelTime:
    """What the model, not yet told of this cup, expects of it [min]."""
    product = readings.products.get(cup.lot, readings.last_product)
    made = model.predict(cup.temperature_c, cup.catalyst_pct, lot=cup.lot, product=product)
    low, high = made.interval()
    return GelTime(float(made.median[0]), float(low[0]), float(high[0]))


def lot_offset(lot: str, model: GelTimeModel) -> LotOffset:
    """The lot's offset as the model has it."""
    mean, sd = model.lot_offset(lot)
    half = NINETY_PCT_Z * sd
    cups = sum(1 for name in model.records_.lot if name and name == lot)
    return LotOffset(math.exp(mean), math.exp(mean - half), math.exp(mean + half), cups)


def verdict(cup: Cup, expected: GelTime, offset: LotOffset, tolerance: float, used: int) -> str:
    """Which of the four verdicts holds; "stop" comes before what is known of the lot."""
    if abs(cup.gel_min / expected.median - 1.0) > tolerance:
        return "stop"
    if not cup.lot or not used or offset.cups == 0:
        return "not enough to tell"
    if offset.low > 1.0 or offset.high < 1.0:
        return "drifted"
    settled = offset.low >= 1 / SETTLED_RATIO and offset.high <= SETTLED_RATIO
    return "as expected" if settled else "not enough to tell"


def words(
    cup: Cup, expected: GelTime, offset: LotOffset, found: str, tolerance: float, used: int
) -> tuple[str, ...]:
    """The verdict in sentences."""
    told = [
        f"{cup.gel_min:g} min at {cup.temperature_c:.1f} °C and {cup.catalyst_pct:.2f} %; about "
        f"{expected.median:.0f} min was expected ({expected.low:.0f} to {expected.high:.0f})."
    ]
    if found == "stop":
        told.append(_stop(cup, expected, tolerance))
    if not used:
        told.append(
            "No gel time of this shop is behind that expectation yet, only the trade's figures: "
            "check the scales and thermometer, and do a second cup."
        )
    told.append(_lot_words(cup, offset, used))
    return tuple(told)


def _stop(cup: Cup, expected: GelTime, tolerance: float) -> str:
    side = "slower" if cup.gel_min > expected.median else "faster"
    return (
        f"Stop and check: more than {100 * tolerance:.0f} % {side} than expected. Weigh the "
        "catalyst again, measure the temperature of the resin, look at lot and date, and do a "
        "second cup before using it. One odd cup counts little until a second one agrees."
    )


def _lot_words(cup: Cup, offset: LotOffset, used: int) -> str:
    if not cup.lot:
        return "No lot was named: nothing can be said about a lot."
    told = _times(offset)
    if not used or not offset.cups:
        return f"Lot {cup.lot}: not enough to tell whether it has drifted."
    if offset.low > 1.0 or offset.high < 1.0:
        side = "slower" if offset.ratio > 1 else "faster"
        return f"Lot {cup.lot} gels {side} than the usual lot: {told}."
    if offset.low >= 1 / SETTLED_RATIO and offset.high <= SETTLED_RATIO:
        return f"Lot {cup.lot} gels like the usual lot: {told}."
    return f"Lot {cup.lot}: not enough to tell whether it has drifted ({told})."


def _times(offset: LotOffset) -> str:
    cups = "1 gel time" if offset.cups == 1 else f"{offset.cups} gel times"
    return (
        f"{offset.ratio:.2f} times as long, 9 in 10 between {offset.low:.2f} and "
        f"{offset.high:.2f}, from {cups} of this lot"
    )


def cup_answer(
    log: Log,
    knowledge: Knowledge,
    cup: Cup,
    *,
    before: Learnt,
    after: Learnt,
    kept: str | None = None,
) -> CupAnswer:
    """What a cup test says: `before` was learnt without it, `after` with it.

    `cup` has been through `Cup.checked`; `kept` is the number of the record it was kept as.
    """
    used = basis_of(before.readings, before.model)
    expected = expected_of(cup, before.readings, before.model)
    offset = lot_offset(cup.lot, after.model)
    tolerance = knowledge.constants["cup-test-tolerance"].value
    found = verdict(cup, expected, offset, tolerance, used.jobs_used)
    product = before.readings.products.get(cup.lot, before.readings.last_product)
    limits, _ = dose_limits(log.lots, knowledge, cup.material, cup.lot, product, None)
    question = _as_question(cup, product, limits, knowledge)
    density = catalyst_density(log.lots, knowledge, None)
    grams = float(catalyst_g(cup.mass_kg, cup.catalyst_pct))
    ml = float(catalyst_ml(cup.mass_kg, cup.catalyst_pct, density.g_ml))
    pot = Pot(cup.catalyst_pct, grams, ml, density)
    return CupAnswer(
        material=cup.material,
        lot=cup.lot,
        temperature_c=cup.temperature_c,
        catalyst_pct=cup.catalyst_pct,
        gel_min=cup.gel_min,
        expected=expected,
        ratio=cup.gel_min / expected.median,
        verdict=found,
        text=(
            *words(cup, expected, offset, found, tolerance, used.jobs_used),
            *_outside(cup, limits),
        ),
        offset=offset,
        limits=limits,
        jobs_used=used.jobs_used,
        cautions=ten_cautions(question, pot, expected, used, knowledge),
        kept=kept,
    )


def _as_question(cup: Cup, product: str, limits: DoseLimits, knowledge: Knowledge) -> Question:
    return Question(
        material=cup.material, temperature_c=cup.temperature_c, window=Window(1.0, 1.0),
        pot_kg=cup.mass_kg, lot=cup.lot, product=product, film=False, humidity_pct=math.nan,
        limits=limits, working_share=working_share(knowledge),
    )  # fmt: skip


def _outside(cup: Cup, limits: DoseLimits) -> tuple[str, ...]:
    if limits.low <= cup.catalyst_pct <= limits.high:
        return ()
    return (
        f"{cup.catalyst_pct:.2f} % is outside the range in force, {limits.low:g} to "
        f"{limits.high:g} %: do not use this dose on a part.",
    )
