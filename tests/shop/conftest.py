"""A shop with a few parts in it, for writing to."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest

from analytics.shop import Shop

NOW = datetime(2024, 4, 1, 9, 30)
JOBS = """Part no,Date,Start,Mould,By,Air C,Gel coat catalyst %,Result,Faults
P-008,2024-03-01,08:05,M1,Bo,18,1.8,good,
P-009,2024-03-02,08:10,M1,Bo,19,1.7,rework,pinholes
P-010,2024-03-04,07:50,M2,Al,17,1.9,good,
"""
MIXES = """Mix no,Date,Material,Lot,Catalyst %,Gel time min,Gelled in
G11,2024-03-01,gel coat,GL-7,1.8,17,pot
R11,2024-03-01,resin,RL-3,1.2,31,pot
G12,2024-03-04,gel coat,GL-8,1.7,18,pot
"""


@pytest.fixture
def open_shop(tmp_path: Path) -> Iterator[Callable[[], Shop]]:
    """A function that opens a shop of its own each time."""
    opened: list[Shop] = []

    def make() -> Shop:
        place = str(tmp_path / f"shop{len(opened)}.laylog")
        opened.append(Shop.open(place, now=lambda: NOW, environ={}))
        return opened[-1]

    yield make
    for shop in opened:
        shop.close()


@pytest.fixture
def jobs_file(tmp_path: Path) -> Path:
    path = tmp_path / "jobs.csv"
    path.write_text(JOBS, encoding="utf-8")
    return path


@pytest.fixture
def shop(open_shop: Callable[[], Shop], jobs_file: Path) -> Shop:
    """A shop with three parts and three mixes."""
    made = open_shop()
    mixes = jobs_file.with_name("mixes.csv")
    mixes.write_text(MIXES, encoding="utf-8")
    made.import_files([jobs_file, mixes])
    return made
