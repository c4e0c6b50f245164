"""A group of rows as one wide table of typed values, with everything there is to tell about it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.records.cells import (
    Finding,
    Reading,
    read_choices,
    read_ids,
    read_texts,
    read_yes_no,
    without_dittos,
    without_point_nought,
)
from analytics.records.clock_columns import clock_texts, read_times
from analytics.records.coded import Coded, blank_column
from analytics.records.columns import IGNORED, Column, Match
from analytics.records.context import Context
from analytics.records.datecolumns import Place, read_dates
from analytics.records.dates import (
    Order,
)
from analytics.records.daylines import CARRIED, with_days_from_lines
from analytics.records.faults import FaultReader
from analytics.records.fields import ROLES, Field
from analytics.records.gathering import Group
from analytics.records.headings import read_headings
from analytics.records.hints import Hints
from analytics.records.number_columns import read_numbers
from analytics.records.numbers import Comma, comma_style
from analytics.records.pots import PotDoses
from analytics.records.rawcells import raw_texts
from analytics.records.results import combined, is_result, read_results
from analytics.records.rows import RECORD, TITLE, Kinds
from analytics.records.settings import ReadSettings
from analytics.records.spellings import field_of
from analytics.records.spread import spread_texts, spread_yes_no
from analytics.records.wide import Told, Wide
from analytics.stopping import step
from analytics.units import quantity_of

_IDS = frozenset(
    {"mould_id", "operator", "lot", "catalyst_lot", "gelcoat_batch_id", "resin_batch_id",
     "batch_id", "logger_id"}
)  # fmt: skip


_LOOKED_AT = 500
_SHELF_LIFE = dt.timedelta(days=3653)


@dataclass(frozen=True)
class Surroundings:
    """What reading a group needs from outside it."""

    hints: Sequence[Hints]
    settings: ReadSettings
    faults: FaultReader
    today: dt.date
    lent_order: Order | None = None


def build(group: Group, matches: Sequence[Match], kinds: Kinds, around: Surroundings) -> Wide:
    """The wide table of a group's records."""
    rows = np.flatnonzero(kinds == RECORD)
    builder = _Builder(group, matches, kinds, rows, around)
    builder.read_all()
    return builder.wide()


def told_order_of(group: Group, match: Match) -> Order | None:
    """The date order a column's heading or its sheet's title states."""
    stated = (h.order for h in read_headings(match.column.header))
    return next((order for order in stated if order), group.hints.order)


