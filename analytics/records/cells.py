"""Columns of cells as values of their field: each distinct text is read once, doubts are kept."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analytics.records.coded import Coded, from_cells
from analytics.records.fields import Field
from analytics.records.words import plain, words

# Beside a tick a cross is its opposite; beside both a yes and a no it could be either.
_MARKS = frozenset({"tick", "ticked", "✓", "✔", "☑", "√"})
_GAPS = re.compile(r"[\s_\-./#]+")
_BETWEEN = re.compile(r"(?<=[^\W\d])-(?=\d)|(?<=\d)-(?=[^\W\d])")
_POINT_NOUGHT = re.compile(r"\d+\.0")


@dataclass(frozen=True)
class Finding:
    """Something to tell about a column; `code` is the cell text it is about, None for all."""

    kind: str
    found: str
    expected: str
    action: str
    code: int | None = None


@dataclass
class Reading:
    """A column read: one value per distinct text (None when unknown), findings and remarks.

    `pots` holds doses given for a whole pot, which need its mass: text code to (value, unit).
    """

    values: list[Any]
    findings: list[Finding] = dataclass_field(default_factory=list)
    remarks: list[str] = dataclass_field(default_factory=list)
    basis: list[str | None] = dataclass_field(default_factory=list)
    pots: dict[int, tuple[float, str]] = dataclass_field(default_factory=dict)


def read_yes_no(column: Coded, field: Field) -> Reading:
    """A column of ticks: a cross means no beside ticks or yeses, yes where it stands alone."""
    reading = Reading([None] * len(column.texts))
    codes = column.filled_codes
    plainly = {code: plain(column.texts[code]) for code in codes}
    said_yes = any(text in words().yes for text in plainly.values())
    marked = any(text in _MARKS for text in plainly.values())
    unclear = said_yes and not marked and any(text in words().no for text in plainly.values())
    crosses = [code for code in codes if plainly[code] in words().cross]
    for code in codes:
        said = _yes_or_no(plainly[code])
        if said is None and code in crosses and not unclear:
            said = not said_yes
        reading.values[code] = said
        if said is None:
            reading.findings.append(
                Finding(
                    "unknown word",
                    column.texts[code],
                    f"{field.name}: yes or no",
                    "left unknown. Type yes or no.",
                    code,
                )
            )
    if crosses and not unclear:
        reading.remarks.append("x means no" if said_yes else "x means yes")
    return reading


def _yes_or_no(text: str) -> bool | None:
    for candidate in (text, text.rstrip(".!"), text.split()[0].strip(",.:;-")):
        if candidate in words().yes:
            return True
        if candidate in words().no:
            return False
    return None


# ---------------------------------------------------------------- choices


def read_choices(column: Coded, field: Field) -> Reading:
    """A column of one of the field's choices, in the shop's words."""
    reading = Reading([None] * len(column.texts))
    for code in column.filled_codes:
        text = column.texts[code]
        choice = choice_of(text, field)
        reading.values[code] = choice
        if choice is None:
            known = ", ".join(field.choices)
            reading.findings.append(
                Finding(
                    "unknown word",
                    text,
                    f"{field.name}: {known}",
                    f"left unknown. Type one of {known}.",
                    code,
                )
            )
    return reading


def choice_of(text: str, field: Field) -> str | None:
    """The choice a cell means: by its own word, the only known word in it, or a near spelling."""
    said = plain(text).strip(".!?")
    table = {word: choice for choice, spellings in field.choices.items() for word in spellings}
    table |= {choice: choice for choice in field.choices}
    if said in table:
        return table[said]
    inside = {
        choice
        for word, choice in table.items()
        if len(word) > 2 and re.search(rf"(?<!\w){re.escape(word)}(?!\w)", said)
    }
    if inside:
        return inside.pop() if len(inside) == 1 else None
    return _near_choice(said, table)


def _near_choice(said: str, table: Mapping[str, str]) -> str | None:
    if len(said) < 4:
        return None
    from rapidfuzz import fuzz, process

    near = process.extract(said, list(table), scorer=fuzz.ratio, score_cutoff=82, limit=5)
    choices = {table[word] for word, _, _ in near}
    return choices.pop() if len(choices) == 1 else None


# ---------------------------------------------------------------- text and numbers of things


def read_texts(column: Coded) -> Reading:
    """A column of plain text; marks for "not known" are unknown."""
    pairs = zip(column.texts, column.blank_texts.tolist(), strict=True)
    return Reading([None if blank else text for text, blank in pairs])


def without_point_nought(column: Coded) -> Coded:
    """A column of numbers of things that a program wrote as 101.0, 102.0 … without the ".0"."""
    codes = column.filled_codes
    if not codes or not all(_POINT_NOUGHT.fullmatch(column.texts[code]) for code in codes):
        return column
    texts = [text.removesuffix(".0") for text in column.texts]
    return from_cells(texts, column.codes)


def read_ids(column: Coded) -> Reading:
    """A column of names or numbers of things, spelt one way throughout.

    "m01", "M 01" and "M01" are one mould: the commonest spelling stands for all.
    """
    reading = read_texts(column)
    counts = column.counts
    filled = column.filled_codes
    keys = id_keys([column.texts[code] for code in filled])
    spellings: dict[str, list[int]] = {}
    for key, code in zip(keys, filled, strict=True) if len(set(keys)) < len(keys) else ():
        spellings.setdefault(key, []).append(code)
    for codes in spellings.values():
        if len(codes) > 1:
            chosen = max(codes, key=lambda code: (int(counts[code]), -code))
            for code in codes:
                reading.values[code] = column.texts[chosen]
            ways = ", ".join(f'"{column.texts[code]}"' for code in codes)
            reading.findings.append(
                Finding(
                    "assumed",
                    ways,
                    "one spelling",
                    f'taken as one, "{column.texts[chosen]}". If they differ, rename one.',
                )
            )
    return reading


def id_key(text: str) -> str:
    """An id without case and without the mark between its letters and its figures.

    "M 01", "m-01" and "M01" share a key; "12-3" and "123" do not.
    """
    flat = _GAPS.sub("-", text.strip()).casefold()
    return _BETWEEN.sub("", flat)


def id_keys(texts: Sequence[str]) -> list[str]:
    """`id_key` of each text, worked out on all of them at once."""
    flat = _GAPS.sub("-", "\0".join(map(str.strip, texts))).casefold()
    keys = _BETWEEN.sub("", flat).split("\0")
    return keys if len(keys) == len(texts) else list(map(id_key, texts))


# ---------------------------------------------------------------- dittos


def without_dittos(column: Coded, breaks: Sequence[int] = ()) -> Coded:
    """The column with marks for "same as above" replaced by what stands above.

    `breaks` are rows that start a new sheet: nothing carries over them.
    """
    ditto = words().ditto
    marks = [code for code, text in enumerate(map(str.lower, column.texts)) if text in ditto]
    if not marks:
        return column
    is_mark = np.isin(column.codes, marks)
    source = np.where(is_mark, -1, np.arange(len(column.codes)))
    starts = set(breaks)
    last = -1
    for row in np.flatnonzero(is_mark):
        last = _above(source, int(row), starts)
        source[row] = last
    codes = np.where(source >= 0, column.codes[source], len(column.texts)).astype(np.int32)
    return Coded((*column.texts, ""), codes)


def _above(source: NDArray[np.intp], row: int, starts: set[int]) -> int:
    return -1 if row == 0 or row in starts else int(source[row - 1])
