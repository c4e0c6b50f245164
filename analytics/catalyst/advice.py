"""How much catalyst, today: the dose inside the range with the best chance of the wanted time."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property

import numpy as np

from analytics.catalyst.answer import (
    CatalystAdvice,
    Density,
    DoseLimits,
    GelTime,
    LearntLaw,
    SetAside,
)
from analytics.catalyst.cautions import Basis, Pot, cure_risks, ten_cautions
from analytics.catalyst.choice import Choice, choose, in_window
from analytics.catalyst.dose_range import SheetRange, as_volume, catalyst_density, dose_limits
from analytics.catalyst.doubts import SLIP_BELOW, known_doubts, slips, unusual_dose
from analytics.catalyst.gel_records import SheetPoint
from analytics.catalyst.instead import instead_of_dose
from analytics.catalyst.model import DOSE, ENERGY, FILM, HUMIDITY, GelTimeModel
from analytics.catalyst.priors import GelPrior
from analytics.catalyst.question import (
    COLD_C,
    HOT_C,
    Question,
    check_humidity,
    check_initiator,
    check_pot,
    check_temperature,
    check_use,
    known_material,
    usual_doses,
    wanted_window,
    working_share,
)
from analytics.catalyst.readings import GelReadings, gel_readings, last_temperature
from analytics.catalyst.sheet_gel import SheetGel, sheet_wanted
from analytics.errors import QuestionError
from analytics.knowledge.model import Knowledge
from analytics.physics.dose import catalyst_g, catalyst_ml
from analytics.records.log import Log

DOSE_PLACES = 3
MOST_TOLD = 8
"""Data-sheet points whose model is kept beside the one without them."""


@dataclass(frozen=True)
class Learnt:
    """One material's gel times and the model fitted to them; keep it while the log is unchanged.

    `told` holds what was learnt with a data-sheet point more, for the next time it is asked.
    """

    readings: GelReadings
    model: GelTimeModel
    told: dict[SheetPoint, Learnt] = field(default_factory=dict, compare=False, repr=False)

    @cached_property
    def set_aside(self) -> tuple[SetAside, ...]:
        """The records that do not count: impossible ones, and likely slips of the pen."""
        return (*self.readings.set_aside, *slips(self.model))


def learn(log: Log, knowledge: Knowledge, material: str) -> Learnt:
    """The gel-time model of one material, fitted to everything the log holds about it."""
    kind = known_material(material)
    readings = gel_readings(log, kind)
    model = GelTimeModel(GelPrior.of(knowledge.constants, kind))
    return Learnt(readings, model.fit(readings.records, readings.sheet))


def taught(known: Learnt, knowledge: Knowledge, kind: str, told: SheetPoint) -> Learnt:
    """The same with a gel time off a data sheet that is not in the lots table."""
    learnt = known.told.get(told)
    if learnt is None:
        readings = replace(known.readings, sheet=(*known.readings.sheet, told))
        model = GelTimeModel(GelPrior.of(knowledge.constants, kind))
        learnt = Learnt(readings, model.fit(readings.records, readings.sheet))
        for oldest in list(known.told)[: len(known.told) + 1 - MOST_TOLD]:
            known.told.pop(oldest, None)
        known.told[told] = learnt
    return learnt


def advise(
    log: Log,
    knowledge: Knowledge,
    *,
    material: str,
    today: date,
    temperature_c: float | None = None,
    window_min: tuple[float, float] | None = None,
    working_min: float | None = None,
    pot_kg: float = 1.0,
    lot: str | None = None,
    dose_pct: float | None = None,
    sheet_range: SheetRange | None = None,
    density_g_ml: float | None = None,
    humidity_pct: float | None = None,
    gel_at: str = "cup",
    initiator: str = "MEKP",
    sheet_gel: SheetGel | None = None,
    use: str = "general",
    catalyst_lot: str | None = None,
    colour: str | None = None,
    learnt: Learnt | None = None,
) -> CatalystAdvice:
    """The catalyst for one pot: dose, grams, ml, expected gel time, chance, and what else to do.

    Parameters
    ----------
    material : str
        "gelcoat" or "resin".
    today : date
        To pick the last logged temperature and to see how old it is.
    temperature_c : float, optional
        Mean of resin and mould temperature [°C]; without it the last one logged is taken.
    window_min : (float, float), optional
        Gel time wanted, from and to [min].
    working_min : float, optional
        Working time wanted [min], instead of a window; gel time is taken as 1/0.8 to 1/0.6 of it.
    pot_kg : float
        Resin or gel coat in the pot [kg].
    lot : str, optional
        Its lot; without it the interval allows for a lot not seen before.
    dose_pct : float, optional
        Look at this dose [mass %] in place of the best one.
    sheet_range : SheetRange, optional
        Dose range typed in from a data sheet.
    density_g_ml : float, optional
        Density of the catalyst solution [g/ml].
    humidity_pct : float, optional
        Air humidity [%], used only where the log shows that it matters.
    gel_at : str
        "cup" (cup or pot) or "film": where the wanted gel time is counted.
    initiator : str
        Anything but MEKP is refused.
    sheet_gel : SheetGel, optional
        A gel time typed in from the data sheet: the quickest way to a good first figure.
    use : str
        "general"; "food", "structural" or "classed" only where a data sheet's range is loaded.
    catalyst_lot, colour : str, optional
        Lot of the catalyst and colour of the gel coat, heeded where the log shows a difference.
    learnt : Learnt, optional
        From `learn`, to save fitting again.

    Raises
    ------
    QuestionError
        The question cannot be answered as asked; one sentence says why and what to do.
    """
    check_initiator(initiator)
    kind = known_material(material)
    density = catalyst_density(log.lots, knowledge, density_g_ml)
    at_c, temperature_from, stale = _temperature(log, temperature_c, today)
    known = learnt or learn(log, knowledge, kind)
    window, assumed = wanted_window(
        window_min, working_min, knowledge, kind, known.readings.records.gel_min
    )
    product = known.readings.products.get(lot or "", known.readings.last_product)
    if sheet_gel is not None:
        known = taught(known, knowledge, kind, sheet_gel.point(product))
    limits, cut = dose_limits(log.lots, knowledge, kind, lot or "", product, sheet_range)
    check_use(use, limits)
    question = Question(
        material=kind,
        temperature_c=at_c,
        window=window,
        pot_kg=check_pot(pot_kg),
        lot=lot or "",
        product=product,
        film=_film(gel_at),
        humidity_pct=check_humidity(humidity_pct),
        limits=limits,
        working_share=working_share(knowledge),
        catalyst_lot=catalyst_lot or "",
        colour=(colour or "").strip().casefold(),
        usual=usual_doses(knowledge, kind),
    )
    answer = _answer(question, known, knowledge, density, _given_dose(dose_pct, limits))
    unusual = unusual_dose(knowledge, kind, answer.catalyst_pct)
    return replace(
        answer,
        temperature_from=temperature_from,
        warnings=(*assumed, *stale, *cut, *unusual, *answer.warnings),
    )


def _answer(
    question: Question,
    known: Learnt,
    knowledge: Knowledge,
    density: Density,
    dose_pct: float | None,
) -> CatalystAdvice:
    readings, model, at_c = known.readings, known.model, question.temperature_c
    best = choose(question, model, at_c)
    choice = best if dose_pct is None else choose(question, model, at_c, dose_pct)
    pct = choice.catalyst_pct
    grams = float(catalyst_g(question.pot_kg, pct))
    ml = float(catalyst_ml(question.pot_kg, pct, density.g_ml))
    basis, pot = basis_of(readings, model), Pot(pct, grams, ml, density)
    feasible = in_window(question, choice) and COLD_C <= at_c <= HOT_C
    return CatalystAdvice(
        material=question.material,
        temperature_c=at_c,
        temperature_from="given",
        lot=question.lot or None,
        pot_kg=question.pot_kg,
        window=question.window,
        catalyst_pct=pct,
        limits=question.limits,
        gel_min=choice.gel_min,
        gel_at="film" if question.film else "cup",
        chance=choice.chance,
        feasible=feasible,
        instead=() if feasible else _instead(question, model, best, choice),
        grams=grams,
        ml=ml,
        density=density,
        curve=choice.points(),
        cure_risks=cure_risks(at_c, pct, question.film, knowledge.constants),
        cautions=ten_cautions(question, pot, _cup(question, model, pct), basis, knowledge),
        warnings=known_doubts(question, readings, model, choice),
        jobs_used=basis.jobs_used,
        last_record=basis.last_record,
        set_aside=known.set_aside,
        law=_law(question, model),
        ask_first=sheet_wanted(readings, basis.jobs_used, question.product),
    )


def _temperature(
    log: Log, given_c: float | None, today: date
) -> tuple[float, str, tuple[str, ...]]:
    """Temperature [°C], where it is from, and a warning where it was logged on another day."""
    if given_c is not None:
        return check_temperature(given_c), "given", ()
    read = last_temperature(log, today)
    if read is None:
        raise QuestionError(
            "no temperature is logged; measure the resin and the mould and give the mean in °C"
        )
    where = f"{read.where}, {read.when:%Y-%m-%d %H:%M}"
    stale = (
        f"The last logged temperature is from {read.when:%Y-%m-%d}, not from today: measure the "
        "resin and the mould.",
    )
    told = () if read.when.date() == today else stale
    return check_temperature(read.temperature_c), where, told


def _film(gel_at: str) -> bool:
    if gel_at not in {"cup", "pot", "film"}:
        raise QuestionError(f'gel time is counted in "cup", "pot" or "film", not "{gel_at}"')
    return gel_at == "film"


def _given_dose(dose_pct: float | None, limits: DoseLimits) -> float | None:
    if dose_pct is None:
        return None
    # no scale shows more places, and a figure refused must not read like one inside the range
    dose_pct = round(dose_pct, DOSE_PLACES)
    if limits.low <= dose_pct <= limits.high:
        return dose_pct
    raise QuestionError(
        f"a dose of {dose_pct:.10g} % is outside {limits.low:g} to {limits.high:g} % by mass "
        f"({limits.source}); no figure is given for it.{as_volume(dose_pct)}"
    )


def basis_of(readings: GelReadings, model: GelTimeModel) -> Basis:
    """How many logged gel times a figure rests on, the last one's day, the largest mix."""
    used = int(np.sum(model.sound_ >= SLIP_BELOW))
    largest = float(np.nanmax(readings.mass_kg, initial=0.0))
    return Basis(used, readings.last_day if used else None, largest)


