"""Rows of cell texts as the columns of a sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice, zip_longest

from analytics.records.coded import Coder
from analytics.records.limits import Limits, check_size
from analytics.records.sheets import RawSheet

_CHUNK = 20_000


def code_rows(name: str, rows: Iterable[Sequence[str]], limits: Limits) -> RawSheet:
    """Cells column by column, each distinct text kept once, so a long log stays small."""
    columns: list[Coder] = []
    count = 0
    for chunk in _chunks(rows):
        width = max(map(len, chunk))
        check_size(name, count + len(chunk), width, limits)
        columns.extend(Coder(blank_rows=count) for _ in range(width - len(columns)))
        cells: list[tuple[str, ...]] = list(zip_longest(*chunk, fillvalue=""))
        for index, column in enumerate(columns):
            column.extend(cells[index] if index < width else ("",) * len(chunk))
        count += len(chunk)
    return RawSheet(name, count, tuple(column.coded() for column in columns))


def _chunks(rows: Iterable[Sequence[str]]) -> Iterator[list[Sequence[str]]]:
    source = iter(rows)
    while chunk := list(islice(source, _CHUNK)):
        yield chunk