class _Builder:
    def __init__(
        self,
        group: Group,
        matches: Sequence[Match],
        kinds: Kinds,
        rows: NDArray[np.intp],
        around: Surroundings,
    ) -> None:
        self.group, self.around, self.rows = group, around, rows
        self.typed: dict[str, Coded] = {}
        self.others: list[tuple[str, Coded]] = []
        self.match: dict[str, Match] = {}
        self.values: dict[str, pd.api.extensions.ExtensionArray | NDArray[np.generic]] = {}
        self.told: list[Told] = []
        self.remarks: dict[str, str] = {}
        self.clocks: NDArray[np.float64] | None = None
        self.days: Coded | None = None
        self._sort(matches, kinds)
        self.comma = self._commas()

    def _sort(self, matches: Sequence[Match], kinds: Kinds) -> None:
        """Cells of record rows by target, columns of one target joined; the rest are others."""
        by_target: dict[str, list[Match]] = {}
        for match in matches:
            if match.target in (None, IGNORED):
                name = match.column.header or f"column {match.column.index + 1}"
                self.others.append((name, match.column.cells.rows(self.rows)))
            else:
                by_target.setdefault(str(match.target), []).append(match)
        for target, found in by_target.items():
            cells = combined([m.column.cells for m in found])
            self.typed[target] = cells.rows(self.rows).used()
            self.match[target] = found[0]
            if len(found) > 1:
                header = " + ".join(m.column.header for m in found)
                column = replace(found[0].column, header=header)
                self.match[target] = replace(found[0], column=column)
        if self.group.record in ("part", "batch"):
            self._fill_days([m.column.cells for m in by_target.get("date", ())], kinds)

    def _commas(self) -> Comma | None:
        """Decimal commas, when any column of figures can only be read so."""
        for target, cells in self.typed.items():
            if not is_result(target) and field_of(self.group.record, target).kind == "number":
                texts = [cells.texts[code] for code in cells.filled_codes[:_LOOKED_AT]]
                if comma_style(texts) == "decimal":
                    return "decimal"
        return None

    def _fill_days(self, written: Sequence[Coded], kinds: Kinds) -> None:
        """Days written on lines of their own, or once for several rows, for every row."""
        cells = written[0] if written else blank_column(len(kinds))
        filled = with_days_from_lines(cells, self.group, kinds)
        if filled is cells:
            return
        self.days = filled.rows(self.rows).used()
        if not written:
            column = Column(-1, "day", "", self.days)
            self.match["date"] = Match(column, "date", None, "exact", "lines between the rows")
        carried = np.flatnonzero(~cells.rows(self.rows).said & self.days.said)
        if written and len(carried) and not (kinds == TITLE).any():
            self.told.append(
                Told(self.match["date"].column.header, CARRIED, tuple(carried.tolist()))
            )

    def read_all(self) -> None:
        """Read every column; columns that depend on others come last."""
        pots: dict[str, Reading] = {}
        for target in self.typed:
            if is_result(target):
                continue
            step()
            field = field_of(self.group.record, target)
            cells = self._typed(target)
            if field.kind in ("date", "datetime"):
                self._read_dates(target, cells)
            else:
                reading = self._read(target, field, cells)
                self._keep(target, field, cells, reading)
                if reading.pots:
                    pots[target] = reading
        if self.days is not None and "date" not in self.typed:
            self._read_dates("date", self.days)
        for target, reading in pots.items():
            self._settle_pots(target, reading)
        self._read_results()

    def _breaks(self) -> tuple[int, ...]:
        return tuple(int(np.searchsorted(self.rows, start)) for start in self.group.breaks)

    def _read(self, target: str, field: Field, cells: Coded) -> Reading:
        if field.kind == "number":
            return read_numbers(cells, field, self._context(target, field))
        if field.kind == "yes_no":
            return read_yes_no(cells, field)
        if field.kind == "choice":
            return read_choices(cells, field)
        if field.kind == "time":
            return read_times(cells, field)
        return read_ids(cells) if field.id in _IDS else read_texts(cells)

    def _typed(self, target: str) -> Coded:
        """The cells of a target, marks for "as above" filled in."""
        written = self.days if target == "date" and self.days else self.typed[target]
        cells = without_dittos(written, self._breaks())
        return without_point_nought(cells) if target in (*_IDS, "part_id") else cells

    def _context(self, target: str, field: Field) -> Context:
        match = self.match[target]
        quantity = quantity_of(field.unit or "count")
        unit = match.unit
        if unit is None:
            headings = read_headings(match.column.header)
            unit = next((u for h in headings if (u := h.unit_for(quantity))), None)
        film_only = quantity == "length" and not field.id.startswith("gelcoat")
        return Context(
            header=match.column.header,
            target=target,
            unit=unit,
            hint=None if film_only else self.group.hints.unit(quantity),
            comma=self.comma,
            densities=self.around.settings.densities,
            overnight_h=self.around.settings.overnight_h,
        )

    def _keep(self, target: str, field: Field, cells: Coded, reading: Reading) -> None:
        self.values[target] = _as_array(reading.values, field, cells)
        if any(reading.basis):
            basis = np.array(reading.basis, dtype=object)[cells.codes]
            prefix = target.rpartition(".")[0]
            self.values[f"{prefix}.catalyst_basis" if prefix else "catalyst_basis"] = basis
        self._tell(target, cells, reading.findings)
        if reading.remarks:
            self.remarks[target] = "; ".join(reading.remarks)

    def _tell(self, target: str, cells: Coded, findings: Sequence[Finding]) -> None:
        header = self.match[target].column.header
        for finding in findings:
            rows: tuple[int, ...] = ()
            if finding.code is not None:
                rows = tuple(np.flatnonzero(cells.codes == finding.code).tolist())
            self.told.append(Told(header, finding, rows))

    def _read_dates(self, target: str, cells: Coded) -> None:
        told = told_order_of(self.group, self.match[target])
        hints, lent = self.around.hints, self.around.lent_order
        place = Place(self.group.sheet_of[self.rows], hints, told, lent)
        today = self.around.today
        until = today + _SHELF_LIFE if target == "expires" else today
        read = read_dates(cells, place, until)
        self._tell(target, cells, read.findings)
        if read.remarks:
            self.remarks[target] = "; ".join(read.remarks)
        stamps = read.stamps
        if self.group.record == "logger" and target == "timestamp":
            clocks = np.nan_to_num(read.clocks)
            stamps = stamps + (clocks * 60).astype("timedelta64[s]")
        elif target == "date":
            self.clocks = read.clocks
        self.values[target] = stamps

    def _settle_pots(self, target: str, reading: Reading) -> None:
        """Doses written as what went into one pot, divided by the mass of that pot."""
        prefix = target.removesuffix("catalyst_pct")
        basis = self.values.get(f"{prefix}catalyst_basis")
        doses = PotDoses(
            np.array(self.values[target], dtype=float),
            np.full(len(self.rows), None, dtype=object) if basis is None else np.array(basis),
            self.values.get(f"{prefix}mass_kg"),
            self.around.settings.densities,
        )
        for finding, rows in doses.settle(self._typed(target), reading.pots):
            self.told.append(Told(self.match[target].column.header, finding, rows))
        self.values[target], self.values[f"{prefix}catalyst_basis"] = doses.doses, doses.basis

    def _read_results(self) -> None:
        columns = {target: self._typed(target) for target in self.typed if is_result(target)}
        if not columns:
            return
        results = read_results(columns, len(self.rows), self.around.faults)
        self.values |= {
            "outcome": results.outcome,
            "defects": results.words,
            "faults": results.faults,
            "looked": results.looked,
        }
        for target, findings in results.findings.items():
            self._tell(target, columns[target], findings)

    def wide(self) -> Wide:
        """The values as a table."""
        frame = pd.DataFrame(self.values, index=pd.RangeIndex(len(self.rows)))
        frame["sheet_no"] = self.group.sheet_of[self.rows]
        frame["row"] = self.group.row_of[self.rows]
        frame["raw"] = raw_texts(self.typed, self.others, len(self.rows))
        for role in ROLES if self.group.record == "part" else ():
            own = {
                t.removeprefix(f"{role}."): c
                for t, c in self.typed.items()
                if t[: len(role) + 1] == f"{role}."
            }
            if own:
                frame[f"raw of {role}"] = raw_texts(own, (), len(self.rows))
        if self.clocks is not None and "start_time" not in frame and self.group.record == "part":
            frame["start_time"] = clock_texts(self.clocks)
        return Wide(self.group.record, frame, self.told, self.remarks)


def _as_array(values: list[Any], field: Field, cells: Coded) -> Any:
    if field.kind == "number":
        numbers = np.array([np.nan if v is None else v for v in values], dtype=np.float64)
        return numbers[cells.codes]
    if field.kind == "yes_no":
        return spread_yes_no(values, cells.codes)
    return spread_texts(values, cells.codes)
