"""Values known once per distinct text, spread over the rows that hold it, without a Python object
for each row."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa

from analytics.records.coded import Codes

Spread = Any
"""A pandas array, one value per row."""


def as_strings(texts: pa.LargeStringArray | pa.ChunkedArray) -> Spread:
    """Texts that Arrow holds as the array of a column of text; missing ones stay missing."""
    return pd.array(texts, dtype="str")


def spread_texts(values: Sequence[str | None], codes: Codes) -> Spread:
    """Per row the text of its code."""
    return as_strings(pa.array(values, type=pa.large_string()).take(pa.array(codes)))


def spread_yes_no(values: Sequence[bool | None], codes: Codes) -> Spread:
    """Per row yes, no or missing."""
    yes = np.array([value is True for value in values], dtype=np.bool_)
    unknown = np.array([value is None for value in values], dtype=np.bool_)
    return pd.arrays.BooleanArray(yes[codes], unknown[codes])
