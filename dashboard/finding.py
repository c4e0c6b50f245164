"""Finding parts in the log by what someone types: number, mould or fault."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from analytics.errors import QuestionError

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


def find_parts(shop: Shop, text: str, limit: int) -> tuple[list[tuple[str, ...]], int]:
    """Parts that fit the text, newest first, as (part, day, mould, result, faults); and how many.

    What nobody wrote is an empty text.
    """
    jobs = shop.jobs()[["part_id", "date", "mould_id", "outcome", "defects"]].iloc[::-1]
    jobs = jobs.assign(date=jobs["date"].dt.strftime("%Y-%m-%d")).astype("str").fillna("")
    wanted = text.strip().casefold()
    whole = jobs.agg("\n".join, axis=1)
    fits = jobs[whole.str.casefold().str.contains(wanted, regex=False)]
    return list(fits.head(limit).itertuples(index=False, name=None)), len(fits)


def has_no_fault(shop: Shop, part: str) -> bool:
    """True where the log has the part, but no fault of it."""
    known = bool((shop.log().parts["part_id"] == part).any())
    return known and all(row.part_id != part for row in shop.failed_parts())


def part_record(shop: Shop, part: str) -> tuple[dict[str, Any], dict[str, str]]:
    """One part as it was understood, with its mixes and cells as typed; and the units of fields.

    Raises QuestionError where the log has no such part.
    """
    from analytics.listing import listed_records

    jobs, log = shop.jobs(), shop.log()
    own = jobs[jobs["part_id"] == part]
    if own.empty:
        raise QuestionError(f'the log has no part "{part}". Look it up in the list of parts.')
    mixes = [*own["gelcoat_batch_id"], *own["resin_batch_id"]]
    small = replace(
        log,
        batches=log.batches[log.batches["batch_id"].isin(mixes)],
        defects=log.defects[log.defects["part_id"] == part],
    )
    listed = listed_records(own, small)
    return listed["parts"][0], listed["units"]


def headings(shop: Shop, origin: Mapping[str, Any]) -> dict[str, str]:
    """The heading each field of a part's sheet was read from: {field: heading}.

    Taken from the newest import of that file.
    """
    for done in reversed(shop.imports()):
        if done.file == origin["file"]:
            return {
                column["target"]: column["header"]
                for sheet in done.report.get("sheets", ())
                if sheet["sheet"] == origin["sheet"]
                for column in sheet["columns"]
                if column["target"]
            }
    return {}
