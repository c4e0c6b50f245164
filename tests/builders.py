"""Small logs for tests: say only what matters to the case, everything else is unknown."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from analytics.records.log import DEFECT_COLUMNS, Log, columns_of

Row = Mapping[str, Any]


def a_log(
    parts: Iterable[Row] = (),
    batches: Iterable[Row] = (),
    lots: Iterable[Row] = (),
    moulds: Iterable[Row] = (),
    logger: Iterable[Row] = (),
    defects: Iterable[Row] = (),
) -> Log:
    """A log holding these records.

    Parts and mixes without a number get P1, P2 … and B1, B2 …. A part may carry `faults`, a list
    of defect ids: each becomes a row of the defects table. A part with `faults` or an `outcome`
    counts as looked at, unless `looked` says otherwise. A misspelt field raises KeyError.
    """
    made = [_part(dict(row), number) for number, row in enumerate(parts, start=1)]
    faults = [
        {"part_id": part["part_id"], "defect": defect, "words": defect}
        for part in made
        for defect in part.get("faults", ())
    ]
    tables = {
        "part": [{k: v for k, v in part.items() if k != "faults"} for part in made],
        "batch": [{"batch_id": f"B{n}", **row} for n, row in enumerate(batches, start=1)],
        "lot": [dict(row) for row in lots],
        "mould": [dict(row) for row in moulds],
        "logger": [dict(row) for row in logger],
        "defect": [*faults, *(dict(row) for row in defects)],
    }
    for record, rows in tables.items():
        _refuse_unknown(record, rows)
    return Log.of(tables)


def _part(row: dict[str, Any], number: int) -> dict[str, Any]:
    row.setdefault("part_id", f"P{number}")
    faults = row.get("faults", ())
    if faults:
        row.setdefault("outcome", "faulty")
        row.setdefault("defects", ", ".join(faults))
    if "outcome" in row or "faults" in row:
        row.setdefault("looked", True)
    return row


def _refuse_unknown(record: str, rows: Iterable[Row]) -> None:
    known = DEFECT_COLUMNS if record == "defect" else columns_of(record)
    for row in rows:
        strange = sorted(set(row) - set(known))
        if strange:
            raise KeyError(f"{record} has no field {', '.join(strange)}")
