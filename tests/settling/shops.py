"""A small invented shop in which two ways of waxing were used, with or without a difference."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from analytics.jobs import jobs_table
from analytics.records.log import Log
from tests.builders import a_log

MOULDS = ("HL-1", "TL-1", "WC-1")
PEOPLE = ("Ash", "Bram")


def a_shop(
    *,
    parts: int = 240,
    share_one: float = 0.2,
    share_three: float = 0.2,
    seed: int = 1,
    bad_mould_gets: float | None = None,
    later: bool = False,
    **always: Any,
) -> Log:
    """A log with `wax_coats` 1 or 3 and sticking at these shares.

    `bad_mould_gets`: share of the parts of TL-1 made with 1 coat; TL-1 then sticks by itself and
    the number of coats does nothing. `later`: 3 coats only in the second half, with another wax.
    """
    rng = np.random.default_rng(seed)
    rows = []
    for number in range(parts):
        mould = MOULDS[number % 3]
        to_one = 0.5 if bad_mould_gets is None else bad_mould_gets if mould == "TL-1" else 0.3
        one = number < parts / 2 if later else rng.random() < to_one
        share = share_one if one else share_three
        if bad_mould_gets is not None:
            share = 0.5 if mould == "TL-1" else 0.05
        day = pd.Timestamp("2025-01-01") + pd.Timedelta(days=int(360 * number / parts))
        rows.append(
            {
                "part_id": f"P{number:04d}",
                "date": day,
                "mould_id": mould,
                "operator": PEOPLE[int(rng.random() < 0.5)],
                "wax_coats": 1.0 if one else 3.0,
                "wax_type": "new wax" if later and not one else "old wax",
                "faults": ["sticking"] if rng.random() < share else [],
                **always,
            }
        )
    return a_log(parts=rows)


def tables(log: Log) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The jobs table and the faults of a log."""
    return jobs_table(log), log.defects
