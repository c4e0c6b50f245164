"""What reading files would have given, made by number, large enough to be killed in the middle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import pandas as pd

from analytics.records.log import typed, typed_defects
from analytics.records.problems import FileReport

NOW = datetime(2025, 6, 1, 9, 30)


@dataclass(frozen=True)
class Given:
    """Tables by record and a report for each file they are from."""

    files: tuple[FileReport, ...]
    tables: dict[str, pd.DataFrame]


def a_log(file: str, parts: Sequence[int], *, air_c: float, readings: int = 0) -> Given:
    """A file of parts by number, each with a mix and a fault, and readings of a logger."""
    first = datetime(2022, 12, 1)
    rows = [
        {"part_id": f"P{n}", "date": first + timedelta(days=n), "mould_id": f"M{n % 7}",
         "air_c": air_c, "gelcoat_batch_id": f"G{n}", "defects": "pinholes"}
        for n in parts
    ]  # fmt: skip
    mixes = [{"batch_id": f"G{n}", "material": "gelcoat", "catalyst_pct": 1.5} for n in parts]
    moments = [first + timedelta(minutes=10 * n) for n in range(readings)]
    air = [{"logger_id": "shed", "timestamp": moment, "air_c": air_c} for moment in moments]
    tables = {"part": _typed("part", rows, file), "batch": _typed("batch", mixes, file)}
    tables["logger"] = _typed("logger", air, file)
    faults = [{"part_id": row["part_id"], "defect": "pinholes"} for row in rows]
    return Given((FileReport(file, (), ()),), tables | {"defect": typed_defects(faults)})


def together(*given: Given) -> Given:
    """Several files of one import."""
    tables = {
        record: pd.concat([one.tables[record] for one in given], ignore_index=True)
        for record in given[0].tables
    }
    return Given(tuple(report for one in given for report in one.files), tables)


def _typed(record: str, rows: list[dict[str, Any]], file: str) -> pd.DataFrame:
    origin = {"file": file, "sheet": "log"}
    return typed(record, [origin | {"row": n + 2} | row for n, row in enumerate(rows)])
