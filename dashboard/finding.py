"""Finding parts in the log: by what someone types, or those that wait for a result."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from analytics.shop import FailedPart, Shop


def find_failed(shop: Shop, text: str, limit: int) -> list[FailedPart]:
    """Failed parts that fit the text, newest first; a number typed in full comes before all."""
    wanted = text.strip().casefold()
    fitting = [row for row in shop.failed_parts() if wanted in _words(shop, row)]
    return sorted(fitting, key=lambda row: row.part_id.casefold() != wanted)[:limit]


def _words(shop: Shop, row: FailedPart) -> str:
    titles = [shop.knowledge.defects[d].title for d in row.defects if d in shop.knowledge.defects]
    return " ".join((row.part_id, row.mould_id, *titles)).casefold()


def find_unwritten(shop: Shop, limit: int) -> tuple[list[str], int]:
    """The newest parts nobody wrote a result for, and how many there are in all."""
    jobs = shop.jobs()
    blank = jobs.loc[~jobs["looked"].fillna(False).astype(bool), "part_id"]
    return list(blank.iloc[::-1][:limit]), len(blank)


def has_no_fault(shop: Shop, part: str) -> bool:
    """True where the log has the part, but no fault of it."""
    known = bool((shop.log().parts["part_id"] == part).any())
    return known and all(row.part_id != part for row in shop.failed_parts())
