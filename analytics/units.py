"""Workshop units: names, exact factors, and doses of catalyst as a share by mass.

Factors come from the exact definitions of the yard, pound, gallon and inch (NIST SP 811, App. B).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

LB_G = 453.59237
FT_M = 0.3048
YD_M = 0.9144
OZ_G = LB_G / 16
US_GAL_ML = 3785.411784
IMP_GAL_ML = 4546.09
US_FL_OZ_ML = US_GAL_ML / 128
MONTH_DAYS = 365.25 / 12
# For a column that mixes 65 and 0.65: up to 1 is a fraction, above it percent.
PERCENT_OR_FRACTION = "percent or fraction"

SOLD_BY_THE_OUNCE: Mapping[float, float] = {
    0.75: 225.0, 1.0: 300.0, 1.5: 450.0, 2.0: 600.0, 3.0: 900.0, 18.0: 610.0, 24.0: 800.0,
}  # fmt: skip
"""Glass sold by the ounce and the g/m2 it is sold as, by the square foot below 5 oz and by the
square yard above: common practice, no published source."""

# unit -> (quantity, factor to the quantity's base, offset added after the factor)
_UNITS: Mapping[str, tuple[str, float, float]] = {
    "°C": ("temperature", 1.0, 0.0),
    "°F": ("temperature", 5 / 9, -160 / 9),
    "%": ("share", 1.0, 0.0),
    "fraction": ("share", 100.0, 0.0),
    "mm": ("length", 1.0, 0.0),
    "um": ("length", 1e-3, 0.0),
    "mil": ("length", 0.0254, 0.0),
    "cm": ("length", 10.0, 0.0),
    "in": ("length", 25.4, 0.0),
    "m": ("length", 1000.0, 0.0),
    "s": ("time", 1 / 60, 0.0),
    "min": ("time", 1.0, 0.0),
    "h": ("time", 60.0, 0.0),
    "days": ("time", 1440.0, 0.0),
    "weeks": ("time", 10080.0, 0.0),
    "months": ("time", 1440.0 * MONTH_DAYS, 0.0),
    "years": ("time", 1440.0 * 365.25, 0.0),
    "g/m2": ("areal", 1.0, 0.0),
    "kg/m2": ("areal", 1000.0, 0.0),
    "oz/ft2": ("areal", OZ_G / FT_M**2, 0.0),
    "oz/yd2": ("areal", OZ_G / YD_M**2, 0.0),
    "oz mat": ("areal", OZ_G / FT_M**2, 0.0),
    "kg": ("mass", 1.0, 0.0),
    "g": ("mass", 1e-3, 0.0),
    "lb": ("mass", LB_G / 1000, 0.0),
    "oz": ("mass", OZ_G / 1000, 0.0),
    "m2": ("area", 1.0, 0.0),
    "ft2": ("area", FT_M**2, 0.0),
    "g/ml": ("density", 1.0, 0.0),
    "kg/m3": ("density", 1e-3, 0.0),
    "lb/US gal": ("density", LB_G / US_GAL_ML, 0.0),
    "lb/ft3": ("density", LB_G / (FT_M**3 * 1e6), 0.0),
    "count": ("count", 1.0, 0.0),
    "1-5": ("score", 1.0, 0.0),
    "Barcol": ("hardness", 1.0, 0.0),
    "money": ("money", 1.0, 0.0),
}


@dataclass(frozen=True)
class Densities:
    """Densities [g/ml] and drop size [ml] that turn a dose by volume into a dose by mass."""

    catalyst_g_ml: float
    resin_g_ml: float
    drop_ml: float


@dataclass(frozen=True)
class DoseUnit:
    """A way of writing a dose: mass % = value * factor * catalyst density / resin density.

    `by_catalyst` and `by_resin` say which of the two densities take part; `drops` counts drops.
    """

    factor: float
    by_catalyst: bool = False
    by_resin: bool = False
    drops: bool = False


DOSES: Mapping[str, DoseUnit] = {
    "mass %": DoseUnit(1.0),
    "mass fraction": DoseUnit(100.0),
    "g/kg": DoseUnit(0.1),
    "g/lb": DoseUnit(100 / LB_G),
    "oz/lb": DoseUnit(100 / 16),
    "ml/kg": DoseUnit(0.1, by_catalyst=True),
    "ml/100 g": DoseUnit(1.0, by_catalyst=True),
    "cc/lb": DoseUnit(100 / LB_G, by_catalyst=True),
    "volume %": DoseUnit(1.0, by_catalyst=True, by_resin=True),
    "ml/l": DoseUnit(0.1, by_catalyst=True, by_resin=True),
    "cc/US gal": DoseUnit(100 / US_GAL_ML, by_catalyst=True, by_resin=True),
    "cc/imp gal": DoseUnit(100 / IMP_GAL_ML, by_catalyst=True, by_resin=True),
    "cc/US quart": DoseUnit(400 / US_GAL_ML, by_catalyst=True, by_resin=True),
    "fl oz/US gal": DoseUnit(100 / 128, by_catalyst=True, by_resin=True),
    "drops/fl oz": DoseUnit(100 / US_FL_OZ_ML, by_catalyst=True, by_resin=True, drops=True),
    "drops/oz": DoseUnit(100 / OZ_G, by_catalyst=True, drops=True),
    "drops/100 g": DoseUnit(1.0, by_catalyst=True, drops=True),
}
# A dose for one pot needs the mass of that pot as well.
POT_DOSES: Mapping[str, DoseUnit] = {
    "ml": DoseUnit(0.1, by_catalyst=True),
    "g": DoseUnit(0.1),
    "fl oz": DoseUnit(0.1 * US_FL_OZ_ML, by_catalyst=True),
    "oz": DoseUnit(0.1 * OZ_G),
    "drops": DoseUnit(0.1, by_catalyst=True, drops=True),
}
# Two gallons are in use; which one has to be said.
UNCLEAR_DOSES: Mapping[str, tuple[str, ...]] = {
    "cc/gal": ("cc/US gal", "cc/imp gal"),
    "oz/gal": ("fl oz/US gal",),
}

_SPELLINGS: Mapping[str, Mapping[str, str]] = {
    "temperature": {
        "°C": "c degc °c celsius centigrade degcelsius degreec degreesc degreescelsius cels cdeg",
        "°F": "f degf °f fahrenheit degfahrenheit degreef degreesf degreesfahrenheit fahr fdeg",
    },
    "share": {
        "%": "% pct pc p.c percent per cent %rh rh% percentage",
        "fraction": "fraction 0-1 ratio",
        PERCENT_OR_FRACTION: "percentorfraction %orfraction",
    },
    "length": {
        "mm": "mm millimetre millimetres millimeter millimeters",
        "um": "um micron microns micrometre micrometres mu mic",
        "mil": "mil mils thou thous th 0.001in",
        "cm": "cm",
        "in": 'in inch inches "',
        "m": "metre metres",
    },
    "time": {
        "s": "s sec secs second seconds",
        "min": "min mins minute minutes m ' ′ ’ mns mts minuts",
        "h": "h hr hrs hour hours hs hours. hour/s",
        "days": "d day days",
        "weeks": "w wk wks week weeks",
        "months": "months month mth mths mo mos",
        "years": "years year yr yrs y",
    },
    "areal": {
        "g/m2": "g/m2 gsm g gm g/sqm gm2 gm/m2 gr/m2 grams/m2 gms g/m gpsm grm gr g/sm gram grams",
        "kg/m2": "kg/m2 kg/sqm",
        "oz/ft2": "oz/ft2 oz/sqft oz/ft ozft2 oz/sf osf",
        "oz/yd2": "oz/yd2 oz/sqyd oz/yd ozyd2 oz/sy osy",
        "oz mat": "oz ounce ounces ozs oz.",
    },
    "mass": {
        "kg": "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes k",
        "g": "g gm gms gram grams gramme grammes gr grm",
        "lb": "lb lbs pound pounds #",
        "oz": "oz ounce ounces ozs",
    },
    "area": {
        "m2": "m2 sqm sqmetre sqmetres sqmeter sqmeters",
        "ft2": "ft2 sqft sqfeet sf",
    },
    "density": {
        "g/ml": "g/ml g/cc g/cm3 kg/l kg/ltr sg gm/cc",
        "kg/m3": "kg/m3",
        "lb/US gal": "lb/usgal lb/gal lbs/gal ppg",
        "lb/ft3": "lb/ft3 pcf",
    },
    "dose": {
        "mass %": "% pct percent %wt wt% %w %w/w w/w %byweight %bywt %bymass %mass mass% phr pph"
        " %weight weight% %ofweight byweight bymass wt %bw masspct %m/m pc p.c g/100g gm/100g"
        " gms/100g grams/100grams g/100gm parts/100 pts/100 p.h.r",
        "volume %": "%vol vol% %v %v/v v/v %byvolume %byvol %volume volume% byvolume byvol vol",
        "mass fraction": "fraction 0-1",
        "g/kg": "g/kg gm/kg gms/kg grams/kg gr/kg g/kilo grams/kilo gram/kg g/k",
        "g/lb": "g/lb gm/lb grams/lb gms/lb",
        "oz/lb": "oz/lb",
        "ml/kg": "ml/kg cc/kg mls/kg ccs/kg ml/kilo cc/kilo cm3/kg mls/kilo c.c./kg ccs/kilo ml/k"
        " cc/k mil/kg millilitres/kg",
        "ml/100 g": "ml/100g cc/100g mls/100g ccs/100g ml/100gm cc/100gm ml/100gms ml/100grams"
        " cc/100grams",
        "cc/lb": "cc/lb ml/lb mls/lb ccs/lb cc/lbs ml/lbs cc/pound ccs/pound ml/pound",
        "ml/l": "ml/l cc/l ml/litre cc/litre ml/ltr cc/ltr ml/liter cc/liter mls/litre ml/lt",
        "cc/US gal": "cc/usgal ml/usgal cc/usgallon ml/usgallon cc/galus cc/u.s.gal cc/u.s.gallon",
        "cc/imp gal": "cc/impgal ml/impgal cc/ukgal cc/impgallon cc/imperialgallon cc/galuk",
        "cc/gal": "cc/gal ml/gal cc/gallon ml/gallon ccs/gal ccs/gallon mls/gal",
        "cc/US quart": "cc/qt cc/quart ml/qt ml/quart cc/usqt cc/usquart ccs/quart cc/qrt",
        "fl oz/US gal": "floz/usgal floz/usgallon fluidoz/usgal",
        "oz/gal": "oz/gal oz/gallon floz/gal floz/gallon ounces/gallon",
        "drops/fl oz": "drops/floz drop/floz drops/fluidoz",
        "drops/oz": "drops/oz drop/oz drops/ounce dr/oz",
        "drops/100 g": "drops/100g drop/100g",
        "ml": "ml cc mls ccs c.c. cm3 millilitres milliliters",
        "g": "g gm gms gram grams grammes",
        "fl oz": "floz fl.oz fluidoz",
        "oz": "oz",
        "drops": "drops drop",
    },
    "count": {"count": "x off nr no coats coat layers layer plies ply pulls pull times parts ltrs"},
    "hardness": {"Barcol": "barcol bh b hb bu"},
    "score": {"1-5": "/5 outof5 1-5 1to5"},
    "money": {"money": "£ $ € gbp usd eur quid pounds dollars euro euros"},
}
# "ml per kg of resin" is "ml per kg".
_OF_RESIN = re.compile(r"(?:of)?(?:resin|gelcoat|gel|mix)$")
QUANTITIES: tuple[str, ...] = tuple(_SPELLINGS)
_CANONICAL_DOSE = "mass %"


def quantity_of(unit: str) -> str:
    """What a unit measures: "temperature", "length", "dose" …. Raises KeyError if unknown."""
    if unit in _UNITS:
        return _UNITS[unit][0]
    if unit in DOSES or unit in UNCLEAR_DOSES:
        return "dose"
    raise KeyError(unit)


def units_of(quantity: str) -> tuple[str, ...]:
    """The units laylog knows for a quantity."""
    return tuple(_SPELLINGS[quantity])


def unit_named(text: str, quantity: str) -> str | None:
    """The unit a shop's spelling means where this quantity is expected; None when unknown.

    Plain "oz" for glass is "oz mat", which `mat_ounces` settles by the figure.
    """
    table = _by_spelling(quantity)
    plain = plain_unit(text)
    if quantity == "dose" and plain not in table:
        plain = _OF_RESIN.sub("", plain)
    return table.get(plain)


@lru_cache(maxsize=20_000)
def plain_unit(text: str) -> str:
    """A unit as typed, without case, spaces, dots or ways of writing "per" and "square"."""
    # º and ˚ are typed for °, and would turn into letters
    flat = unicodedata.normalize("NFKC", text.replace("º", "°").replace("˚", "°")).lower()
    flat = flat.replace("μ", "u").replace("µ", "u").replace("℃", "°c").replace("℉", "°f")
    flat = re.sub(r"\bsq(?:uare)?\.?\s*", "sq", flat)
    flat = re.sub(r"\s*\b(?:per|a|each)\b\s*|\s*/\s*", "/", flat) if flat.strip() != "a" else flat
    flat = flat.replace("^", "").replace("**", "").replace(" ", "").strip(".")
    flat = flat.replace("deg.", "deg").replace("°.", "°")
    return {"/cent": "percent"}.get(flat, flat)


@lru_cache(maxsize=len(_SPELLINGS))
def _by_spelling(quantity: str) -> dict[str, str]:
    table: dict[str, str] = {}
    for unit, words in _SPELLINGS[quantity].items():
        table[plain_unit(unit)] = unit
        table.update({plain_unit(word): unit for word in words.split()})
    return table


def convert(value: float, unit: str, to: str) -> float:
    """The value in another unit of the same quantity. Raises ValueError across quantities."""
    if unit == to:
        return value
    if unit == "oz mat":
        unit = mat_ounces(value)
    quantity, factor, offset = _UNITS[unit]
    other, other_factor, other_offset = _UNITS[to]
    if quantity != other:
        raise ValueError(f"{unit} is a {quantity}, {to} is a {other}")
    return (value * factor + offset - other_offset) / other_factor


def mat_ounces(value: float) -> str:
    """The unit meant by plain "oz" for glass: mat goes by the square foot, woven by the yard.

    Below 5 oz it is oz/ft2, above it oz/yd2: common practice, no published source.
    """
    return "oz/ft2" if value < 5 else "oz/yd2"


def dose_pct(value: float, unit: str, densities: Densities) -> float:
    """Catalyst dose [% by mass] from a dose per amount of resin. Raises KeyError if unknown."""
    return value * _dose_factor(DOSES[unit], densities)


def pot_dose_pct(value: float, unit: str, mass_kg: float, densities: Densities) -> float:
    """Catalyst dose [% by mass] from what went into one pot of `mass_kg` [kg] of resin."""
    return value * _dose_factor(POT_DOSES[unit], densities) / mass_kg


def _dose_factor(dose: DoseUnit, densities: Densities) -> float:
    factor = dose.factor
    if dose.by_catalyst:
        factor *= densities.catalyst_g_ml
    if dose.by_resin:
        factor /= densities.resin_g_ml
    if dose.drops:
        factor *= densities.drop_ml
    return factor


def dose_basis(unit: str, densities: Densities) -> str:
    """How the dose was written, in words: "ml/kg at 1.16 g/ml"."""
    dose = DOSES[unit] if unit in DOSES else POT_DOSES[unit]
    words = unit if unit in DOSES else f"{unit} per pot"
    if dose.drops:
        words += f" of {densities.drop_ml:g} ml"
    if dose.by_catalyst:
        words += f" at {densities.catalyst_g_ml:g} g/ml"
    if dose.by_resin:
        words += f", resin {densities.resin_g_ml:g} g/ml"
    return words


def is_rough(unit: str) -> bool:
    """Whether a dose in this unit is only known to about 30 % (drops differ in size)."""
    dose = DOSES.get(unit) or POT_DOSES.get(unit)
    return dose is not None and dose.drops
