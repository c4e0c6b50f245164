"""A large log's jobs in pieces, and the few of them that one question rests on.

One part is judged by the jobs just before and after it, its mould's last pulls and the good parts
most like it. Cut out of the whole table in its order, those few give the very same answer.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
from numpy.typing import NDArray

from analytics.diagnosis.alike import COMPARED_NUMBERS, COMPARED_WORDS, Compared
from analytics.diagnosis.learning import NEARBY
from analytics.diagnosis.lots import LOT_RATIOS
from analytics.diagnosis.model import ShopModel
from analytics.diagnosis.saved import model_bytes, sealed, table_of

ROWS = 256
"""Jobs in a piece: more would travel for nothing, fewer would be mostly headings."""
NUMBERS, VALUES = len(COMPARED_NUMBERS), len(COMPARED_NUMBERS) + len(COMPARED_WORDS)

Values = Sequence[float | None]


def pieces_of(jobs: pd.DataFrame, lots: NDArray[Any]) -> dict[str, bytes]:
    """The jobs table with the LOT_RATIOS of every job, by the name of each piece."""
    whole = jobs.assign(**dict(zip(LOT_RATIOS, lots.T, strict=True)))
    table = pa.Table.from_pandas(whole, preserve_index=False)
    return {_name(at): _bytes(table.slice(at, ROWS)) for at in range(0, len(jobs), ROWS)}


def _bytes(table: pa.Table) -> bytes:
    made = io.BytesIO()
    pq.write_table(table, made, compression="lz4", write_statistics=False)
    return sealed(made.getvalue())


def _name(place: int) -> str:
    return str(place // ROWS)


def pieces_with(places: Iterable[int]) -> list[str]:
    """The names of the pieces that hold the jobs at these places."""
    return sorted({_name(place) for place in places}, key=int)


def jobs_at(pieces: Mapping[str, bytes], places: Sequence[int]) -> pd.DataFrame | None:
    """The jobs at these places, in order, with their LOT_RATIOS; None where a piece is damaged."""
    wanted = sorted(set(places))
    found = []
    for name in pieces_with(wanted):
        table = table_of(pieces.get(name))
        if table is None:
            return None
        first = int(name) * ROWS
        found.append(table.iloc[[at - first for at in wanted if first <= at < first + ROWS]])
    return pd.concat(found, ignore_index=True)


def near(place: int, jobs: int) -> range:
    """Places of the jobs whose records stand in for what one job's record leaves out."""
    return range(max(place - NEARBY, 0), min(place + NEARBY + 1, jobs))


def without_jobs(model: ShopModel) -> bytes:
    """The model as bytes without what it knows of each job, which its piece knows as well."""
    return model_bytes(replace(model, lots=np.empty((0, len(LOT_RATIOS)))))


def columns_of(compared: Compared) -> list[list[float | None]]:
    """The compared values job by job, as a database takes them: None where unknown."""
    numbers = [_known(values, ~np.isnan(values)) for values in compared.numbers]
    words = [_known(codes.astype(np.float64), codes >= 0) for codes in compared.words]
    return [*numbers, *words]


def _known(values: NDArray[Any], known: NDArray[Any]) -> list[float | None]:
    made = values.astype(object)
    made[~known] = None
    plain: list[float | None] = made.tolist()
    return plain


def compared_of(
    rows: Sequence[Values], moulds: Sequence[str | None], good: Sequence[bool]
) -> Compared:
    """What `columns_of` gave, of a few jobs."""
    told = np.array([list(values) for values in rows], dtype=np.float64).T
    words = np.where(np.isnan(told[NUMBERS:]), -1, told[NUMBERS:]).astype(np.intp)
    codes = pd.factorize(pd.Series(list(moulds), dtype="str"))[0]
    return Compared(told[:NUMBERS], words, codes, np.array(good, dtype=bool))
