"""A column of cells with each distinct text kept once, so that a long log stays small."""

from __future__ import annotations

import re
from array import array
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analytics.records.words import words

Codes = NDArray[np.int32]
Flags = NDArray[np.bool_]
_MANY = 20_000
_TOP = 2_000


@dataclass(frozen=True)
class Coded:
    """One column: each distinct cell text once (`texts`), and per row which one (`codes`)."""

    texts: tuple[str, ...]
    codes: Codes

    @cached_property
    def counts(self) -> NDArray[np.intp]:
        """How many rows hold each distinct text."""
        return np.bincount(self.codes, minlength=len(self.texts))

    @cached_property
    def blank_texts(self) -> Flags:
        """Per distinct text, whether it says nothing."""
        marks = words().blank
        lowered = map(str.lower, self.texts)
        return np.fromiter(map(marks.__contains__, lowered), np.bool_, count=len(self.texts))

    @cached_property
    def said(self) -> Flags:
        """Per row, whether the cell says something."""
        return ~self.blank_texts[self.codes]

    @cached_property
    def filled_codes(self) -> list[int]:
        """The codes of texts that say something and stand in at least one row."""
        return np.flatnonzero(~self.blank_texts & (self.counts > 0)).tolist()

    def flags(self, test: Callable[[str], bool]) -> Flags:
        """Per row, whether the cell passes; each distinct text is tested once."""
        return np.fromiter(map(test, self.texts), np.bool_, count=len(self.texts))[self.codes]

    def flags_early_or_often(self, test: Callable[[str], bool], rows: Flags) -> Flags:
        """As `flags`, but only texts that stand in one of these rows count.

        Of a very long column only texts near its top or written twice do: a million time stamps
        need no test for being a heading each.
        """
        wanted = np.zeros(len(self.texts), dtype=np.bool_)
        wanted[self.codes[rows]] = True
        if len(self.texts) > _MANY:
            often = self.counts > 1
            often[self.codes[:_TOP]] = True
            wanted &= often
        by_text = np.zeros(len(self.texts), dtype=np.bool_)
        for code in np.flatnonzero(wanted):
            by_text[code] = test(self.texts[code])
        return by_text[self.codes]

    def at(self, row: int) -> str:
        """The text of one row, counted from 0."""
        return self.texts[self.codes[row]]

    def rows(self, chosen: NDArray[np.intp]) -> Coded:
        """The same column at the chosen rows only."""
        if len(chosen) == len(self.codes) and np.array_equal(chosen, np.arange(len(chosen))):
            return self
        made = Coded(self.texts, self.codes[chosen])
        # what the texts say does not depend on the rows: a million are looked at once
        made.__dict__["blank_texts"] = self.blank_texts
        return made

    def used(self) -> Coded:
        """The same column without texts no row uses, when they are many enough to matter."""
        if 2 * np.count_nonzero(self.counts) >= len(self.texts):
            return self
        kept, codes = np.unique(self.codes, return_inverse=True)
        return Coded(tuple(self.texts[code] for code in kept), codes.astype(np.int32))

    def objects(self) -> NDArray[np.object_]:
        """The texts row by row."""
        return np.array(self.texts, dtype=object)[self.codes]


class Coder:
    """Builds a coded column from cells as they are read."""

    def __init__(self, blank_rows: int = 0) -> None:
        self._codes = array("i", [0]) * blank_rows
        self._by_raw: dict[str, int] = {"": 0}
        self._by_text: dict[str, int] = {"": 0}

    def extend(self, cells: Sequence[str]) -> None:
        """Add the next cells of the column."""
        known = self._by_raw
        for raw in dict.fromkeys(cells):
            if raw not in known:
                known[raw] = self._by_text.setdefault(tidy(raw), len(self._by_text))
        self._codes.extend(map(known.__getitem__, cells))

    def coded(self) -> Coded:
        """The column so far."""
        return Coded(tuple(self._by_text), np.array(self._codes, dtype=np.int32))


def tidy(cell: str) -> str:
    """A cell without the blanks around it, hard spaces and line breaks made plain."""
    if cell.isascii() and "\n" not in cell and "\r" not in cell:
        return cell.strip()
    flat = cell.replace("\u00a0", " ").replace("\u202f", " ").replace("\u200b", "")
    if "\n" in flat or "\r" in flat:
        flat = " ".join(filter(None, map(str.strip, re.split(r"[\r\n]+", flat))))
    return flat.strip(" \t\ufeff")


def joined(parts: Iterable[Coded]) -> Coded:
    """Columns one under the other as one column."""
    parts = list(parts)
    if len(parts) == 1:
        return parts[0]
    by_text: dict[str, int] = {"": 0}
    codes: list[Codes] = []
    for part in parts:
        table = [by_text.setdefault(text, len(by_text)) for text in part.texts]
        codes.append(np.array(table, dtype=np.int32)[part.codes])
    return Coded(tuple(by_text), np.concatenate(codes) if codes else np.zeros(0, np.int32))


def from_cells(texts: Sequence[str], codes: NDArray[np.integer[Any]]) -> Coded:
    """A column from distinct cells as found and the number of each row's (-1: none there)."""
    tidied = list(map(str.strip, texts)) if all(map(str.isascii, texts)) else list(map(tidy, texts))
    tidied.append("")
    if len(set(tidied)) == len(tidied):
        return Coded(tuple(tidied), np.where(codes < 0, len(tidied) - 1, codes).astype(np.int32))
    by_text: dict[str, int] = {}
    table = [by_text.setdefault(text, len(by_text)) for text in tidied]
    return Coded(tuple(by_text), np.array(table, dtype=np.int32)[codes])


def blank_column(rows: int) -> Coded:
    """A column with nothing in it."""
    return Coded(("",), np.zeros(rows, dtype=np.int32))
