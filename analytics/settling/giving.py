"""Giving parts their way, one at a time, so that nobody picks and no part gets two."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import TYPE_CHECKING

from analytics.records.cells import id_key
from analytics.settling.drawing import slot
from analytics.settling.trial import Given, Trial

if TYPE_CHECKING:
    from analytics.records.store import Store
    from analytics.records.store.entries import Entry

PART, SLOT = "trial-part", "trial-slot"


def given_parts(store: Store, trial: str) -> tuple[Given, ...]:
    """Parts of a trial and the ways they got, oldest first."""
    return tuple(_given(entry) for entry in _of(store.entries(PART), trial))


def give_way(store: Store, trial: Trial, part_id: str, mould: str, *, now: datetime) -> Given:
    """The way of this part: the one it got before, else the next in the queue of its mould.

    The place in the queue is taken first, then the part; each is an entry of which there can be
    only one. Whoever comes second on the part gives the place back and gets the same way, and a
    place left over when a machine stopped between the two is taken by the same part again.
    """
    part_name = f"{trial.name}/{id_key(part_id)}"
    if (before := _found(store, part_name)) is not None:
        return before
    queue = f"{trial.name}/{id_key(mould)}"
    position = _take_place(store, queue, part_id, now)
    way = slot(trial.seed, mould, position).way
    kept = {"part_id": part_id, "mould": mould, "position": position, "way": way}
    if store.add_entry(PART, part_name, kept, now=now):
        return Given(part_id, mould, position, way)
    first = _found(store, part_name)
    assert first is not None  # somebody else's entry is why this one was refused
    if (id_key(first.mould), first.position) != (id_key(mould), position):
        store.withdraw_entry(SLOT, f"{queue}/{position}", now=now)
    return first


def _take_place(store: Store, queue: str, part_id: str, now: datetime) -> int:
    """The lowest free place in a queue, taken; or the one this part took before."""
    taken = {entry.name: entry for entry in _of(store.entries(SLOT), queue)}
    for position in range(len(taken) + 1):
        held = taken.get(f"{queue}/{position}")
        if held is not None and held.content["part"] == id_key(part_id):
            return position
    position = 0
    while f"{queue}/{position}" in taken or not store.add_entry(
        SLOT, f"{queue}/{position}", {"part": id_key(part_id)}, now=now
    ):
        position += 1
    return position


def _found(store: Store, name: str) -> Given | None:
    return next((_given(entry) for entry in store.entries(PART) if entry.name == name), None)


def _given(entry: Entry) -> Given:
    kept = entry.content
    return Given(kept["part_id"], kept["mould"], int(kept["position"]), kept["way"])


def _of(entries: Iterable[Entry], prefix: str) -> list[Entry]:
    return [entry for entry in entries if entry.name.startswith(f"{prefix}/")]
