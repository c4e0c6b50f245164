"""Misspelt headings put right, when a known heading is a slip or two away."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from itertools import islice, product

from analytics.records.headings import Heading, read_headings
from analytics.records.limits import LONGEST_HEADING
from analytics.records.spellings import vocabulary
from analytics.records.words import plain

_WAYS = 64
_NEAREST = 5
_LIKE_WORD = 80


def mended_headings(header: str, record: str) -> Iterator[list[Heading]]:
    """The heading with misspelt words put right, the ways with the fewest slips first."""
    known = vocabulary(record)
    tokens = re.findall(r"[a-z]+|[^a-z]+", plain(header[:LONGEST_HEADING].replace("_", " ")))
    ways: dict[float, list[Heading]] = {}
    for way in islice(product(*(_near_words(token, known) for token in tokens)), _WAYS):
        slips = sum(distance for distance, _ in way)
        if slips:
            text = "".join(word for _, word in way)
            ways.setdefault(slips, []).extend(read_headings(text))
    for slips in sorted(ways):
        yield ways[slips]


@lru_cache(maxsize=10_000)
def _near_words(word: str, known: frozenset[str]) -> tuple[tuple[float, str], ...]:
    """The word itself and, when nobody writes it so, those a slip or two away, nearest first."""
    from rapidfuzz.distance import OSA
    from rapidfuzz.fuzz import ratio

    if word in known or len(word) < 4 or not word.isalpha():
        return ((0.0, word),)
    near = []
    for other in known:
        slips = OSA.distance(word, other, score_cutoff=2)
        if slips <= 1 or (slips == 2 and ratio(word, other) >= _LIKE_WORD):
            near.append((float(slips), other))
    return (*sorted(near)[:_NEAREST], (0.0, word))
