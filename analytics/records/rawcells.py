"""The cells of each record as they were typed, one JSON text per row."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from analytics.records.coded import Coded, Codes
from analytics.records.spread import Spread, as_strings

_NEEDS_CARE = re.compile(r'["\\\x00-\x1f\ud800-\udfff]')
_AT_ONCE = 50_000
_SELDOM = 8
Pieces = Sequence[tuple[pa.LargeStringArray, Codes]]


def raw_texts(typed: Mapping[str, Coded], others: Sequence[tuple[str, Coded]], rows: int) -> Spread:
    """Per row the cells as typed: JSON of field to text, with unplaced columns under "other"."""
    most = rows // _SELDOM
    known = _in_few_pieces(_pieces(list(typed.items())), most)
    spare = _in_few_pieces(_pieces(_named_apart(others)), most)
    return as_strings(pa.chunked_array(_texts(known, spare, rows), type=pa.large_string()))


def _texts(known: Pieces, spare: Pieces, rows: int) -> Iterator[pa.LargeStringArray]:
    for start in range(0, rows, _AT_ONCE):
        own = _of_rows(known, start, rows)
        if spare:
            other = _joined(_of_rows(spare, start, rows))
            held = _joined([_opened(other, ', "other": {'), _text("}")])
            own.append(pc.if_else(pc.equal(other, ""), "", held))
        yield _joined([_opened(_joined(own), "{"), _text("}")])


def _of_rows(pieces: Pieces, start: int, rows: int) -> list[Any]:
    stop = min(start + _AT_ONCE, rows)
    empty = pa.array([""], type=pa.large_string()).take(pa.array([0] * (stop - start)))
    return [by_code.take(pa.array(codes[start:stop])) for by_code, codes in pieces] or [empty]


def _text(text: str) -> Any:
    return pa.scalar(text, pa.large_string())


def _joined(texts: Sequence[Any]) -> Any:
    return pc.binary_join_element_wise(*texts, _text(""))


def _opened(texts: Any, mark: str) -> Any:
    """The texts with a mark where the first piece's ", " was."""
    return pc.binary_replace_slice(texts, 0, len(", "), mark)


def _named_apart(others: Sequence[tuple[str, Coded]]) -> list[tuple[str, Coded]]:
    seen: dict[str, int] = {}
    named = []
    for name, cells in others:
        seen[name] = seen.get(name, 0) + 1
        named.append((name if seen[name] == 1 else f"{name} {seen[name]}", cells))
    return named


def _pieces(columns: Sequence[tuple[str, Coded]]) -> Pieces:
    """Per column `, "name": "text"` by distinct text, nothing for an empty cell; and the codes."""
    return [(_by_code(name, cells.texts), cells.codes) for name, cells in columns]


def _by_code(name: str, texts: Sequence[str]) -> pa.LargeStringArray:
    inside: Sequence[str] = texts
    if _NEEDS_CARE.search("".join(texts)):
        inside = [json.dumps(text, ensure_ascii=False)[1:-1] for text in texts]
    plain = pa.array(inside, type=pa.large_string())
    key = json.dumps(name, ensure_ascii=False)
    return pc.if_else(pc.equal(plain, ""), "", _joined([_text(f', {key}: "'), plain, _text('"')]))


def _in_few_pieces(pieces: Pieces, most: int) -> Pieces:
    """The same texts in fewer pieces: neighbours with at most so many pairs of texts are joined
    once for each pair, not for each row."""
    few: list[tuple[pa.LargeStringArray, Codes]] = []
    for texts, codes in pieces:
        if few and len(few[-1][0]) * len(texts) <= most:
            few.append(_paired(*few.pop(), texts, codes))
        else:
            few.append((texts, codes))
    return few


def _paired(
    first: pa.LargeStringArray, first_codes: Codes, then: pa.LargeStringArray, then_codes: Codes
) -> tuple[pa.LargeStringArray, Codes]:
    pairs = first_codes * np.int32(len(then)) + then_codes
    there = np.zeros(len(first) * len(then), dtype=np.bool_)
    there[pairs] = True
    used = np.flatnonzero(there)
    number = np.cumsum(there, dtype=np.int32) - np.int32(1)
    one, other = used // len(then), used % len(then)
    return _joined([first.take(pa.array(one)), then.take(pa.array(other))]), number[pairs]
