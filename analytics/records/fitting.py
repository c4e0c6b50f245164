"""Whether the cells of a column can be what its heading might mean."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from analytics.records.cells import choice_of
from analytics.records.coded import Coded
from analytics.records.dates import as_clock, clocks_with_points, read_clock, read_date_text
from analytics.records.fields import KEYS, Field
from analytics.records.headings import Heading
from analytics.records.number_columns import plausible
from analytics.records.numbers import Number, comma_style, read_number
from analytics.records.words import plain, words
from analytics.units import convert, quantity_of

_SAMPLE = 80
_YEAR = re.compile(r"(?:19|20)\d\d")
_MOST = 0.6
_NAMES = frozenset({"product", "wax_type", "colour", "operator", "surface", "defects"})
_PASSED = frozenset({"after", "hours", "for", "took", "duration", "since", "minutes"})
_MORNING = 6 * 60
_POTS = frozenset({"mix", "pot", "cup", "bucket"})
# The least share of differing cells for a column that numbers parts or mixes.
_APART = {"part_id": 0.5, "batch_id": 0.5, "gelcoat_batch_id": 0.3, "resin_batch_id": 0.3}


@dataclass(frozen=True)
class Fit:
    """How well cells suit a field: `share` of them make sense, `unit` is the heading's.

    `rank` orders fields that suit: plain text suits anything, so it ranks last.
    """

    suits: bool
    share: float
    kind: str
    unit: str | None
    unit_given: bool
    rank: float


_NOT = Fit(suits=False, share=0.0, kind="text", unit=None, unit_given=False, rank=0.0)


def fit_of(field: Field, heading: Heading, cells: Coded) -> Fit:
    """How well the cells suit the field under this heading."""
    texts = _sample(cells)
    if field.kind == "number":
        return _number_fit(field, heading, texts)
    if heading.unit is not None:
        return _NOT
    if field.kind == "text" or field.kind == "defects":
        share = _text_share(field, heading, cells, texts)
        kind = "text" if field.kind == "text" else "defects"
        key = 0.05 * (field.id == KEYS.get(field.record))
        return Fit(share > 0.0, share, kind, None, False, 0.2 + share * 0.2 + key)
    if field.kind == "time" and clocks_with_points(texts):
        texts = [as_clock(text) for text in texts]
    share = _share(texts, _test_for(field))
    return Fit(share >= _MOST, share, field.kind, None, False, 1.0 + share)


def _sample(cells: Coded) -> list[str]:
    return [cells.texts[code] for code in cells.filled_codes[:_SAMPLE]]


def _share(texts: list[str], test: Callable[[str], bool]) -> float:
    return sum(map(test, texts)) / len(texts) if texts else 1.0


def _test_for(field: Field) -> Callable[[str], bool]:
    if field.kind == "yes_no":
        return lambda text: plain(text) in words().yes | words().no | words().cross
    if field.kind == "choice":
        if field.id == "outcome":
            return lambda text: (
                choice_of(text, field) is not None
                or plain(text) in words().yes | words().no | words().cross
            )
        return lambda text: choice_of(text, field) is not None
    if field.kind == "time":
        return lambda text: read_clock(text) is not None
    if field.kind == "datetime":
        return lambda text: (date := read_date_text(text)) is not None and date.clock is not None
    return lambda text: read_date_text(text) is not None or _YEAR.fullmatch(text) is not None


def _text_share(field: Field, heading: Heading, cells: Coded, texts: list[str]) -> float:
    """How well text cells suit: figures are no names, and numbers of things differ by row."""
    if texts and field.id in _NAMES and _share(texts, _is_figure) > _MOST:
        return 0.0
    apart = _APART.get(field.id, 0.0) if field.record in ("part", "batch") else 0.0
    rows = int(cells.counts[cells.filled_codes].sum())
    if not apart or rows < 6 or _counts_pots(heading, texts):
        return 1.0
    distinct = len(cells.filled_codes) / rows
    return distinct if distinct >= apart else 0.0


def _counts_pots(heading: Heading, texts: list[str]) -> bool:
    """Whether a column numbers pots, which may start again from 1 each day."""
    return bool(heading.words & _POTS) and _share(texts, _has_digit) > _MOST


def _has_digit(text: str) -> bool:
    return any(map(str.isdigit, text))


def _is_figure(text: str) -> bool:
    return re.fullmatch(r"[-+]?[\d.,]+", text) is not None


def _number_fit(field: Field, heading: Heading, texts: list[str]) -> Fit:
    quantity = quantity_of(field.unit or "count")
    unit = heading.unit_for(quantity)
    if heading.unit is not None and unit is None:
        return _NOT
    if quantity == "time" and unit is None and _is_clock(heading, texts):
        return _NOT
    comma = comma_style(texts)
    read = [number for text in texts if (number := read_number(text, quantity, comma))]
    loose = [t for t in texts if plain(t) in words().overnight] if quantity == "time" else []
    share = (len(read) + len(loose)) / len(texts) if texts else 1.0
    with_unit = sum(1 for number in read if number.unit)
    unit_given = unit is not None or (bool(texts) and with_unit >= 0.5 * len(texts))
    rank = 1.0 + 0.5 * share + 0.5 * _usual(field, unit, read) + 0.5 * unit_given
    return Fit(share >= _MOST, share, "number", unit, unit_given, rank)


def _is_clock(heading: Heading, texts: list[str]) -> bool:
    """Whether cells like "08:05" are times of day, not hours passed: none is over a day, most are
    in working hours, and the heading does not say "after"."""
    if heading.words & _PASSED:
        return False
    clocks = [minutes for text in texts if ":" in text and (minutes := read_clock(text))]
    if not clocks or 2 * len(clocks) < len(texts):
        return False
    return float(np.median(clocks)) >= _MORNING


def _usual(field: Field, unit: str | None, read: list[Number]) -> float:
    """Share of figures that are plausible for the field, in the unit at hand."""
    if not read or field.unit is None:
        return 0.0
    good = 0
    for number in read:
        said = number.unit or unit or field.unit
        try:
            value = convert(number.value, said, field.unit)
        except (KeyError, ValueError):
            value = number.value
        low, high = field.usual or (None, None)
        good += plausible(value, field) if low is None or high is None else low <= value <= high
    return good / len(read)


def is_ticked(cells: Coded) -> bool:
    """Whether cells are ticks, counts or words for how bad, as under a fault's own heading."""
    marks = words().yes | words().no | words().cross | set(words().severity)
    return _share(_sample(cells), lambda text: plain(text) in marks or text.isdigit()) >= _MOST
