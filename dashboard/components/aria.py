"""What a component says to a screen reader."""

from __future__ import annotations

from typing import Any


def aria(**said: str) -> dict[str, Any]:
    """The `aria-` properties of a component: `html.Nav(..., **aria(label="Questions"))`."""
    return {f"aria-{name}": words for name, words in said.items()}