def _instead(
    question: Question, model: GelTimeModel, best: Choice, choice: Choice
) -> tuple[str, ...]:
    otherwise = instead_of_dose(question, model, best)
    if choice is best or otherwise:
        return otherwise
    return (
        f"Use {best.catalyst_pct:.2f} % in place of {choice.catalyst_pct:.2f} %: the chance of "
        f"the wanted gel time is then {100 * best.chance:.0f} %, not {100 * choice.chance:.0f} %.",
    )


def _cup(question: Question, model: GelTimeModel, catalyst_pct: float) -> GelTime:
    """What the cup test should show, wherever the wanted gel time is counted."""
    cup = replace(question, film=False)
    return choose(cup, model, question.temperature_c, catalyst_pct).gel_min


def _law(question: Question, model: GelTimeModel) -> LearntLaw:
    """What the model believes, for the reader who asks how the figure came about."""
    level = model.level(question.lot, question.product)
    return LearntLaw(
        gel_min_20c_2pct=(float(np.exp(level[0])), level[1]),
        energy_kj_mol=model.constant(ENERGY),
        dose_exponent=model.constant(DOSE),
        film_over_cup=(float(np.exp(model.constant(FILM)[0])), model.constant(FILM)[1]),
        noise_sd=model.regression_.noise_sd_,
        lot_sd=model.regression_.lot_sd_,
        humidity_per_10_pct=model.constant(HUMIDITY) if model.humidity_ else None,
    )
