"""Two ways of doing a thing, as a person says them: "1", "3+", "under 12", "drill or paddle"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from math import inf, isfinite

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.columns import DERIVED, column
from analytics.errors import QuestionError
from analytics.records.fields import dictionary

Bools = NDArray[np.bool_]
RESULTS = (
    "defects", "outcome", "rework_min", "cost", "notes", "looked", "demould_effort",
    "exotherm_peak_c",
)  # fmt: skip
"""What a part came out as is no way of making it."""
KINDS = ("number", "yes_no", "choice", "text")
OWN = (
    "part_id",
    "gelcoat_batch_id",
    "resin_batch_id",
    "month",
    "day",
)
FEW_VALUES = 6

FIGURE = r"(\d+(?:[.,]\d+)?)\s*[^\d\s]*"
SPANS = (
    (re.compile(rf"(?:under|below|less than|fewer than|<)\s*{FIGURE}"), "under"),
    (re.compile(rf"(?:over|above|more than|>)\s*{FIGURE}"), "over"),
    (re.compile(rf"(?:up to|at most|<=|≤)\s*{FIGURE}"), "most"),
    (re.compile(rf"(?:at least|from|>=|≥)\s*{FIGURE}"), "least"),
    (re.compile(rf"{FIGURE}\s+(?:or|and) (?:less|fewer|under|below)"), "most"),
    (re.compile(rf"{FIGURE}\s+(?:or|and) (?:more|over|above|longer)"), "least"),
    (re.compile(r"(\d+(?:[.,]\d+)?)\s*\+"), "least"),
    (re.compile(rf"{FIGURE}\s*(?:to|-|–)\s*{FIGURE}"), "between"),
    (re.compile(FIGURE), "is"),
)
YES, NO = ("yes", "y", "true", "with", "1"), ("no", "n", "false", "without", "0")


@dataclass(frozen=True)
class Way:
    """Which values of a field count as this way.

    A number way runs from `low` to `high`, the ends counted in where `low_in`, `high_in`; a word
    way names `values` (lower case). `other` turns it round: everything but these. `said` is the
    way in words, with its unit.
    """

    field: str
    said: str
    low: float = -inf
    high: float = inf
    low_in: bool = True
    high_in: bool = True
    values: tuple[str, ...] = ()
    other: bool = False

    @property
    def figures(self) -> tuple[float, ...]:
        """The figures it names."""
        ends = (self.low, self.high)
        return tuple(x for x in ends if isfinite(x)) if not self.values else ()

    def holds(self, cells: pd.Series) -> Bools:
        """(n,) True where the cell is of this way; never where it is blank."""
        known = cells.notna().to_numpy(dtype=bool)
        return known & (self._meant(cells) != self.other)

    def _meant(self, cells: pd.Series) -> Bools:
        if self.values:
            return np.asarray(as_words(cells).str.lower().isin(self.values), dtype=bool)
        number = cells.to_numpy(dtype=np.float64, na_value=np.nan)
        above = number >= self.low if self.low_in else number > self.low
        below = number <= self.high if self.high_in else number < self.high
        return np.asarray(above & below, dtype=bool)


def as_words(cells: pd.Series) -> pd.Series:
    """The cells as text; yes and no for true and false."""
    if cells.dtype == "boolean":
        return cells.map({True: "yes", False: "no"}).astype("str")
    return cells.astype("str")


def fields_to_compare(jobs: pd.DataFrame) -> tuple[str, ...]:
    """Columns of the jobs table that hold a way of doing things and are filled in at all."""
    return tuple(
        name
        for name in jobs.columns
        if name not in (*RESULTS, *OWN)
        and not name.endswith(("_from", "_young_pulls"))
        and _comparable(name)
        and jobs[name].notna().any()
    )


def _comparable(name: str) -> bool:
    said = column(name)
    return said.kind in KINDS and (said.name != name or name in DERIVED)


def field_called(jobs: pd.DataFrame, said: str) -> str:
    """The column a person means, by its id or its name. Raises QuestionError for none."""
    known = [n for n in jobs.columns if n not in (*RESULTS, *OWN) and _comparable(n)]
    names = {_letters(column(name).name): name for name in known}
    names |= {_letters(name): name for name in known}
    for field in dictionary().of("part"):
        if field.id in known:
            names = {**{_letters(word): field.id for word in field.spellings}, **names}
    asked = _letters(said)
    begun = {field for letters, field in names.items() if asked and letters.startswith(asked)}
    if asked in names:
        return names[asked]
    if len(begun) == 1:
        return begun.pop()
    if asked in map(_letters, RESULTS):
        raise QuestionError(f'"{said}" is how a part came out, not a way of making it.')
    near = [*sorted(begun), *(names[n] for n in get_close_matches(asked, names, n=3, cutoff=0.6))]
    hint = f" Did you mean {' or '.join(dict.fromkeys(near[:3]))}?" if near else ""
    raise QuestionError(
        f'no recorded field is called "{said}".{hint} `laylog compare --fields` lists them.'
    )


def _letters(said: str) -> str:
    """A name without spaces, marks and capitals: "Gel-coat catalyst" as gelcoatcatalyst."""
    return re.sub(r"[^a-z0-9]", "", said.lower())


def read_way(field: str, said: str, jobs: pd.DataFrame | None = None) -> Way:
    """The way a person means by `said`. Raises QuestionError where the field knows no such value.

    Where `jobs` is given, a word must be one of the words in that column.
    """
    text = " ".join(said.lower().split())
    other = text.startswith("not ")
    text = text.removeprefix("not ")
    kind = column(field).kind
    if kind == "number":
        return _number_way(field, said, text, other)
    if kind == "yes_no":
        return _yes_no_way(field, said, text, other)
    values = tuple(word.strip() for word in re.split(r"\s+or\s+|,", text) if word.strip())
    if not values:
        raise QuestionError(f"a way of {column(field).name} is missing; name a value.")
    if jobs is not None:
        _check_words(field, values, jobs)
    return Way(field, said.strip(), values=values, other=other)


def _number_way(field: str, said: str, text: str, other: bool) -> Way:
    for pattern, kind in SPANS:
        if found := pattern.fullmatch(text):
            ends = [float(figure.replace(",", ".")) for figure in found.groups()]
            return _span(field, kind, ends, other)
    raise QuestionError(
        f'"{said}" is no way of {column(field).name} that can be read; say a figure or a range, '
        'such as 3, 3+, "under 12", "12 or more", "5 to 8".'
    )


def _span(field: str, kind: str, ends: list[float], other: bool) -> Way:
    low, high = {
        "under": (-inf, ends[0]),
        "most": (-inf, ends[0]),
        "over": (ends[0], inf),
        "least": (ends[0], inf),
        "is": (ends[0], ends[0]),
        "between": (min(ends), max(ends)),
    }[kind]
    unit = column(field).unit
    figures = " to ".join(f"{end:g}" for end in sorted(ends))
    words = {"under": "under {}", "over": "over {}", "most": "{} or less", "least": "{} or more"}
    told = words.get(kind, "{}").format(f"{figures} {unit}".strip())
    # "3 coats or more", but "12 h or more": the unit belongs to the figure.
    return Way(
        field, f"not {told}" if other else told, low, high,
        low_in=kind != "over", high_in=kind != "under", other=other,
    )  # fmt: skip


def _yes_no_way(field: str, said: str, text: str, other: bool) -> Way:
    if text not in (*YES, *NO):
        raise QuestionError(f'{column(field).name} is yes or no, not "{said}".')
    yes = (text in YES) != other
    return Way(field, "yes" if yes else "no", values=("yes" if yes else "no",))


def _check_words(field: str, values: tuple[str, ...], jobs: pd.DataFrame) -> None:
    seen = as_words(jobs[field].dropna()).str.lower()
    for value in values:
        if not (seen == value).any():
            known = list(seen.value_counts().index[:8])
            hint = f" It has {', '.join(known)}." if known else " Nothing is written there."
            raise QuestionError(f'no part has {column(field).name} "{value}".{hint}')


def usual_ways(field: str, jobs: pd.DataFrame) -> tuple[str, str]:
    """Two ways worth comparing where nobody names them: the two commonest values, or halves.

    Raises QuestionError where the column holds fewer than two values.
    """
    cells = jobs[field].dropna()
    counts = (cells if column(field).kind == "number" else as_words(cells)).value_counts()
    if len(counts) < 2:
        raise QuestionError(
            f"{column(field).name} has {'one value' if len(counts) else 'nothing'} in the log: "
            "there are no two ways to compare."
        )
    if column(field).kind == "number" and len(counts) > FEW_VALUES:
        middle = f"{float(cells.astype('float64').median()):.3g}"
        return f"under {middle}", f"{middle} or more"
    first, second = counts.index[:2]
    if column(field).kind == "number":
        return f"{float(first):g}", f"{float(second):g}"
    return str(first), str(second)


def overlap(a: Way, b: Way, cells: pd.Series) -> bool:
    """True where a part would count as both ways, in the log or by the figures alone."""
    if (a.holds(cells) & b.holds(cells)).any():
        return True
    if a.values or b.values or a.other or b.other:
        return False
    low, high = max(a.low, b.low), min(a.high, b.high)
    shared = all(way._meant(pd.Series([low])).any() for way in (a, b)) if isfinite(low) else False
    return low < high or (low == high and shared)
