"""The cells of a row as typed, as JSON: the quick way against Python's own."""

from __future__ import annotations

import json

import numpy as np
import pytest

from analytics.records import rawcells
from analytics.records.coded import Coded
from analytics.records.rawcells import raw_texts

WORDS = ("", "18", '5"', "a\\b", "tab\there", "24 °C", "{}", ", ", "née")


def column(seed: int, texts: tuple[str, ...], rows: int) -> Coded:
    codes = np.random.default_rng(seed).integers(0, len(texts), rows).astype(np.int32)
    return Coded(texts, codes)


@pytest.mark.parametrize("rows", [1, 7, 400])
@pytest.mark.parametrize("at_once", [3, 50_000])
def test_every_filled_cell_stands_in_its_row(monkeypatch, rows, at_once):
    monkeypatch.setattr(rawcells, "_AT_ONCE", at_once)
    many = ("", *(f"P-{n}" for n in range(300)))
    typed = {
        "part_id": column(1, many, rows),
        "air_c": column(2, WORDS, rows),
        "colour": column(3, ("", "grey"), rows),
        "notes": column(4, WORDS, rows),
    }
    others = [("Shelf", column(5, WORDS, rows)), ("Shelf", column(6, ("", "x"), rows))]
    made = list(raw_texts(typed, others, rows))
    for row in range(rows):
        cells = {name: c.at(row) for name, c in typed.items() if c.at(row)}
        spare = zip(("Shelf", "Shelf 2"), (c.at(row) for _, c in others), strict=True)
        other = {name: text for name, text in spare if text}
        expected = {**cells, "other": other} if other else cells
        assert made[row] == json.dumps(expected, ensure_ascii=False)


def test_rows_without_any_column_are_empty_objects():
    assert list(raw_texts({}, [], 2)) == ["{}", "{}"]
