"""What the figure rests on less than firmly: slips, constants held, thin or far records."""

from __future__ import annotations

import numpy as np

from analytics.catalyst.answer import SetAside
from analytics.catalyst.choice import Choice, in_window
from analytics.catalyst.gel_records import GelRecords
from analytics.catalyst.model import DOSE, ENERGY, GelTimeModel
from analytics.catalyst.priors import GelPrior
from analytics.catalyst.question import Question, usual_doses
from analytics.catalyst.readings import GelReadings
from analytics.errors import QuestionError
from analytics.knowledge.model import Knowledge
from analytics.physics.gel_time import activation_energy_kj_mol, dose_term
from analytics.physics.numbers import cold_term

SLIP_BELOW = 0.5
EVENS = 0.5
NEAR_C = 1.0
NEAR_PCT = 0.05


def slips(model: GelTimeModel) -> tuple[SetAside, ...]:
    """The records more likely slips of the pen than sound, each with what was expected."""
    rows = np.flatnonzero(model.sound_ < SLIP_BELOW)
    return tuple(_slip(model, int(row)) for row in rows)


def _slip(model: GelTimeModel, row: int) -> SetAside:
    records = model.records_
    temperature_c, pct = float(records.temperature_c[row]), float(records.catalyst_pct[row])
    expected = model.predict(
        temperature_c,
        pct,
        lot=records.lot[row],
        product=records.product[row],
        film=bool(records.film[row]),
        humidity_pct=float(records.humidity_pct[row]),
        catalyst_lot=records.group("catalyst_lot")[row],
        colour=records.group("colour")[row],
    )
    low, high = expected.interval()
    reason = (
        f"{records.gel_min[row]:g} min at {temperature_c:g} °C and {pct:g} %: about "
        f"{expected.median[0]:.0f} min ({low[0]:.0f} to {high[0]:.0f}) was expected; "
        "taken as a slip of the pen"
    )
    return SetAside(records.name[row], reason, float(model.sound_[row]))


def steepness_warning(records: GelRecords, prior: GelPrior) -> str | None:
    """A sentence where the records, taken at their word, put the temperature effect out of reason.

    The dose is taken out with the trade's power first. Two standard errors are allowed.
    """
    if len(records) < 2:
        return None
    adjusted = np.log(records.gel_min) + prior.dose_power.mean * dose_term(records.catalyst_pct)
    try:
        energy = activation_energy_kj_mol(records.temperature_c, np.exp(adjusted))
    except QuestionError:
        return None
    cold = np.asarray(cold_term(records.temperature_c))
    scatter = np.hypot(prior.noise.middle, prior.lot.middle)
    room = 2.0 * scatter / np.sqrt(np.sum((cold - cold.mean()) ** 2))
    low, high = prior.energy_kj_mol.low, prior.energy_kj_mol.high
    if low - room <= energy <= high + room:
        return None
    return (
        f"Taken at their word the logged gel times imply a temperature effect of {energy:.0f} "
        f"kJ/mol; {low:g} to {high:g} is believable. Some of them must be slips: look at their "
        "temperatures and minutes."
    )


def model_warnings(readings: GelReadings, model: GelTimeModel) -> tuple[str, ...]:
    """What the reader should know about the records and the fit, whatever the question."""
    found = []
    if not len(model.records_) and not readings.sheet:
        found.append(
            "No gel time is logged for this material and no data-sheet point is entered: the "
            "figure is a practice estimate. Do a cup test and log it."
        )
    if readings.incomplete:
        found.append(
            f"{readings.incomplete} logged gel times have no dose or no temperature beside them "
            "and could not be used."
        )
    steep = steepness_warning(model.records_, model.prior)
    names = {ENERGY: "temperature", DOSE: "dose"}
    held = [
        f"The log puts the effect of {names[column]} outside what the trade has seen; it was held "
        "at the nearest believable value."
        for column in model.held_
    ]
    return (*found, *((steep,) if steep else ()), *held)


def reach_warnings(
    records: GelRecords, temperature_c: float, catalyst_pct: float
) -> tuple[str, ...]:
    """A sentence for each of temperature and dose that lies outside what the log has seen."""
    if not len(records):
        return ()
    asked = (
        ("temperature", temperature_c, records.temperature_c, NEAR_C, "°C"),
        ("dose", catalyst_pct, records.catalyst_pct, NEAR_PCT, "%"),
    )
    return tuple(
        f"The log has gel times from {seen.min():.3g} to {seen.max():.3g} {unit} only; at "
        f"{value:.3g} {unit} the {name} effect is the trade's, not this shop's."
        for name, value, seen, near, unit in asked
        if not seen.min() - near <= value <= seen.max() + near
    )


def known_doubts(
    question: Question, readings: GelReadings, model: GelTimeModel, choice: Choice
) -> tuple[str, ...]:
    """Everything the reader should know about this dose, from this log and this model."""
    records = model.records_
    reach = reach_warnings(records, question.temperature_c, choice.catalyst_pct)
    found = [*model_warnings(readings, model), *reach]
    if question.lot and question.lot not in model.lots_:
        found.append(f"Lot {question.lot} has no logged gel time yet: cup test it before use.")
    if choice.chance < EVENS and in_window(question, choice):
        found.append(
            f"The chance is only {100 * choice.chance:.0f} % although the expected time fits: "
            "the window is narrow for how much gel times differ here. A cup test of this lot "
            "narrows it."
        )
    largest = np.nanmax(readings.mass_kg, initial=0.0)
    if 0 < largest < question.pot_kg:
        found.append(
            f"The largest mix in the log is {largest:g} kg; {question.pot_kg:g} kg may gel sooner "
            "and run hotter than the figure says."
        )
    return tuple(found)


def unusual_dose(knowledge: Knowledge, material: str, catalyst_pct: float) -> tuple[str, ...]:
    """A note where the dose is inside the range but outside what is usual in the trade."""
    usual = usual_doses(knowledge, material)
    if usual is None or usual[0] <= catalyst_pct <= usual[1]:
        return ()
    return (
        f"{catalyst_pct:.2f} % is inside the range but outside the usual {usual[0]:g} to "
        f"{usual[1]:g} %: check it against the data sheet.",
    )
