"""What is asked of the pages: those everybody opens, and questions nobody asked before."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from dashboard.state import address

if TYPE_CHECKING:
    from analytics.shop import Shop

OF_EACH = 3


@dataclass(frozen=True)
class Asked:
    """`pages` that are opened again and again; `fresh` questions by kind, each asked only once."""

    pages: tuple[str, ...]
    fresh: Mapping[str, tuple[str, ...]]


def asked_in_turn(shop: Shop) -> Asked:
    """The addresses to open for a shop's log."""
    failed = [one.part_id for one in shop.failed_parts()]
    months, moulds = shop.months(), shop.planned_moulds()
    pages = (
        "/", "/cause", address("/cause", part=failed[0]), "/month",
        "/catalyst?t=18&from=10&to=18", "/catalyst?show=year", "/plan?t=18", "/settle",
        "/records", "/write?what=job",
    )  # fmt: skip
    fresh = {
        "the causes of another part": [address("/cause", part=p) for p in _spread(failed)],
        "a month of years ago": [address("/month", m=m) for m in _spread(months[14:] or months)],
        "a dose off a data sheet": [f"/catalyst?t=18&sg={gel}&sc=25&sp=2" for gel in (13, 16, 19)],
        "a year for another window": [f"/catalyst?show=year&from={n}&to=30" for n in (12, 15, 18)],
        "a plan for another mould": [address("/plan", mould=m, t=18) for m in _spread(moulds)],
        "an old argument": [address("/settle", q=n) for n in (2, 5, 6)],
        "parts filtered": [address("/records", mould=m) for m in _spread(moulds)],
        "one part's record": [address("/records", part=p) for p in _spread(failed)],
    }
    return Asked(pages, {kind: tuple(paths) for kind, paths in fresh.items()})


def _spread(names: Sequence[str]) -> list[str]:
    """A few of many, none of them the first."""
    step = max(1, len(names) // (OF_EACH + 1))
    return list(names[step::step][:OF_EACH]) or list(names[:1])
