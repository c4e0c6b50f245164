"""Records typed by hand, read cell by cell by the same readers as a file."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from analytics.errors import QuestionError
from analytics.records.building import Surroundings, build
from analytics.records.cells import id_key
from analytics.records.coded import from_cells, tidy
from analytics.records.columns import FAULT_COLUMN, Column, Match
from analytics.records.fields import KEYS, RECORDS, dictionary
from analytics.records.finishing import Finished, finish
from analytics.records.gathering import FoundSheet, Group
from analytics.records.hints import Hints
from analytics.records.log import typed, typed_defects
from analytics.records.mix_links import link_mixes, missing_mixes, names_in
from analytics.records.problems import FileReport, Problem
from analytics.records.reading import ReadResult
from analytics.records.reporting import cell_problems, sheet_reports
from analytics.records.results import fault_reader
from analytics.records.rows import RECORD, Kinds
from analytics.records.settings import ReadSettings
from analytics.records.sheets import Layout, RawSheet
from analytics.records.spellings import FAULT_PLACE, FAULT_SEVERITY, PART_OF_MIX
from analytics.records.wide import Wide
from analytics.records.words import is_blank

SHEET = "typed by hand"
FAULT_WORDS = "fault words"
"""The cell that holds what was said of a ticked fault, in the shop's own words."""

Cells = Mapping[str, str]
_HELPERS = {
    "part": (FAULT_SEVERITY, FAULT_PLACE, FAULT_WORDS),
    "batch": (PART_OF_MIX,),
    "logger": ("date", "time"),
}
_POINTS_TO = {
    "mould_id": "mould",
    "gelcoat_batch_id": "batch",
    "resin_batch_id": "batch",
    "lot": "lot",
}


def read_by_hand(
    rows: Sequence[tuple[str, Cells]],
    *,
    file: str,
    defect_words: Mapping[str, str],
    settings: Mapping[str, Any] | None,
    today: dt.date,
    known: Mapping[str, Sequence[str]],
) -> ReadResult:
    """What a person typed, as if it had stood in a file with one row for each record.

    Parameters
    ----------
    rows : sequence of (record, cells)
        At most one of each record; cells as typed by field ("air_c", "gelcoat.catalyst_pct", on a
        mix also "part_id", on a part also "defects: pinholes"). Bare figures are in the field's
        own unit.
    known : mapping
        Numbers the log has, by record: one typed otherwise ("m 07") is taken as the one known.

    Raises
    ------
    QuestionError
        For a field the record does not have, or nothing that says which record it is.
    """
    filled = [(record, _filled(record, cells)) for record, cells in rows]
    hints = Hints((), None, (today.year,), ())
    around = Surroundings([hints], ReadSettings.of(settings), fault_reader(defect_words), today)
    read = [
        _read_row(number, record, cells, around) for number, (record, cells) in enumerate(filled)
    ]
    done = finish(file, [SHEET], {wide.record: wide.frame for *_, wide in read})
    problems = [_plainer(p) for *_, wide in read for p in cell_problems(file, [SHEET], wide)]
    raw = RawSheet(SHEET, len(rows), ())
    report = sheet_reports([FoundSheet(raw, Layout((), (), ()), hints)], read, done)
    tables = _tables(done, filled)
    problems += _spelt_as_known(file, tables, known)
    problems += [p for p in done.problems if p.kind != "no number"]
    problems += _missing_mixes(file, tables, known.get("batch", ()))
    return ReadResult((FileReport(file, tuple(report), tuple(problems)),), tables)


def _filled(record: str, cells: Cells) -> dict[str, str]:
    """The cells that hold something. Raises QuestionError for an unknown field, or no record."""
    fields = (*dictionary().targets(record), *_HELPERS.get(record, ()))
    for target in cells:
        if target not in fields and not target.startswith(FAULT_COLUMN):
            raise QuestionError(f'a {record} has no field called "{target}".')
    filled = {t: tidy(text) for t, text in cells.items() if not is_blank(tidy(text))}
    named = {
        "part": "part_id" in filled or {"date", "mould_id"} <= set(filled),
        "batch": "batch_id" in filled or "date" in filled,
        "logger": "timestamp" in filled or "date" in filled,
    }.get(record, KEYS[record] in filled)
    if not named:
        wanted = {
            "part": "a part number, or a day and a mould",
            "batch": "a mix number, or a day",
            "lot": "the lot number",
            "mould": "the mould number",
            "logger": "a day and a time",
        }[record]
        raise QuestionError(f"write {wanted}: without it nobody could find this again.")
    return filled


