"""How an answer says its chances."""

from __future__ import annotations

import pytest

from analytics.diagnosis.answer import chance_words


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (1.0, "almost certain"),
        (0.9, "almost certain"),
        (0.7, "very likely"),
        (0.5, "quite likely"),
        (0.2, "perhaps"),
        (0.1, "less likely"),
        (0.0, "unlikely"),
    ],
)
def test_chances_have_words(chance: float, words: str) -> None:
    assert chance_words(chance) == words


def test_higher_chances_never_sound_weaker() -> None:
    order = [chance_words(k / 200) for k in range(201)]
    assert len(list(dict.fromkeys(order))) == len(set(order)) == 6
