"""What every piece of the review's answer is made of: shares with intervals, ready for JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any


@dataclass(frozen=True)
class Share:
    """So many out of so many, as a share [0..1] with its 95 % interval (Wilson).

    `share`, `low` and `high` are None when `out_of` is 0.
    """

    count: int
    out_of: int
    share: float | None = None
    low: float | None = None
    high: float | None = None


def plain(value: Any) -> Any:
    """The same value with dates as ISO text and tuples as lists, ready for JSON."""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    return value
