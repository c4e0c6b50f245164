"""The trade knowledge that ships, with limits changed where a case needs it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from analytics.knowledge.loading import load_knowledge
from analytics.knowledge.model import Knowledge


@cache
def the_trade() -> Knowledge:
    """The knowledge that ships, read once."""
    return load_knowledge(None)


def a_trade_without(*limits: str) -> Knowledge:
    """The same with some limits taken out."""
    shipped = the_trade()
    kept = {name: limit for name, limit in shipped.limits.items() if name not in limits}
    return replace(shipped, limits=kept)
