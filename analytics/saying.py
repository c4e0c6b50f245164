"""Sentences in the units a shop chose: metric figures said the US way, and nothing else.

Answers are made in metric. What is shown to a person goes through `said` on its way out; what other
programs read does not. A temperature is written "18 °C" and a difference of temperatures
"3 degrees C" everywhere, so that the first is shifted and the second only stretched.

Grams and millilitres stay, with ounces beside them: catalyst is weighed in grams and drawn up in
millilitres in US shops too, and an ounce by weight is easily taken for one by volume.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Literal

from analytics.units import SOLD_BY_THE_OUNCE, US_FL_OZ_ML, convert, mat_ounces

System = Literal["metric", "us"]
SYSTEMS: tuple[System, ...] = ("metric", "us")
DEGREES_APART = "degrees C"
"""How a difference of temperatures is written; "°C" is for temperatures only."""

_US_UNITS: Mapping[str, str] = {
    "°C": "°F", DEGREES_APART: "degrees F", "kg": "lb", "m2": "ft2", "m²": "ft²", "mm": "mil",
    "g/m2": "oz/ft2", "g/ml": "lb/US gal", "g": "oz", "ml": "fl oz", "cm": "in",
}  # fmt: skip
# How far a rounded figure may be off, as a share: films and wet mats are gauged no finer.
_MAY_BE_OFF: Mapping[str, float] = {
    "lb": 0.005, "lb/US gal": 0.005, "ft2": 0.01, "ft²": 0.01, "oz": 0.01, "fl oz": 0.01,
    "oz/ft2": 0.01, "oz/yd2": 0.01, "mil": 0.025, "in": 0.025,
}  # fmt: skip
_SOLD_AS: Mapping[tuple[float, str], float] = {
    (g_m2, mat_ounces(oz)): oz for oz, g_m2 in SOLD_BY_THE_OUNCE.items()
}
_MOST_MIL_MM = 1.5
"""Films are spoken of in mil, laminates and distances in inches."""
_KEPT_BESIDE = ("g", "ml", "g/ml")

_FIGURE = r"\d{1,3}(?:,\d{3})+(?![\d,])|\d+(?:\.\d+)?"
_START = r"(?<![\w.,/+×:–])(?<!\w-)"
_NUMBER = rf"-?(?:{_FIGURE})"
_BETWEEN = r" to | or | and | against | up to |–|-"
_END = r"(?![\w/²³°])(?! per )(?! / [\d.]+ (?:fl )?(?:oz|lb))"
_UNIT = "|".join(sorted(map(re.escape, _US_UNITS), key=len, reverse=True))
_SAID = re.compile(
    rf"(?P<apart>± ?)?{_START}(?P<low>{_NUMBER})"
    rf"(?:(?P<between>{_BETWEEN})(?P<high>{_NUMBER}))? (?P<unit>{_UNIT}){_END}"
)
_PLY = r"(?:\d+ ?[x×] ?)?\d{2,4}(?: woven)?"
_NEXT_PLY = r"(?: ?[+/] ?| to | or | against |–|-)"
_PLIES = re.compile(
    rf"(?<![\w.,])(?P<plies>{_PLY}(?:{_NEXT_PLY}{_PLY})*) g/m2(?P<woven> woven)?{_END}"
)
_ONE_PLY = re.compile(r"(?P<count>\d+ ?[x×] ?)?(?P<weight>\d{2,4})(?P<woven> woven)?")
_MAT = re.compile(
    rf"{_START}(?P<low>\d{{3,4}})(?:(?P<between> to | or )(?P<high>\d{{3,4}}))?(?: g)? mat\b"
)
_BARE = re.compile(r"\s*[+-]?\d+(?:[.,]\d+)?\s*")
_QUOTED = re.compile(r"(\"[^\"\n]*\"|“[^”\n]*”)")
_TELLING = re.compile(r"\d ?(?:°C|degrees C|kg|g|mm|cm|ml|m2|m²|mat|woven)(?!\w)|g/m2")


def said(text: str, system: System) -> str:
    """The text with every metric figure said in the chosen units; metric text comes back as it is.

    Ranges keep one unit for both ends. A figure is rounded to what the metric one tells: read back,
    a temperature gives the same figure, a weight is within 0.5 %, a film or length within 2.5 %.
    What stands in quotation marks is what somebody typed, and stays so.
    """
    if system == "metric" or not _TELLING.search(text):
        return text
    return "".join(
        piece if _QUOTED.fullmatch(piece) else _own_words_said(piece)
        for piece in _QUOTED.split(text)
    )


def _own_words_said(text: str) -> str:
    text = _PLIES.sub(_plies_said, text)
    text = _MAT.sub(_mat_said, text)
    return _SAID.sub(_figures_said, text)


def said_unit(unit: str, system: System, *, like: float | None = None) -> str:
    """The unit a metric one is said in; `like` is a value it is for, as a length has two."""
    if system == "metric" or unit in _KEPT_BESIDE:
        return unit
    if unit == "mm" and like is not None and abs(like) > _MOST_MIL_MM:
        return "in"
    return _US_UNITS.get(unit, unit)


def said_value(value: float, unit: str, system: System, *, to: str = "") -> float:
    """A metric value in the unit it is said in, or in `to`; not rounded."""
    other = to or said_unit(unit, system, like=value)
    return value if other == unit else _converted(value, unit, other)


def apart(unit: str) -> str:
    """The unit of a difference between two values of a unit."""
    return DEGREES_APART if unit == "°C" else unit


def is_apart(unit: str) -> bool:
    """True for the unit of a difference of temperatures."""
    return unit == DEGREES_APART


def box_unit(unit: str, system: System, field: str = "") -> str:
    """The unit a box asks for: of two for lengths, films are gauged in mil."""
    film = not field or "wet" in field
    return said_unit(unit, system, like=0.0 if film else _MOST_MIL_MM + 1)


def in_metric(typed: str, unit: str, system: System) -> str:
    """What was typed into a box of this metric unit, in metric; no figure comes back as typed."""
    other = box_unit(unit, system)
    figure = _BARE.fullmatch(typed)
    if other == unit or figure is None:
        return typed
    return _trimmed(_back(float(typed.replace(",", ".")), other, unit), 4)


def in_box(metric: str | None, unit: str, system: System, field: str = "") -> str | None:
    """A metric figure as its box shows it, short but telling the same; else as it is."""
    other = box_unit(unit, system, field)
    if other == unit or metric is None or not _BARE.fullmatch(metric):
        return metric
    value = float(metric.replace(",", "."))
    told = _converted(value, unit, other)
    tries = (_trimmed(told, decimals) for decimals in range(7))
    return next(
        (text for text in tries if abs(_back(float(text), other, unit) - value) < 5e-5),
        _trimmed(told, 6),
    )


def with_unit(typed: str, unit: str, system: System, field: str = "") -> str:
    """A bare figure with the unit its box asked for; with a unit of its own, as typed."""
    other = box_unit(unit, system, field)
    return f"{typed.strip()} {other}" if other != unit and _BARE.fullmatch(typed) else typed


def _trimmed(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if decimals else text


def _converted(value: float, unit: str, other: str) -> float:
    if unit == DEGREES_APART:
        return value * 1.8
    if unit == "ml":
        return value / US_FL_OZ_ML
    if unit == "g/m2" and (value, other) in _SOLD_AS:
        return _SOLD_AS[value, other]
    return convert(value, unit.replace("²", "2"), other.replace("²", "2"))


def _back(value: float, other: str, unit: str) -> float:
    """The metric value of a US one, finer than any shop measures."""
    if unit == "g/m2" and value in SOLD_BY_THE_OUNCE:
        return SOLD_BY_THE_OUNCE[value]
    return convert(value, other.replace("²", "2"), unit.replace("²", "2"))


def _figures_said(found: re.Match[str]) -> str:
    if found["between"] == " and " and not found.string[: found.start()].endswith("between "):
        # the first figure may be of something else
        return found[0]
    unit = DEGREES_APART if found["apart"] and found["unit"] == "°C" else found["unit"]
    figures = [text for text in (found["low"], found["high"]) if text]
    most = max(abs(_read(text)) for text in figures)
    other = _us_unit(unit, most)
    told = [_figure(text, unit, other) for text in figures]
    if unit in _KEPT_BESIDE:
        return f"{found[0]} / {' to '.join(told)} {other}"
    return f"{found['apart'] or ''}{(found['between'] or '').join(told)} {other}"


def _us_unit(unit: str, most: float) -> str:
    if unit == "mm":
        return "mil" if most <= _MOST_MIL_MM else "in"
    return _US_UNITS[unit]


def _read(figure: str) -> float:
    return float(figure.replace(",", ""))


def _figure(metric: str, unit: str, other: str) -> str:
    """The shortest figure that tells no less than the metric one."""
    value = _read(metric)
    true = _converted(value, unit, other)
    decimals = len(metric.partition(".")[2])
    if unit == DEGREES_APART:
        return _plain(true, max(1, decimals))
    fits = _reads_back(value, decimals) if unit == "°C" else _near(true, _MAY_BE_OFF[other])
    return next((text for n in range(6) if fits(text := _plain(true, n))), _plain(true, 6))


def _reads_back(value: float, decimals: int) -> Callable[[str], bool]:
    return lambda text: round(convert(_read(text), "°F", "°C"), decimals) == round(value, decimals)


def _near(true: float, share: float) -> Callable[[str], bool]:
    return lambda text: abs(_read(text) - true) <= share * abs(true)


def _plain(value: float, decimals: int) -> str:
    text = f"{value:,.{decimals}f}"
    return text.rstrip("0").rstrip(".") if decimals else text


def _plies_said(found: re.Match[str]) -> str:
    """Plies "225 + 2x450" as "0.75 + 2x1.5 oz/ft2"; woven goes by the square yard."""
    if found["woven"] or "woven" in found["plies"]:
        told = _ONE_PLY.sub(lambda one: _ply(one, bool(found["woven"]), named=True), found["plies"])
        return told + (" woven" if found["woven"] else "")
    return _ONE_PLY.sub(lambda one: _ply(one, False), found["plies"]) + " oz/ft2"


def _ply(found: re.Match[str], woven: bool, *, named: bool = False) -> str:
    woven = woven or bool(found["woven"])
    unit = "oz/yd2" if woven else "oz/ft2"
    weight = _figure(found["weight"], "g/m2", unit)
    told = f"{weight} {unit}" if named else weight
    return f"{found['count'] or ''}{told}{' woven' if found['woven'] else ''}"


def _mat_said(found: re.Match[str]) -> str:
    told = [_figure(text, "g/m2", "oz/ft2") for text in (found["low"], found["high"]) if text]
    return f"{(found['between'] or '').join(told)} oz mat"
