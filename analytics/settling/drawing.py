"""Chance picks the way: small balanced blocks on each mould, drawn from a kept seed."""

from __future__ import annotations

from typing import Literal, NamedTuple
from zlib import crc32

import numpy as np

from analytics.records.cells import id_key

WayName = Literal["a", "b"]
BLOCKS = (2, 4)
"""Sizes of a block; a mixture, so that nobody can work out the last part of one."""


class Slot(NamedTuple):
    """A place in the queue of one mould: its way, its block (from 0), and that block's size."""

    way: WayName
    block: int
    size: int


def slot(seed: int, mould: str, position: int) -> Slot:
    """The slot at a position (from 0) in the queue of a mould; always the same for one seed.

    Each block has both ways equally often in an order drawn afresh; moulds are drawn apart.
    """
    rng = np.random.default_rng([seed, crc32(id_key(mould).encode())])
    first, block = 0, 0
    while True:
        size = int(rng.choice(BLOCKS))
        order = rng.permutation(size)
        if position < first + size:
            way: WayName = "a" if order[position - first] % 2 == 0 else "b"
            return Slot(way, block, size)
        first, block = first + size, block + 1
