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
    def things(self) -> Mapping[SignalKind, Mapping[str, Bools]]:
        """Per kind and name, the parts made with (on, by) that thing."""
        return {kind: self._users(columns) for kind, columns in SUBJECT_COLUMNS.items()}

    def _users(self, columns: tuple[str, ...]) -> Mapping[str, Bools]:
        users: dict[str, Bools] = {}
        for column in columns:
            codes, names = pd.factorize(self.jobs[column])
            for code, name in enumerate(names):
                used = codes == code
                users[str(name)] = users[str(name)] | used if str(name) in users else used
        return users

    def names(self, kind: SignalKind) -> tuple[str, ...]:
        """Things of a kind used in the month asked about, by name."""
        now = self.this_month
        return tuple(sorted(name for name, used in self.things[kind].items() if used[now].any()))

    def uses(self, kind: SignalKind, name: str) -> Bools:
        """True for parts made with (on, by) the thing of that name."""
        return self.things[kind][name]


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
