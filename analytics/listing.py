"""Every part as it was understood, as plain data: fields, mixes, faults, cells as typed."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

import pandas as pd
from rapidfuzz.process import extract

from analytics.errors import QuestionError
from analytics.jobs import MIX_ROLES
from analytics.records.cells import id_key
from analytics.records.fields import dictionary
from analytics.records.log import ORIGIN, Log

FROM = "_from"
_MARKS = dict.fromkeys([*(c for c in range(0x3001) if chr(c).isspace()), *map(ord, "_-./#")])


def part_called(known: Iterable[str], said: str) -> str:
    """The part number as the log writes it, found without minding case or dashes.

    Raises QuestionError with the nearest numbers where there is none.
    """
    numbers = known.tolist() if isinstance(known, pd.Series) else list(known)
    if said in numbers:
        return said
    flat = _letters_and_figures(said)
    alike = [number for number in numbers if _letters_and_figures(number) == flat]
    same = [number for number in alike if id_key(number) == id_key(said)]
    if len(same) == 1:
        return same[0]
    near = ", ".join(same or [name for name, _, _ in extract(said, numbers, limit=3)])
    raise QuestionError(f'no part is called "{said}" in this log. Nearest: {near}.')


def _letters_and_figures(number: str) -> str:
    """What two numbers that `id_key` takes for one surely share; a hundred thousand are quick."""
    return number.translate(_MARKS).casefold()


def listed_records(jobs: pd.DataFrame, log: Log) -> dict[str, Any]:
    """`{"units": {field: unit}, "parts": [...]}`, parts oldest first.

    Each part has its canonical fields (blanks as None), `gelcoat` and `resin` with the fields of
    its mixes, `defects`, `filled` naming each value taken from another record and where from,
    `raw` with the cells as typed, and `origin` (file, sheet, row).
    """
    fields = [f.id for f in dictionary().of("part") if f.id != "defects"]
    filled = [name for name in jobs.columns if name.endswith(FROM)]
    faults = _faults(log.defects)
    mixes = _mixes(log.batches)
    read_from = _origins(log.parts)
    parts = []
    for job in jobs.to_dict("records"):
        origin = read_from[job["part_id"]]
        part = {name: _plain(job[name]) for name in fields}
        part["defects"] = faults.get(job["part_id"], [])
        for role in MIX_ROLES:
            part[role] = mixes.get(job[f"{role}_batch_id"])
        part["filled"] = {
            name.removesuffix(FROM): job[name]
            for name in filled
            if isinstance(job[name], str) and job[name] != "part"
        }
        part["raw"] = _cells(origin.pop("raw"))
        part["origin"] = {name: _plain(value) for name, value in origin.items()}
        parts.append(part)
    units = {f.id: f.unit for f in dictionary().fields if f.unit}
    return {"units": units, "parts": parts}


def _faults(defects: pd.DataFrame) -> dict[str, list[dict[str, Any]]]:
    found: dict[str, list[dict[str, Any]]] = {}
    for fault in defects.to_dict("records"):
        own = {name: _plain(fault[name]) for name in ("defect", "severity", "place", "words")}
        found.setdefault(fault["part_id"], []).append(own)
    return found


def _mixes(batches: pd.DataFrame) -> dict[str, dict[str, Any]]:
    names = [f.id for f in dictionary().of("batch")]
    return {
        batch["batch_id"]: {
            **{name: _plain(batch[name]) for name in names},
            "raw": _cells(batch["raw"]),
        }
        for batch in batches.to_dict("records")
    }


def _origins(parts: pd.DataFrame) -> dict[str, dict[str, Any]]:
    """Where each part was read from, and its cells as typed."""
    told = parts[list(ORIGIN)].to_dict("records")
    return dict(zip(parts["part_id"], told, strict=True))


def _cells(raw: Any) -> Any:
    return json.loads(raw) if isinstance(raw, str) else {}


def _plain(value: Any) -> Any:
    """The value as JSON knows it: None for blanks, ISO text for dates."""
    if value is None or value is pd.NA or value is pd.NaT or value != value:
        return None
    if isinstance(value, pd.Timestamp):
        return value.strftime("%Y-%m-%d" if value == value.normalize() else "%Y-%m-%dT%H:%M")
    return value.item() if hasattr(value, "item") else value