def _read_row(
    number: int, record: str, cells: Cells, around: Surroundings
) -> tuple[Group, Sequence[Match], Kinds, Wide]:
    matches = [_match(index, record, *cell) for index, cell in enumerate(cells.items())]
    own = np.array([number], dtype=np.intp)
    columns = tuple(match.column for match in matches)
    group = Group(record, columns, np.zeros(1, dtype=np.intp), own, (0,), around.hints[0])
    kinds: Kinds = np.full(1, RECORD, dtype=object)
    return group, matches, kinds, build(group, matches, kinds, around)


def _match(index: int, record: str, target: str, text: str) -> Match:
    column = Column(index, target, "", from_cells([text], np.zeros(1, dtype=np.intp)))
    if target == FAULT_WORDS:
        return Match(column, None, None, "none", "the shop's own words")
    unit = None
    if target in dictionary().targets(record):
        unit = dictionary().target(record, target).unit
    return Match(column, target, unit, "exact", SHEET)


def _plainer(problem: Problem) -> Problem:
    """The problem without advice on headings, where there is none: say how to type it instead."""
    if problem.kind != "assumed" or "heading" not in problem.action:
        return problem
    action = problem.action.partition(". If that is wrong")[0]
    return replace(problem, action=f"{action}. If that is wrong, type the day as 2024-03-31.")


def _tables(done: Finished, rows: Sequence[tuple[str, Cells]]) -> dict[str, pd.DataFrame]:
    tables = {
        record: done.tables[record] if record in done.tables else typed(record, ())
        for record in RECORDS
    }
    tables["part"] = link_mixes(tables["part"], done.links)
    defects = done.tables.get("defect", typed_defects(()))
    said = next((cells[FAULT_WORDS] for _, cells in rows if FAULT_WORDS in cells), None)
    if said is not None and len(defects):
        defects = defects.assign(words=said)
        tables["part"] = tables["part"].assign(defects=said)
    tables["defect"] = defects
    return tables


def _spelt_as_known(
    file: str, tables: dict[str, pd.DataFrame], known: Mapping[str, Sequence[str]]
) -> list[Problem]:
    """Write numbers as the log does ("m 07" as "M07"), in place; one problem for each."""
    problems = []
    by_key = {r: {id_key(name): name for name in reversed(names)} for r, names in known.items()}
    for record, table in tables.items():
        for column in table.columns:
            of = record if column == KEYS.get(record) else _POINTS_TO.get(column)
            if record == "defect" and column == "part_id":
                of = "part"
            if of not in by_key or table.empty:
                continue
            names = set(known[of])
            spelt = {
                name: by_key[of][id_key(name)]
                for name in table[column].dropna()
                if name not in names and id_key(name) in by_key[of]
            }
            if spelt:
                tables[record] = table = table.assign(**{column: table[column].replace(spelt)})
                problems += [_respelt(file, column, *pair) for pair in spelt.items()]
    return [p for p in dict.fromkeys(problems) if p.column is not None]


def _respelt(file: str, column: str, typed_: str, known: str) -> Problem:
    action = f'taken as "{known}". If they differ, take it back and write another number.'
    return Problem("assumed", file, SHEET, 1, column, typed_, f'"{known}", as in the log', action)


def _missing_mixes(
    file: str, tables: Mapping[str, pd.DataFrame], known: Sequence[str]
) -> list[Problem]:
    """Mix numbers on the part that neither this nor the log has a mix behind."""
    listed = pd.DataFrame({"batch_id": [*known, *names_in(tables["batch"]["batch_id"])]})
    problems = missing_mixes(file, {"part": tables["part"], "batch": listed.astype("str")})
    action = "kept, without what its mix would say. Write the mix down too, or correct the number."
    return [replace(problem, action=action) for problem in problems]
