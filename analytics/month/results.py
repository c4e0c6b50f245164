"""The parts of a log as arrays: what was looked at, what was found, when, on what, by whom."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.knowledge.model import Knowledge
from analytics.month.answer import SignalKind
from analytics.month.periods import Month
from analytics.records.log import Log

Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

SUBJECT_COLUMNS: Mapping[SignalKind, tuple[str, ...]] = {
    "mould": ("mould_id",),
    "gelcoat_lot": ("gelcoat_lot",),
    "resin_lot": ("resin_lot",),
    "catalyst_lot": ("gelcoat_catalyst_lot", "resin_catalyst_lot"),
    "operator": ("operator",),
}
"""Kinds of thing a rate is watched by, and the jobs-table columns that name them."""

ANY_FAULT = "any-fault"
GOOD = "good"


@dataclass(frozen=True)
class Users:
    """Things of one kind by name, with the code of the thing of each part (n,), -1 for none.

    More than one row of codes where a part can be made with two of them (catalyst of two pots).
    """

    names: tuple[str, ...]
    codes: tuple[Ints, ...]


@dataclass(frozen=True)
class Results:
    """Dated parts up to the end of the month asked about, oldest first (n parts, k defects).

    jobs : the jobs-table rows. looked : somebody wrote a result. faulty : a result that is not
    good (never True where not looked). found : (n, k) the part was written down with the defect.
    defects : the k ids; a group (sticking) takes in its members where the log ever used the group.
    written : one row per fault as the shop wrote it (position, defect, line), members apart.
    month : the month asked about.
    """

    month: Month
    jobs: pd.DataFrame
    looked: Bools
    faulty: Bools
    found: Bools
    defects: tuple[str, ...]
    written: pd.DataFrame

    @cached_property
    def day(self) -> Ints:
        """Days since 1970-01-01 of each part."""
        days: Ints = self.jobs["date"].to_numpy("datetime64[D]").astype(np.int64)
        return days

    @cached_property
    def months_back(self) -> Ints:
        """0 for parts of the month asked about, 1 for the month before ..."""
        dates = self.jobs["date"].dt
        return np.asarray(
            self.month.number - (dates.year.to_numpy() * 12 + dates.month.to_numpy() - 1),
            dtype=np.int64,
        )

    @cached_property
    def spells_back(self) -> Ints:
        """Half months counted back: 0 from the 16th of the month asked about, 1 before it ..."""
        return 2 * self.months_back + (self.jobs["date"].dt.day.to_numpy() <= 15)

    @cached_property
    def this_month(self) -> Bools:
        """True for parts of the month asked about."""
        return self.months_back == 0

    def figure(self, field: str) -> Floats:
        """(n,) a column of the jobs table as figures; NaN where unknown."""
        if field not in self._figures:
            value = self.jobs[field].to_numpy(dtype=np.float64, na_value=np.nan)
            self._figures[field] = value
        return self._figures[field]

    @cached_property
    def _figures(self) -> dict[str, Floats]:
        return {}

    @property
    def watched(self) -> tuple[str, ...]:
        """What is counted: every defect ever written, and faulty parts of any kind."""
        return (*self.defects, ANY_FAULT)

    def column(self, defect: str) -> Bools:
        """True for parts with this defect (or any fault at all, for ANY_FAULT)."""
        if defect == ANY_FAULT:
            return self.faulty
        return self.found[:, self.defects.index(defect)]

    @cached_property
    def events(self) -> tuple[Ints, Ints]:
        """(part, column of `watched`) of every fault found, any fault among them."""
        rows, columns = np.nonzero(self.found)
        faulty = np.flatnonzero(self.faulty)
        any_fault = np.full(len(faulty), len(self.defects))
        return np.concatenate([rows, faulty]), np.concatenate([columns, any_fault])

    @cached_property
    def _users(self) -> dict[SignalKind, Users]:
        return {kind: _users_of(self.jobs, columns) for kind, columns in SUBJECT_COLUMNS.items()}

    def users(self, kind: SignalKind) -> Users:
        """The things of a kind and the parts made with (on, by) each."""
        return self._users[kind]

    def names(self, kind: SignalKind) -> tuple[str, ...]:
        """Things of a kind used in the month asked about, by name."""
        return self.used_on(kind, self.this_month)

    def used_on(self, kind: SignalKind, parts: Bools) -> tuple[str, ...]:
        """Things of a kind used on these parts, by name."""
        users = self.users(kind)
        count = len(users.names) + 1
        seen = sum(np.bincount(codes[parts] + 1, minlength=count) for codes in users.codes)
        return tuple(sorted(users.names[at - 1] for at in np.flatnonzero(seen) if at))

    def uses(self, kind: SignalKind, name: str) -> Bools:
        """True for parts made with (on, by) the thing of that name."""
        users = self.users(kind)
        at = users.names.index(name)
        return np.any([codes == at for codes in users.codes], axis=0)

    def until(self, back: int) -> Results:
        """What was known at the end of the month so many months before the one asked about."""
        month = self.month.back(back)
        many = int(np.searchsorted(-self.months_back, -back, side="right"))
        told: Bools = np.any(self.found[:many], axis=0)
        written = self.written[self.written["position"] < many]
        return Results(
            month=month, jobs=self.jobs.iloc[:many], looked=self.looked[:many],
            faulty=self.faulty[:many], found=self.found[:many][:, told],
            defects=tuple(d for d, seen in zip(self.defects, told, strict=True) if seen),
            written=written,
        )  # fmt: skip


def _users_of(jobs: pd.DataFrame, columns: tuple[str, ...]) -> Users:
    stacked, names = pd.factorize(pd.concat([jobs[column] for column in columns]))
    codes = stacked.astype(np.int64).reshape(len(columns), len(jobs))
    if len(columns) == 2:
        # The same thing in both pots of a part is one use of it, not two.
        codes[1][codes[1] == codes[0]] = -1
    return Users(tuple(str(name) for name in names), tuple(codes))


def results_of(jobs: pd.DataFrame, log: Log, knowledge: Knowledge, month: Month) -> Results:
    """Results of the dated parts up to the end of the month; later parts are left out."""
    known = jobs[jobs["date"].notna() & (jobs["date"] < month.after)]
    known = known.sort_values("date", kind="stable").reset_index(drop=True)
    written = _written(known, log.defects, knowledge)
    found, defects = _found(written, len(known))
    looked = known["looked"].fillna(False).to_numpy(dtype=bool)
    said = known["outcome"].notna().to_numpy(dtype=bool)
    bad = said & (known["outcome"] != GOOD).fillna(False).to_numpy(dtype=bool)
    unsaid = ~said & found.any(axis=1)
    return Results(
        month=month,
        jobs=known,
        looked=looked,
        faulty=looked & (bad | unsaid),
        found=found & looked[:, None],
        defects=defects,
        written=written,
    )


def _written(jobs: pd.DataFrame, defects: pd.DataFrame, knowledge: Knowledge) -> pd.DataFrame:
    """Faults as written: columns position (of the part in `jobs`), defect, line (counted as)."""
    where = pd.DataFrame({"part_id": jobs["part_id"], "position": np.arange(len(jobs))})
    told = defects[["part_id", "defect"]].dropna().drop_duplicates()
    rows = told.merge(where, on="part_id")[["position", "defect"]]
    seen = {str(defect) for defect in rows["defect"].unique()}
    line = {defect: _line_of(defect, seen, knowledge) for defect in seen}
    return rows.assign(line=rows["defect"].map(line).astype("str"))


def _line_of(defect: str, seen: set[str], knowledge: Knowledge) -> str:
    """The group where this log ever used the group's name: it cannot tell the members apart."""
    entry = knowledge.defects.get(defect)
    if entry is not None and entry.group is not None and entry.group in seen:
        return entry.group
    return defect


def _found(written: pd.DataFrame, parts: int) -> tuple[Bools, tuple[str, ...]]:
    """(n, k) table of faults and the k ids they are counted under."""
    columns, defects = pd.factorize(written["line"], sort=True)
    found = np.zeros((parts, len(defects)), dtype=bool)
    found[written["position"].to_numpy(dtype=np.intp), columns] = True
    return found, tuple(str(defect) for defect in defects)
