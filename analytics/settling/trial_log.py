"""The parts of a trial as the log has them: given, made, looked at; and the finished blocks."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from analytics.knowledge.model import Knowledge
from analytics.records.cells import id_key
from analytics.settling.drawing import slot
from analytics.settling.trial import Given, Trial, ways_of, with_fault
from analytics.stats.anytime import Block


def results(
    trial: Trial,
    given: Sequence[Given],
    jobs: pd.DataFrame,
    found: pd.DataFrame,
    knowledge: Knowledge,
) -> pd.DataFrame:
    """One row per part of the trial: part_id, mould, way, block, size, position; and from the log

    looked, faulty (the fault hoped to change), worse (scrapped, or another fault), kept (float:
    1 the way was kept, 0 it was not, NaN unknown), hot (exotherm peak [°C], NaN unknown).
    """  # fmt: skip
    places = [slot(trial.seed, one.mould, one.position) for one in given]
    spelt: dict[str, str] = {}
    table = pd.DataFrame(
        {
            "part_id": [one.part_id for one in given],
            "mould": [spelt.setdefault(id_key(one.mould), one.mould) for one in given],
            "way": [one.way for one in given],
            "position": [one.position for one in given],
            "block": [place.block for place in places],
            "size": [place.size for place in places],
        }
    )
    rows = _log_rows([one.part_id for one in given], jobs)
    is_a = (table["way"] == "a").to_numpy(dtype=bool)
    facts = {
        "looked": jobs["looked"].fillna(False).to_numpy(dtype=np.float64),
        "faulty": with_fault(jobs, found, trial.defects, knowledge).astype(np.float64),
        "worse": _worse(jobs, found, trial, knowledge).astype(np.float64),
        "hot": jobs["exotherm_peak_c"].to_numpy(dtype=np.float64, na_value=np.nan),
    }
    drawn = {name: _taken(values, rows) for name, values in facts.items()}
    looked = drawn.pop("looked") == 1.0
    kept = _kept(trial, jobs, rows, is_a)
    return table.assign(
        **{name: drawn[name] == 1.0 for name in ("faulty", "worse")},
        hot=drawn["hot"], looked=looked, kept=kept,
    )  # fmt: skip


def _log_rows(parts: Sequence[str], jobs: pd.DataFrame) -> NDArray[np.intp]:
    """Where each part stands in the jobs table; -1 where the log does not have it yet."""
    where: dict[str, int] = {}
    for row, part in enumerate(jobs["part_id"].fillna("")):
        where.setdefault(id_key(part), row)
    return np.asarray([where.get(id_key(part), -1) for part in parts], dtype=np.intp)


def _taken(values: NDArray[np.float64], rows: NDArray[np.intp]) -> NDArray[np.float64]:
    """The values at these rows, NaN at -1."""
    padded = np.append(values, np.nan)
    return padded[rows]


def _worse(
    jobs: pd.DataFrame, found: pd.DataFrame, trial: Trial, knowledge: Knowledge
) -> NDArray[np.bool_]:
    """(n,) parts scrapped, or with a fault other than the one hoped to change."""
    own = {leaf for d in trial.defects for leaf in (d, *knowledge.defects[d].members)}
    others = found.loc[~found["defect"].isin(own) & found["defect"].notna(), "part_id"]
    scrapped = (jobs["outcome"] == "scrap").fillna(False).to_numpy(dtype=bool)
    return np.asarray(jobs["part_id"].isin(others), dtype=bool) | scrapped


def _kept(
    trial: Trial, jobs: pd.DataFrame, rows: NDArray[np.intp], is_a: NDArray[np.bool_]
) -> NDArray[np.float64]:
    """1 where the log shows the way given, 0 where it shows something else, NaN where nothing."""
    ways = ways_of(trial)
    if ways is None:
        return np.full(len(rows), np.nan)
    cells = jobs[trial.field]
    shown = [_taken(np.asarray(way.holds(cells), dtype=np.float64), rows) for way in ways]
    known = _taken(np.asarray(cells.notna(), dtype=np.float64), rows)
    return np.where(known == 1.0, np.where(is_a, shown[0], shown[1]), np.nan)


def finished(table: pd.DataFrame, fault: str) -> list[Block]:
    """Blocks with a result on every part, or with a later block of their mould begun to answer.

    A result nobody writes would hold its block back for ever; it is given up once a later block
    of that mould has results. Whether that happens does not depend on the ways inside the block.
    """
    blocks: list[Block] = []
    known = table[table["looked"]]
    newest = known.groupby("mould")["block"].max().to_dict()
    for (mould, block), part in known.groupby(["mould", "block"], sort=True):
        whole = len(part) == int(part["size"].iloc[0])
        if whole or newest[mould] > block:
            a, b = part[part["way"] == "a"], part[part["way"] == "b"]
            blocks.append((len(a), int(a[fault].sum()), len(b), int(b[fault].sum())))
    return blocks
