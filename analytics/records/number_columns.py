"""Columns of figures in their field's unit; what cannot be trusted is asked about."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from analytics.records.cells import Finding, Reading
from analytics.records.coded import Coded
from analytics.records.context import OTHER_UNITS, Context
from analytics.records.fields import Field
from analytics.records.number_findings import (
    SHORT,
    implausible,
    range_text,
    rough,
    unclear_column,
    unclear_dose,
    unreadable,
)
from analytics.records.numbers import Comma, Number, comma_style, read_number
from analytics.records.words import plain, words
from analytics.units import (
    PERCENT_OR_FRACTION,
    POT_DOSES,
    UNCLEAR_DOSES,
    Densities,
    convert,
    dose_basis,
    dose_pct,
    is_rough,
    quantity_of,
)

_THOUSANDS = re.compile(r"(?<![\d.,])\d{1,3}(?:\.\d{3})+(?![\d.,])")
_FRACTION_OF = {"%": "fraction", "mass %": "mass fraction"}
_MOST = 0.8
_MOST_FIT = 0.7
_FEW = 0.3
_ENOUGH = 3


def read_numbers(column: Coded, field: Field, context: Context) -> Reading:
    """A column of figures in the field's unit; what cannot be trusted is asked about."""
    codes = column.filled_codes
    quantity = quantity_of(field.unit or "count")
    comma = _comma_of([column.texts[code] for code in codes], field, context)
    found: Mapping[int, Number | None] = {
        code: _read_cell(column.texts[code], field, quantity, comma, context) for code in codes
    }
    unit, told = default_unit(column, found, field, context)
    reading = Reading([None] * len(column.texts), basis=[None] * len(column.texts))
    reading.findings += told
    baffling = _baffling(column, found, unit, field, context)
    if baffling:
        reading.findings.append(baffling)
        found = {code: number for code, number in found.items() if number and number.unit}
    if unit is not None and unit != field.unit:
        reading.remarks.append(f"read as {SHORT.get(unit, unit)}")
    found = _without_unclear(reading, column, found, unit, context)
    for code, number in found.items():
        _settle(reading, code, column.texts[code], number, unit, field, context)
    return reading


def _without_unclear(
    reading: Reading,
    column: Coded,
    found: Mapping[int, Number | None],
    default: str | None,
    context: Context,
) -> Mapping[int, Number | None]:
    """The cells but those in a unit that is not clear, which are asked about once for the column
    where most of it is in that unit."""
    unclear = {
        code: unit
        for code, number in found.items()
        if number and (unit := _own_unit(number, default)) in UNCLEAR_DOSES
    }
    for unit in dict.fromkeys(unclear.values()):
        codes = [code for code in unclear if unclear[code] == unit]
        if len(codes) >= _ENOUGH or unit == default:
            reading.findings.append(unclear_column(column, codes, unit, context))
        else:
            reading.findings += [
                unclear_dose(code, column.texts[code], unit, context) for code in codes
            ]
    return {code: number for code, number in found.items() if code not in unclear}


def _comma_of(texts: Sequence[str], field: Field, context: Context) -> Comma | None:
    """What commas and points mean: by the column's own cells, else by the rest of the table."""
    own = comma_style(texts)
    if context.comma != "decimal" or own == "decimal":
        return own
    dotted = [text for text in texts if "." in text]
    if not dotted:
        return "decimal"
    if not all(_THOUSANDS.search(text) for text in dotted):
        return own
    as_points, as_typed = (_plausible(dotted, field, context, way) for way in ("points", own))
    return "points" if as_points >= as_typed else own


def _plausible(texts: Sequence[str], field: Field, context: Context, comma: Comma | None) -> int:
    """How many of the cells are plausible when commas and points are read this way."""
    quantity = _quantity(field)
    count = 0
    for text in texts:
        number = read_number(text, quantity, comma)
        unit = number and (number.unit or context.unit or context.hint or field.unit or "count")
        if number and unit and unit not in UNCLEAR_DOSES and unit not in POT_DOSES:
            value = in_field_unit(number.value, unit, field, context.densities)
            count += plausible(value, field)
    return count


def _read_cell(
    text: str, field: Field, quantity: str, comma: Comma | None, context: Context
) -> Number | None:
    if quantity == "time" and plain(text) in words().overnight:
        return Number(context.overnight_h, "h", rough=True)
    number = read_number(text, quantity, comma)
    if number is None and comma is None:
        number = _either_comma(text, field, quantity)
    return number


def _either_comma(text: str, field: Field, quantity: str) -> Number | None:
    """A cell like "1,234" in a column that does not say: the one reading that is plausible."""
    styles: tuple[Comma, Comma] = ("decimal", "thousands")
    both = [read_number(text, quantity, style) for style in styles]
    fit = [n for n in both if n and n.unit is None and plausible(n.value, field)]
    return fit[0] if len(fit) == 1 else None


def default_unit(
    column: Coded, found: Mapping[int, Number | None], field: Field, context: Context
) -> tuple[str | None, list[Finding]]:
    """The unit of cells that state none, and what to say about how it was settled.

    Heading, then title line, then the unit most other cells state, then what the figures allow,
    then the field's own.
    """
    counts = column.counts
    bare = {code: n.value for code, n in found.items() if n and n.unit is None}
    rows = sum(int(counts[code]) for code in bare)
    if context.unit or context.hint:
        said = context.unit or context.hint
        fraction = _FRACTION_OF.get(said or "")
        if fraction and rows >= _ENOUGH and _must_be(fraction, bare, counts, field):
            return fraction, [_assumed_unit(bare, field, fraction)]
        return said, []
    if not rows or field.unit is None:
        return field.unit, []
    main = _main_unit(found, counts, field)
    if main and main != field.unit and _usual_share(bare, counts, field, main) >= _MOST_FIT:
        return main, [_assumed_unit(bare, field, main)]
    if rows >= _ENOUGH and _usual_share(bare, counts, field, field.unit) <= _FEW:
        for unit in OTHER_UNITS.get(_quantity(field), ()):
            if _usual_share(bare, counts, field, unit) >= _MOST_FIT:
                return unit, [_assumed_unit(bare, field, unit)]
    return field.unit, []


