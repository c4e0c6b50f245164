"""One shop, opened once: its store, the knowledge in force, and the models learnt from its log.

Commands and dashboard pages ask here and render what comes back; nothing is computed above.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from analytics.errors import QuestionError
from analytics.knowledge.loading import defect_words, load_knowledge
from analytics.knowledge.model import Knowledge
from analytics.records.fields import Placement
from analytics.records.store import Confirmation, Import, Observation, Store, default_store_url

if TYPE_CHECKING:
    import pandas as pd

    from analytics.catalyst.answer import CatalystAdvice
    from analytics.diagnosis.answer import Diagnosis
    from analytics.diagnosis.model import ShopModel
    from analytics.month.answer import MonthReview
    from analytics.records.log import Log
    from analytics.records.problems import FileReport
    from analytics.records.store import SaveReport

MODEL_KEY = "cause-model"


@dataclass(frozen=True)
class FailedPart:
    """A part with a fault: when and where it was made, and the defects written down."""

    part_id: str
    date: str
    mould_id: str
    defects: tuple[str, ...]


@dataclass(frozen=True)
class ImportAnswer:
    """What reading files found, and (for an import) what the store took: None for a dry run."""

    files: tuple[FileReport, ...]
    saved: SaveReport | None = None

    @property
    def has_problems(self) -> bool:
        return any(report.problems for report in self.files)

    @property
    def could_not(self) -> bool:
        """True where no file gave a single record."""
        return not any(sheet.rows - sheet.not_records for f in self.files for sheet in f.sheets)

    def to_json(self) -> dict[str, Any]:
        """The fixed keys of `laylog import --json` and `laylog check --json`, and more."""
        answer: dict[str, Any] = {"files": [report.to_json() for report in self.files]}
        if self.saved is not None:
            for entry, kept in zip(answer["files"], self.saved.files, strict=True):
                entry["import_id"] = kept.import_id
                entry["saved"] = {
                    name: {"new": c.new, "unchanged": c.unchanged, "changed": c.changed}
                    for name, c in kept.records.items()
                }
        return answer


@dataclass
class _Cached:
    """What was worked out for one state of the store."""

    fingerprint: str = ""
    items: dict[str, Any] = field(default_factory=dict)


class Shop:
    """One shop's log and everything that can be asked of it; safe to share between threads."""

    def __init__(self, store: Store, knowledge: Knowledge, now: Callable[[], datetime]) -> None:
        self.store = store
        self.knowledge = knowledge
        self._now = now
        self._lock = threading.RLock()
        self._cached = _Cached()

    @classmethod
    def open(
        cls,
        store: str | None,
        *,
        now: Callable[[], datetime],
        knowledge_file: str | None = None,
        environ: Mapping[str, str] | None = None,
    ) -> Shop:
        """The shop kept at a path or URL, else at LAYLOG_STORE, else in the user's data folder.

        Raises StoreError or KnowledgeError with a sentence when either cannot be opened.
        """
        where = store or default_store_url(os.environ if environ is None else environ)
        path = Path(knowledge_file) if knowledge_file else None
        return cls(Store.open(where, now=now()), load_knowledge(path), now)

    def close(self) -> None:
        """Let go of the store."""
        self.store.close()

    # -- reading and keeping records -----------------------------------------------------------

    def check_files(self, paths: Sequence[str | Path]) -> ImportAnswer:
        """What would be read from these files, and every problem; nothing is kept."""
        return ImportAnswer(self._read(paths).files)

    def import_files(self, paths: Sequence[str | Path]) -> ImportAnswer:
        """Read these files and keep their records, all in one transaction."""
        from analytics.records.digests import digests

        result = self._read(paths)
        saved = self.store.save(result, now=self._now(), sha256=digests(paths))
        return ImportAnswer(result.files, saved)

    def _read(self, paths: Sequence[str | Path]) -> Any:
        from analytics.records.reading import read_files

        return read_files(
            [Path(p) for p in paths],
            defect_words=defect_words(self.knowledge),
            placed=self.store.placements(),
            settings=self.store.settings(),
            today=self._now().date(),
        )

    def place_column(self, header: str, target: str, unit: str | None = None) -> Placement:
        """Remember what a column means. Raises QuestionError for an unknown field or unit."""
        from analytics.records.placing import checked_placement

        placed = checked_placement(target, unit)
        self.store.place_column(header, placed.target, placed.unit)
        return placed

    def placements(self) -> Mapping[str, Placement]:
        """What the shop said its columns mean."""
        return self.store.placements()

    def imports(self) -> tuple[Import, ...]:
        """Every import, oldest first."""
        return self.store.imports()

    def undo_import(self, import_id: int) -> None:
        """Take an import back. Raises StoreError when later ones build on it."""
        self.store.undo_import(import_id, now=self._now())

    # -- the log and what is learnt from it ------------------------------------------------------

    def _worked_out(self, name: str, make: Callable[[], Any]) -> Any:
        """`make()`, kept until the store changes."""
        with self._lock:
            fingerprint = self.store.fingerprint()
            if self._cached.fingerprint != fingerprint:
                self._cached = _Cached(fingerprint)
            if name not in self._cached.items:
                self._cached.items[name] = make()
            return self._cached.items[name]

    def log(self) -> Log:
        """All records."""
        log: Log = self._worked_out("log", self.store.read_log)
        return log

    def jobs(self) -> pd.DataFrame:
        """The jobs table of `analytics.jobs`."""

        def make() -> pd.DataFrame:
            from analytics.jobs import jobs_table

            return jobs_table(self.log())

        jobs: pd.DataFrame = self._worked_out("jobs", make)
        return jobs

    def cause_model(self) -> ShopModel:
        """The cause model learnt from this log."""

        def make() -> ShopModel:
            from analytics.diagnosis.model import fit_shop

            confirmed = [
                (c.part_id, c.defect, c.cause)
                for c in self.store.confirmations()
                if c.cause in self.knowledge.causes and c.defect in self.knowledge.defects
            ]
            return fit_shop(self.knowledge, self.jobs(), self.log().defects, confirmed)

        model: ShopModel = self._worked_out(MODEL_KEY, make)
        return model

    # -- the questions ---------------------------------------------------------------------------

    def failed_parts(self) -> tuple[FailedPart, ...]:
        """Parts with a fault written down, latest first."""
        defects = self.log().defects
        known = defects[defects["defect"].isin(list(self.knowledge.defects))]
        by_part = known.groupby("part_id", sort=False)["defect"].agg(tuple)
        failed = self.jobs()[["part_id", "date", "mould_id"]].iloc[::-1]
        failed = failed[failed["part_id"].isin(by_part.index)]
        days = failed["date"].dt.strftime("%Y-%m-%d").fillna("")
        rows = zip(failed["part_id"], days, failed["mould_id"].fillna(""), strict=True)
        return tuple(FailedPart(part, day, mould, by_part[part]) for part, day, mould in rows)

    def why(
        self,
        part_id: str,
        *,
        seen: Mapping[str, str] | None = None,
        asked: Sequence[str] = (),
    ) -> tuple[Diagnosis, ...]:
        """Ranked causes of every fault on a part; bench results kept for it count too.

        Raises QuestionError for an unknown part, a part with no fault, or an unknown result.
        """
        from analytics.diagnosis.diagnose import diagnose
        from analytics.listing import part_called

        numbers = self.log().parts["part_id"]
        if numbers.empty:
            raise QuestionError(
                f"the store {self.store.where} has no parts yet. Read a log in: laylog import FILE."
            )
        part_id = part_called(numbers, part_id)
        # What was kept under another knowledge file, and means nothing in this one, is left out.
        checks, causes = self.knowledge.checks, self.knowledge.causes
        kept = {
            o.check: o.result
            for o in self.store.observations(part_id)
            if o.check in checks and o.result in checks[o.check].results
        }
        found = self.store.confirmations(part_id)
        confirmed = {c.defect: c.cause for c in found if c.cause in causes}
        return diagnose(
            self.cause_model(),
            self.jobs(),
            self.log().defects,
            part_id,
            seen={**kept, **(seen or {})},
            asked=asked,
            confirmed=confirmed,
        )

    def confirm(self, part_id: str, defect: str, cause: str) -> None:
        """Keep what a fault turned out to be. Raises QuestionError for an unknown cause."""
        if cause not in self.knowledge.causes:
            raise QuestionError(f'no cause is called "{cause}"; `laylog why {part_id}` lists them.')
        self.store.confirm(part_id, defect, cause, now=self._now())

    def withdraw(self, part_id: str, defect: str) -> bool:
        """Take a confirmed cause back; False when there was none."""
        return self.store.withdraw_confirmation(part_id, defect, now=self._now())

    def confirmations(self) -> tuple[Confirmation, ...]:
        """Every cause that somebody confirmed."""
        return self.store.confirmations()

    def observe(self, part_id: str, check: str, result: str) -> None:
        """Keep the result of a bench check on a part."""
        self.store.add_observation(part_id, check, result, now=self._now())

    def observations(self, part_id: str) -> tuple[Observation, ...]:
        """Bench results kept for a part."""
        return self.store.observations(part_id)

    def months(self) -> list[str]:
        """Months with parts, latest first."""
        found: Iterable[str] = self.jobs()["month"].dropna().unique()
        return sorted(found, reverse=True)

    def month(self, month: str | None = None) -> MonthReview:
        """The review of a month; the latest one in the log when none is named."""
        from analytics.month import review_month

        months = self.months()
        if month is None and not months:
            raise QuestionError("the log has no dated parts yet: nothing to review.")
        return review_month(self.jobs(), self.log(), self.knowledge, month=month or months[0])

    def catalyst(self, **question: Any) -> CatalystAdvice:
        """The catalyst advice; see `analytics.catalyst.advise` for what can be asked."""
        from analytics.catalyst import advise

        return advise(self.log(), self.knowledge, today=self._now().date(), **question)

    def records(self) -> dict[str, Any]:
        """Every part with its canonical fields, units and cells as typed."""
        from analytics.listing import listed_records

        return listed_records(self.jobs(), self.log())
