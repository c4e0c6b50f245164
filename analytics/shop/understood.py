"""Values as a person would write them, with units: what is said back of anything just read."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from analytics.columns import UNIT_WORDS
from analytics.records.fields import KEYS, dictionary

if TYPE_CHECKING:
    import pandas as pd


def said(value: Any) -> str:
    """A value as text: 18.5, yes, 2024-03-31, 2024-03-31 08:30."""
    if type(value).__name__ in ("bool", "bool_"):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.3f}".rstrip("0").rstrip(".")
    if hasattr(value, "normalize"):
        return f"{value:%Y-%m-%d}" if value == value.normalize() else f"{value:%Y-%m-%d %H:%M}"
    return str(value)


def texts_of(record: str, row: pd.Series[Any], lead: str = "") -> Iterator[tuple[str, str]]:
    """(target, text) of every known value of a record; `lead` goes before a mix's fields."""
    import pandas as pd

    for field in dictionary().of(record):
        if not pd.isna(row[field.id]):
            unit = UNIT_WORDS.get(field.unit or "", field.unit or "")
            yield lead + field.id, f"{said(row[field.id])} {unit}".strip()
    if record == "part":
        result = [str(row[name]) for name in ("outcome", "defects") if not pd.isna(row[name])]
        yield "result", "; ".join(result)


def understood(tables: Mapping[str, pd.DataFrame]) -> tuple[tuple[str, str, str | None], ...]:
    """(field, as typed, as read) of every cell of records typed by hand, each field once.

    `as read` is None where nothing was understood.
    """
    read: dict[str, str] = {}
    typed: dict[str, str] = {}
    for record in ("batch", "lot", "mould", "logger", "part"):
        for _, row in tables[record].iterrows():
            own = str(row[KEYS[record]])
            lead = f"{row['material']}." if record == "batch" and own.endswith(_MADE_UP) else ""
            read |= dict(texts_of(record, row, lead))
            cells = json.loads(row["raw"]) if isinstance(row["raw"], str) else {}
            typed |= {lead + name: text for name, text in cells.items() if isinstance(text, str)}
    faults = [str(words) for words in tables["defect"]["words"]]
    ticked = {name: "; ".join(faults) for name in typed if name.startswith("defects")}
    return tuple((name, text, (read | ticked).get(name)) for name, text in typed.items())


_MADE_UP = ("/gelcoat", "/resin")
