"""Result, fault and outcome columns together: what became of each part, and its faults."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from dataclasses import field as dataclass_field

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.records.cells import Finding, read_yes_no
from analytics.records.coded import Coded
from analytics.records.columns import FAULT_COLUMN, FAULTY
from analytics.records.faults import Fault, FaultReader, Verdict, severity_of
from analytics.records.fields import dictionary
from analytics.records.spellings import FAULT_PLACE, FAULT_SEVERITY, RESULT
from analytics.records.words import is_blank, plain, words

Objects = NDArray[np.object_]
_MOSTLY = 0.5
_NONE_MEANS = 'read as not filled in. If it means the part had no faults, type "no faults".'
_WORST = ("scrap", "rework", "faulty", "good")


@dataclass
class Results:
    """Per row: the outcome, the faults as typed, the faults read, whether anyone looked."""

    outcome: Objects
    words: Objects
    faults: Objects
    looked: NDArray[np.bool_]
    findings: dict[str, list[Finding]] = dataclass_field(default_factory=dict)


def fault_reader(defect_words: Mapping[str, str]) -> FaultReader:
    """A reader with the shop's defect words and the dictionary's outcome words."""
    outcome = dictionary().get("part", "outcome")
    table = {word: choice for choice, listed in outcome.choices.items() for word in listed}
    return FaultReader(defect_words, {**table, **{choice: choice for choice in outcome.choices}})


def read_results(columns: Mapping[str, Coded], rows: int, reader: FaultReader) -> Results:
    """What the columns "outcome", "defects" and "result" of a table say, row by row.

    So do columns to tick for one fault, and columns that say how bad or where a fault is.

    The outcome column decides the outcome, then words in the others; faults written down without
    any outcome make the part faulty. A row with nothing in any of them was not looked at.
    """
    results = Results(
        np.full(rows, None, dtype=object),
        np.full(rows, None, dtype=object),
        np.full(rows, None, dtype=object),
        np.zeros(rows, dtype=np.bool_),
    )
    for target in ("outcome", RESULT, "defects", FAULTY):
        if target in columns:
            verdicts, findings = _verdicts(target, columns[target], reader)
            results.findings[target] = findings
            _put(results, columns[target], verdicts)
    for target, column in columns.items():
        if target.startswith(FAULT_COLUMN):
            _put(results, column, _marked(column, target.removeprefix(FAULT_COLUMN)), True)
    _detail(results, columns)
    faulty = np.array([bool(f) for f in results.faults], dtype=np.bool_)
    results.outcome[faulty & pd.isna(results.outcome)] = "faulty"
    return results


def _verdicts(
    target: str, column: Coded, reader: FaultReader
) -> tuple[list[Verdict | None], list[Finding]]:
    """A verdict per distinct text, and what to tell about words not known."""
    ticked = _ticked(target, column)
    verdicts: list[Verdict | None] = [None] * len(column.texts)
    findings = [
        Finding("assumed", text, "ok, or a fault", _NONE_MEANS, code)
        for code, text in enumerate(column.texts)
        if plain(text) == "none" and column.counts[code]
    ]
    for code in column.filled_codes:
        text = column.texts[code]
        verdicts[code] = ticked.get(code) or reader.read(text)
        findings += _tell(code, verdicts[code])
    return verdicts, findings


def _marked(column: Coded, defect: str) -> list[Verdict | None]:
    """A verdict per distinct text of a column to tick for one fault."""
    ticks = read_yes_no(column, dictionary().get("part", "pva_used")).values
    verdicts: list[Verdict | None] = [None] * len(column.texts)
    for code in column.filled_codes:
        text = column.texts[code]
        severity = severity_of(text)
        there = int(text) > 0 if text.isdecimal() else bool(severity or ticks[code])
        said = there or text.isdecimal() or ticks[code] is not None
        faults = (Fault(defect, severity, None, defect),) if there else ()
        verdicts[code] = Verdict(faults=faults) if said else None
    return verdicts


def _detail(results: Results, columns: Mapping[str, Coded]) -> None:
    """Put what columns of their own say of how bad and where on the faults of their row."""
    for target, attribute in ((FAULT_SEVERITY, "severity"), (FAULT_PLACE, "place")):
        column = columns.get(target)
        if column is None:
            continue
        for row in np.flatnonzero(column.said & ~pd.isna(results.faults)):
            text = column.at(int(row))
            said = severity_of(text) if attribute == "severity" else text
            results.faults[row] = tuple(
                fault if getattr(fault, attribute) else replace(fault, **{attribute: said})
                for fault in results.faults[row]
            )


def is_result(target: str) -> bool:
    """Whether a target is read here, with the other columns about how the part came out."""
    own = ("outcome", "defects", FAULTY, RESULT, FAULT_SEVERITY, FAULT_PLACE)
    return target in own or target.startswith(FAULT_COLUMN)


def _ticked(target: str, column: Coded) -> dict[int, Verdict]:
    """Yes, no, ticks and crosses as outcomes: under "Fault?" a yes is bad, elsewhere good."""
    marks = words().yes | words().no | words().cross
    codes = [c for c in column.filled_codes if plain(column.texts[c]) in marks]
    counts = column.counts
    filled = sum(int(counts[code]) for code in column.filled_codes)
    if sum(int(counts[code]) for code in codes) < _MOSTLY * max(filled, 1):
        codes = [code for code in codes if plain(column.texts[code]) in ("y", "n", "yes", "no")]
    only = Coded(tuple(t if c in codes else "" for c, t in enumerate(column.texts)), column.codes)
    said = read_yes_no(only, dictionary().get("part", "outcome")).values
    good_is = target not in ("defects", FAULTY)
    return {
        code: Verdict(outcome="good" if said[code] == good_is else "faulty")
        for code in codes
        if said[code] is not None
    }


def _tell(code: int, verdict: Verdict | None) -> list[Finding]:
    if verdict is None:
        return []
    told = [
        Finding(
            "unknown word",
            piece,
            "a fault laylog knows, or ok",
            "kept as typed, not counted as a fault. Add the word to the shop's own knowledge file"
            " or use the usual one.",
            code,
        )
        for piece in verdict.unknown
    ]
    return told + [
        Finding(
            "assumed",
            typed,
            f'"{known}"',
            f'taken as "{known}". If that is wrong, put the right word in the log.',
            code,
        )
        for typed, known in verdict.guessed
    ]


def _put(
    results: Results, column: Coded, verdicts: Sequence[Verdict | None], ticks: bool = False
) -> None:
    """Add what one column says to the rows that hold it; `ticks` where cells hold no words."""
    outcome = np.array([v.outcome if v else None for v in verdicts], dtype=object)[column.codes]
    said = np.array([v is not None for v in verdicts], dtype=np.bool_)[column.codes]
    results.looked |= said
    open_rows = pd.isna(results.outcome) & ~pd.isna(outcome)
    results.outcome[open_rows] = outcome[open_rows]
    faults = np.empty(len(verdicts), dtype=object)
    faults[:] = [v.faults if v else () for v in verdicts]
    named = np.array([bool(v and v.faults) or (not ticks and _wordy(v)) for v in verdicts])
    for row in np.flatnonzero(named[column.codes]):
        code = column.codes[row]
        earlier: tuple[Fault, ...] = results.faults[row] or ()
        results.faults[row] = earlier + tuple(
            fault for fault in faults[code] if fault.defect not in {e.defect for e in earlier}
        )
        typed = faults[code][0].words if ticks else column.texts[code]
        results.words[row] = f"{results.words[row]}; {typed}" if results.words[row] else typed


def _wordy(verdict: Verdict | None) -> bool:
    """Whether a cell without known faults holds more than a plain outcome, worth keeping."""
    return verdict is not None and (bool(verdict.unknown) or not verdict.outcome)


def combined(columns: Sequence[Coded]) -> Coded:
    """Several columns of one target as one, the filled cells of a row joined by "; "."""
    if len(columns) == 1:
        return columns[0]
    by_text: dict[str, int] = {}
    keys = np.stack([column.codes for column in columns])
    distinct, codes = np.unique(keys, axis=1, return_inverse=True)
    made = []
    for combination in distinct.T:
        texts = [c.texts[code] for c, code in zip(columns, combination, strict=True)]
        joined = "; ".join(text for text in texts if not is_blank(text))
        made.append(by_text.setdefault(joined, len(by_text)))
    return Coded(tuple(by_text), np.array(made, dtype=np.int32)[codes.ravel()])
