"""Changes planted in labelled logs: found by name, and dated within 30 days?"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from analytics.jobs import jobs_table
from analytics.knowledge.loading import defect_words
from analytics.knowledge.model import Knowledge
from analytics.month import MonthReview, review_month
from analytics.month.answer import Signal
from analytics.records.log import Log
from analytics.records.reading import read_files
from tests.benchmarks.diagnosis.labelled import LOG_FILES, READ_ON

DAYS = 30
MONTHS_AFTER = 4


@dataclass(frozen=True)
class Change:
    """What was planted in which shop on which day, and the names it goes by in a review."""

    shop: str
    words: str
    day: date
    subjects: tuple[str, ...]
    defects: tuple[str, ...] = ()


CHANGES = (
    Change("alder", "film drying cut short", date(2024, 9, 1),
           ("pva_dry_min", "pva_h_ref_min"), ("sticking",)),
    Change("birch", "gel-coat lot G52 froths", date(2024, 1, 10), ("G52",), ("pinholes",)),
    Change("birch", "re-wax interval 5 to 11 pulls", date(2024, 4, 1),
           ("pulls_since_renewal",), ("sticking",)),
    Change("cedar", "first ply to 600 g/m2", date(2023, 6, 1),
           ("first_ply_g_m2",), ("print-through",)),
)  # fmt: skip
BYSTANDER = ("cedar", date(2023, 10, 1), date(2024, 2, 1))


@dataclass(frozen=True)
class Told:
    """How a planted change came out: the first review that named it, and how far off its date."""

    change: Change
    month: str | None
    days_off: int | None
    defect_month: str | None
    defect_days_off: int | None
    together: bool


def planted(folder: Path, knowledge: Knowledge) -> Iterator[Told]:
    """Every planted change whose shop is in the folder."""
    for shop in sorted({change.shop for change in CHANGES}):
        if (folder / shop).is_dir():
            reviews = list(_reviews(folder / shop, knowledge))
            for change in CHANGES:
                if change.shop == shop:
                    yield _told(change, reviews)


def blamed_alone(folder: Path, knowledge: Knowledge) -> list[Signal]:
    """Signals about a person in the bystander's shop with nothing named as changed with it."""
    shop, first, last = BYSTANDER
    if not (folder / shop).is_dir():
        return []
    return [
        signal
        for review in _reviews(folder / shop, knowledge)
        if first.isoformat()[:7] <= review.month <= last.isoformat()[:7]
        for signal in review.signals
        if signal.kind == "operator" and not signal.confounded_with
    ]


def _reviews(shop: Path, knowledge: Knowledge) -> Iterator[MonthReview]:
    read = read_files(
        [shop / name for name in LOG_FILES if (shop / name).exists()],
        defect_words=defect_words(knowledge), placed={}, settings=None, today=READ_ON,
    )  # fmt: skip
    log = Log.of(read.tables)
    jobs = jobs_table(log)
    for month in sorted(jobs["month"].dropna().unique()):
        yield review_month(jobs, log, knowledge, month=str(month))


def _told(change: Change, reviews: list[MonthReview]) -> Told:
    named = _first(change, reviews, lambda one: one.subject in change.subjects)
    shown = _first(change, reviews, lambda one: one.kind == "defect" and _is_of(one, change))
    together = any(
        any(name in other for name in change.subjects for other in one.confounded_with)
        for review in reviews
        if review.month >= change.day.isoformat()[:7]
        for one in review.signals
        if _is_of(one, change)
    )
    return Told(change, *named, *shown, together)


def _is_of(signal: Signal, change: Change) -> bool:
    return signal.defect in change.defects and not signal.fell


def _first(
    change: Change, reviews: list[MonthReview], fits: Callable[[Signal], bool]
) -> tuple[str | None, int | None]:
    """(first month that told it, days its date is off); conditions have no date of their own."""
    after = [review for review in reviews if review.month >= change.day.isoformat()[:7]]
    for review in after[: MONTHS_AFTER + 1]:
        fitting = [one for one in review.signals if fits(one)]
        dated = [one.since for one in fitting if one.since is not None]
        if fitting:
            off = min((abs((day - change.day).days) for day in dated), default=None)
            return review.month, off
    return None, None