def _must_be(unit: str, bare: Mapping[int, float], counts: NDArray[np.intp], field: Field) -> bool:
    """Whether all figures are usual in this unit and none can be so in the field's own, as when a
    spreadsheet shows 0.0185 as 1.85 %."""
    none_own = not any(plausible(value, field) for value in bare.values())
    return none_own and _usual_share(bare, counts, field, unit) == 1.0


def _main_unit(
    found: Mapping[int, Number | None], counts: NDArray[np.intp], field: Field
) -> str | None:
    """The unit nearly all cells with a unit agree on."""
    seen = Counter[str]()
    for code, number in found.items():
        if number and number.unit in OTHER_UNITS.get(_quantity(field), ()):
            seen[str(number.unit)] += int(counts[code])
    unit, count = seen.most_common(1)[0] if seen else (None, 0)
    return unit if count >= _MOST * sum(seen.values()) else None


def _baffling(
    column: Coded,
    found: Mapping[int, Number | None],
    unit: str | None,
    field: Field,
    context: Context,
) -> Finding | None:
    """One question about a whole column whose bare figures make no sense in the field's unit."""
    counts = column.counts
    bare = {code: n.value for code, n in found.items() if n and n.unit is None}
    rows = sum(int(counts[code]) for code in bare)
    if context.unit or context.hint or unit != field.unit or rows < _ENOUGH:
        return None
    wrong = sum(int(counts[code]) for code, v in bare.items() if not plausible(v, field))
    if wrong < _MOST * rows:
        return None
    return Finding(
        "ask",
        f"{min(bare.values()):g} to {max(bare.values()):g} without a unit",
        f"{field.name}, {range_text(field)}",
        f'left unknown. Say the unit: laylog place "{context.header}" {context.target}'
        f" --unit {_unit_examples(field)}.",
    )


def _unit_examples(field: Field) -> str:
    examples = {"mass %": '"g/kg" (or "ml/kg", "cc/lb" …)'}
    others = [unit for unit in OTHER_UNITS.get(_quantity(field), ()) if unit != field.unit]
    return examples.get(field.unit or "", " or ".join(f'"{unit}"' for unit in others) or '"…"')


def _quantity(field: Field) -> str:
    return quantity_of(field.unit or "count")


def _usual_share(
    bare: Mapping[int, float], counts: NDArray[np.intp], field: Field, unit: str
) -> float:
    low, high = field.usual or (field.low, field.high)
    if low is None or high is None or field.unit is None:
        return 1.0 if unit == field.unit else 0.0
    total = sum(int(counts[code]) for code in bare)
    good = sum(
        int(counts[code])
        for code, value in bare.items()
        if low <= _plainly(value, unit, field) <= high
    )
    return good / total


def _plainly(value: float, unit: str, field: Field) -> float:
    """The value in the field's unit, for doses without the densities (fractions only)."""
    if unit == "mass fraction":
        return value * 100
    return value if unit == field.unit else convert(value, unit, field.unit or unit)


def _assumed_unit(bare: Mapping[int, float], field: Field, unit: str) -> Finding:
    low, high = min(bare.values()), max(bare.values())
    return Finding(
        "assumed",
        f"{low:g} to {high:g} without a unit",
        f"{field.name} in {field.unit}",
        f"read as {SHORT.get(unit, unit)}, which is what such figures usually are. If that is"
        " wrong, write the unit in the heading.",
    )


def plausible(value: float, field: Field) -> bool:
    """Whether a value in the field's unit can be a true reading."""
    return (field.low is None or value >= field.low) and (field.high is None or value <= field.high)


def _settle(
    reading: Reading,
    code: int,
    text: str,
    number: Number | None,
    default: str | None,
    field: Field,
    context: Context,
) -> None:
    """Put one cell's value in the reading, or say why it stays unknown."""
    if number is None:
        reading.findings.append(unreadable(code, text, field))
        return
    unit = _own_unit(number, default)
    if unit in POT_DOSES and field.unit == "mass %":
        reading.pots[code] = (number.value, unit)
        return
    value = in_field_unit(number.value, unit, field, context.densities)
    if not plausible(value, field):
        reading.findings.append(implausible(code, text, number.value, value, unit, field))
        return
    reading.values[code] = value
    if field.unit == "mass %":
        reading.basis[code] = dose_basis(unit, context.densities)
    if number.rough or (field.unit == "mass %" and is_rough(unit)):
        reading.findings.append(rough(code, text, value, unit, field))


def _own_unit(number: Number, default: str | None) -> str:
    unit = number.unit or default or "count"
    if unit == PERCENT_OR_FRACTION:
        return "fraction" if abs(number.value) <= 1 else "%"
    return unit


def in_field_unit(value: float, unit: str, field: Field, densities: Densities) -> float:
    """The value in the field's own unit, rounded past the last figure a shop could mean."""
    if field.unit is None or unit == field.unit:
        return value
    if field.unit == "mass %":
        return float(f"{dose_pct(value, unit, densities):.10g}")
    return float(f"{convert(value, unit, field.unit):.10g}")
