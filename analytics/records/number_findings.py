"""What to say about figures that are out of range, unclear or only roughly known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from analytics.records.cells import Finding
from analytics.records.coded import Coded
from analytics.records.context import OTHER_UNITS, Context
from analytics.records.fields import Field
from analytics.units import (
    DOSES,
    UNCLEAR_DOSES,
    Densities,
    convert,
    dose_pct,
    is_rough,
    quantity_of,
)

SHORT = {"mass %": "%", "mil": "thou", "oz mat": "oz"}


def range_text(field: Field) -> str:
    """The plausible range in words: "0.08 to 2 mm"."""
    unit = {"mass %": "% by mass", "count": "", "1-5": "", "money": ""}.get(
        field.unit or "", field.unit or ""
    )
    return f"{field.low:g} to {field.high:g} {unit}".strip()


def implausible(
    code: int, text: str, number: float, value: float, unit: str, field: Field
) -> Finding:
    """A figure out of its plausible range, with what it may have been meant as."""
    meant = f" (that is {value:.3g} {field.unit})" if unit != field.unit else ""
    guess = _other_meaning(number, unit, field)
    action = "left unknown. Put the right figure in the log and import it again."
    if guess:
        action = f"left unknown. If {guess} was meant, type {guess}."
    return Finding("ask", text + meant, f"{field.name}, {range_text(field)}", action, code)


def _other_meaning(number: float, unit: str, field: Field) -> str | None:
    """What a figure that cannot be right may have been meant as: 65 % for 0.65, 1.7 for 17."""
    if unit == "%" and 0.1 <= number <= 1:
        return f"{number * 100:g} %"
    for other in (
        OTHER_UNITS.get(quantity_of(field.unit or "count"), ()) if unit == field.unit else ()
    ):
        if other not in (unit, "mass fraction", "fraction"):
            value = convert(number, other, unit)
            if _is_usual(value, field):
                return f"{number:g} {SHORT.get(other, other)}"
    for shifted in (number / 10, number * 10):
        if field.unit in ("mass %", "°C", "%", "mm") and _usual_in(shifted, unit, field):
            return f"{shifted:.4g} {SHORT.get(unit, unit)}"
    return None


def _is_usual(value: float, field: Field) -> bool:
    low, high = field.usual or (None, None)
    return low is not None and high is not None and low <= value <= high


def _usual_in(number: float, unit: str, field: Field) -> bool:
    """Whether a figure in this unit is a usual one; volumes at the middle of the densities."""
    if unit in DOSES:
        return _is_usual(dose_pct(number, unit, Densities(1.1, 1.1, 0.05)), field)
    return _is_usual(convert(number, unit, field.unit or unit), field)


def unreadable(code: int, text: str, field: Field) -> Finding:
    """A cell that should hold a figure and holds none."""
    return Finding(
        "ask",
        text,
        f"{field.name}, {range_text(field)}",
        "left unknown. Type a figure, with its unit if it is not the usual one.",
        code,
    )


def unclear_dose(code: int, text: str, unit: str, context: Context) -> Finding:
    """A dose per gallon that does not say which gallon."""
    choices = " or ".join(f'"{choice}"' for choice in UNCLEAR_DOSES[unit])
    return Finding(
        "ask",
        text,
        f"a dose per gallon that says which gallon, {choices}",
        f'left unknown. Say which: laylog place "{context.header}" {context.target} --unit'
        f' "{UNCLEAR_DOSES[unit][0]}".',
        code,
    )


def unclear_column(column: Coded, codes: Sequence[int], unit: str, context: Context) -> Finding:
    """A whole column of doses per gallon that does not say which gallon."""
    rows = int(column.counts[list(codes)].sum())
    example = unclear_dose(codes[0], column.texts[codes[0]], unit, context)
    found = f'{rows} doses in {unit}, the first "{example.found}"'
    return replace(example, found=found, code=None)


def rough(code: int, text: str, value: float, unit: str, field: Field) -> Finding:
    """A figure known only roughly, and what it was taken as."""
    spread = " give or take 30 %" if field.unit == "mass %" and is_rough(unit) else ""
    shown = f"{value:.3g} {field.unit}".replace("mass %", "% by mass").replace(" count", "")
    return Finding(
        "approximate",
        text,
        f"{field.name} as one figure",
        f"taken as about {shown}{spread}. Type the figure if you know it.",
        code,
    )
