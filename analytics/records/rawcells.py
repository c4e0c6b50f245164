"""The cells of each record as they were typed, one JSON text per row."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from analytics.records.coded import Coded

_NEEDS_CARE = re.compile(r'["\\\x00-\x1f\ud800-\udfff]')


def raw_texts(
    typed: Mapping[str, Coded], others: Sequence[tuple[str, Coded]], rows: int
) -> NDArray[np.object_]:
    """Per row the cells as typed: JSON of field to text, with unplaced columns under "other"."""
    made = np.empty(rows, dtype=object)
    known = _fragments(list(typed.items()), rows)
    spare = _fragments(_named_apart(others), rows)
    made[:] = [
        "{" + (k + (', "other": {' + o[2:] + "}" if o else ""))[2:] + "}"
        for k, o in zip(known, spare, strict=True)
    ]
    return made


def _as_json(texts: Sequence[str]) -> list[str]:
    """Each text as a JSON string; the usual case, nothing to escape, without a call for each."""
    if not _NEEDS_CARE.search("".join(texts)):
        return [f'"{text}"' for text in texts]
    return [json.dumps(text, ensure_ascii=False) for text in texts]


def _named_apart(others: Sequence[tuple[str, Coded]]) -> list[tuple[str, Coded]]:
    seen: dict[str, int] = {}
    named = []
    for name, cells in others:
        seen[name] = seen.get(name, 0) + 1
        named.append((name if seen[name] == 1 else f"{name} {seen[name]}", cells))
    return named


def _fragments(columns: Sequence[tuple[str, Coded]], rows: int) -> list[str]:
    """Per row `, "name": "text"` for every filled cell, in one string."""
    if not columns:
        return [""] * rows
    pieces = []
    for name, cells in columns:
        key = json.dumps(name, ensure_ascii=False)
        by_code = np.empty(len(cells.texts), dtype=object)
        by_code[:] = [
            f", {key}: {quoted}" if quoted != '""' else "" for quoted in _as_json(cells.texts)
        ]
        pieces.append(by_code[cells.codes])
    return list(map("".join, zip(*pieces, strict=True)))
