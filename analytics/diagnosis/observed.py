"""What was seen at the bench or written in a note, as further findings of the network."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analytics.diagnosis.inference import Network
from analytics.diagnosis.trade import Trade
from analytics.errors import QuestionError

Floats = NDArray[np.float64]

DENIED = re.compile(r"\b(no|not|never|without)(\s+\w+)?\s*$")


@dataclass(frozen=True)
class Observation:
    """One finding beside the defects: its words, its links (K,), its leak, seen or not seen."""

    text: str
    link: Floats
    leak: float
    present: bool


def bench_observations(trade: Trade, seen: Mapping[str, str]) -> list[Observation]:
    """Findings for bench results, `seen` mapping check id to result id.

    The result seen speaks for the causes it confirms and the other results not seen speak against
    theirs. Raises QuestionError for a check or a result the knowledge does not know.
    """
    found: list[Observation] = []
    for check_id, result in seen.items():
        check = trade.knowledge.checks.get(check_id)
        if check is None:
            known = ", ".join(sorted(trade.knowledge.checks))
            raise QuestionError(f'No bench check is called "{check_id}". Known: {known}.')
        if result not in check.results:
            known = ", ".join(check.results)
            raise QuestionError(f'"{result}" is no result of {check_id}. It can be: {known}.')
        found += _of_check(trade, check_id, result)
    return found


def _of_check(trade: Trade, check_id: str, result: str) -> list[Observation]:
    check = trade.knowledge.checks[check_id]
    trust = trade.knowledge.trust
    found = []
    for name, meaning in check.results.items():
        confirmed = np.array([c.checks.get(check_id) == name for c in trade.causes])
        if confirmed.any():
            text = f"{check.title}: {check.results[result] if name == result else 'not ' + meaning}"
            found.append(
                Observation(text, confirmed * trust.check_hit, trust.check_false, name == result)
            )
    return found


def note_observations(trade: Trade, notes: str | float | None) -> list[Observation]:
    """Findings for phrases of a note that point to a cause; a note that is silent says nothing."""
    if not isinstance(notes, str):
        return []
    text = notes.lower()
    hits: dict[str, list[int]] = {}
    for position, cause in enumerate(trade.causes):
        for phrase in cause.said:
            if said_in(phrase, text):
                hits.setdefault(phrase, []).append(position)
    trust = trade.knowledge.trust
    found = []
    for phrase, positions in hits.items():
        link = np.zeros(len(trade.causes))
        link[positions] = trust.note_hit
        found.append(Observation(f'the note says "{phrase}"', link, trust.note_false, True))
    return found


def said_in(phrase: str, text: str) -> bool:
    """True where a lower-case note says the phrase, at the start of a word and not denied."""
    found = re.search(rf"(?<!\w){re.escape(phrase)}", text)
    return found is not None and DENIED.search(text[: found.start()]) is None


def with_observations(
    network: Network, observations: list[Observation]
) -> tuple[Network, list[int], list[int]]:
    """The network with a column for each observation, and which columns are present and absent."""
    first = network.link.shape[1]
    link = np.column_stack([network.link, *(o.link for o in observations)])
    leak = np.concatenate([network.leak, [o.leak for o in observations]])
    present = [first + i for i, o in enumerate(observations) if o.present]
    absent = [first + i for i, o in enumerate(observations) if not o.present]
    return Network(network.active, link, leak), present, absent
