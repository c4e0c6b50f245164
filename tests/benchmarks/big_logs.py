"""Clean CSV logs of any size, for timing: simulated shops laid end to end, site after site."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import pandas as pd

from analytics.records.fields import dictionary
from sample_logs.barn import BARN
from sample_logs.workshop import Shop, simulate

YEARS = 2
PARTS_A_MONTH = 90.0
LONGEST = 4
ORIGIN = ("file", "sheet", "row", "raw", "looked")
LINKS = {
    "part": ("part_id", "gelcoat_batch_id", "resin_batch_id"),
    "batch": ("batch_id", "lot", "catalyst_lot"),
    "logger": (),
}
SITES = {"part": ("mould_id", "operator"), "batch": ("operator",), "logger": ("logger_id",)}
DAYS = {"part": ("date",), "batch": ("date",), "logger": ("timestamp",)}


def log_files(folder: Path, parts: int, seed: int = 7, *, logger: bool = True) -> list[Path]:
    """parts.csv, mixes.csv and (on request) logger.csv with `parts` parts, in that folder.

    Every round of a simulated shop has part, mix and lot numbers of its own and comes earlier than
    the one before; after LONGEST of them another site's log begins, a shop of its own.
    """
    rounds: list[Shop] = []
    while sum(len(shop.parts) for shop in rounds) < parts:
        site = len(rounds) // LONGEST
        year = replace(BARN, months=12 * YEARS, parts_per_month=PARTS_A_MONTH)
        rounds += [simulate(year, seed + site)] * LONGEST
    enough = 1 + next(
        n for n in range(len(rounds)) if sum(len(shop.parts) for shop in rounds[: n + 1]) >= parts
    )
    wanted = {"part": "parts.csv", "batch": "mixes.csv", "logger": "logger.csv"}
    if not logger:
        del wanted["logger"]
    return [
        _write(folder / name, record, rounds[:enough], parts) for record, name in wanted.items()
    ]


def _table(shop: Shop, record: str) -> pd.DataFrame:
    table = shop.tables()[record]
    table = table.drop(columns=[c for c in ORIGIN if c in table])
    table = table.dropna(axis="columns", how="all")
    return table.rename(columns={name: _heading(record, name) for name in table})


def _heading(record: str, name: str) -> str:
    """The heading somebody would write over this field."""
    field = dictionary().get(record, name)
    return f"{field.name} ({field.unit})" if field.unit else field.name


def _write(path: Path, record: str, rounds: Sequence[Shop], parts: int) -> Path:
    """One CSV, round after round; the parts stop at the number asked for."""
    left = parts if record == "part" else None
    headings: list[str] = []
    for number, shop in enumerate(rounds):
        later = _moved(_table(shop, record), record, number)
        headings = headings or list(later.columns)
        later = later.reindex(columns=headings)
        later = later if left is None else later.head(left)
        later.to_csv(path, index=False, mode="a" if number else "w", header=number == 0)
        left = None if left is None else left - len(later)
    return path


def _moved(table: pd.DataFrame, record: str, number: int) -> pd.DataFrame:
    later = table.copy()
    site, earlier = divmod(number, LONGEST)
    for name in _present(later, record, LINKS):
        later[name] = later[name] + f"-{number}"
    for name in _present(later, record, DAYS):
        later[name] = later[name] - pd.DateOffset(years=YEARS * earlier)
    for name in _present(later, record, SITES):
        later[name] = later[name] + (f" site {site}" if site else "")
    return later


def _present(
    table: pd.DataFrame, record: str, kinds: Mapping[str, tuple[str, ...]]
) -> Iterator[str]:
    headings = (_heading(record, name) for name in kinds[record])
    return (heading for heading in headings if heading in table)
