"""One part's causes on a large log, without fetching the whole log for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from analytics.shop.base import FEW_KEY, OpenShop

if TYPE_CHECKING:
    import pandas as pd

    from analytics.diagnosis.answer import Diagnosis
    from analytics.records.log import Log
    from analytics.records.store.kept import KeptJobs, KeptRow

SHOWN_ALIKE = 3


class Fewer(OpenShop):
    """What is asked of a few jobs where the store keeps them apart from all the others."""

    def log_of_month(self, first: pd.Timestamp, after: pd.Timestamp) -> Log:
        """What a review needs of the log besides its jobs: faults, and the month's readings."""
        from analytics.records.log import Log

        defects = self.defects()
        if self._holds("log"):
            return self.log()
        readings = self.store.read_readings(first.to_pydatetime(), after.to_pydatetime())
        return replace(Log.empty(), defects=defects, logger=readings)

    def _why_from_few(
        self, part_id: str, seen: Mapping[str, str], asked: Sequence[str]
    ) -> tuple[Diagnosis, ...] | None:
        """The answer of `why`; None where the whole log is at hand, or nothing was kept of it."""
        mark = self.store.confirmed_mark()
        with self._resting_on(self._state()):
            if self._holds("jobs"):
                return None
            model: bytes | None = self._worked_out(FEW_KEY, lambda: self._kept(FEW_KEY, mark), mark)
            if model is None:
                return None
            with self.store.kept_jobs(self._state_of("")) as kept:
                return None if kept is None else self._judged(kept, model, part_id, seen, asked)

    def _judged(
        self,
        kept: KeptJobs,
        content: bytes,
        part_id: str,
        seen: Mapping[str, str],
        asked: Sequence[str],
    ) -> tuple[Diagnosis, ...] | None:
        from analytics.diagnosis.diagnose import diagnose
        from analytics.diagnosis.pieces import compared_of, jobs_at, pieces_with
        from analytics.diagnosis.saved import model_of
        from analytics.records.log import typed_defects

        row = kept.row_of(part_id) or self._row_called(kept, part_id)
        places = _places(kept, row)
        jobs = jobs_at(kept.pieces(pieces_with(places)), places)
        model = None if jobs is None else model_of(content, self.knowledge, jobs)
        if jobs is None or model is None:
            return None
        rows = kept.rows_at(places)
        proved, known = self._proved_and_seen(row.part_id)
        return diagnose(
            model,
            jobs,
            typed_defects(kept.faults_of(row.part_id)),
            row.part_id,
            seen={**known.get(row.part_id, {}), **seen},
            asked=asked,
            confirmed={defect: cause for (_, defect), cause in proved.items()},
            compared=compared_of(
                [r.values for r in rows], [r.mould_id for r in rows], [r.good for r in rows]
            ),
            placed=partial(kept.placed, row),
        )

    def _row_called(self, kept: KeptJobs, part_id: str) -> KeptRow:
        """The part meant by a number typed in another way. Raises QuestionError for none."""
        from analytics.listing import part_called

        found = kept.row_of(part_called(self.store.part_ids(), part_id))
        # the numbers and the kept jobs are of one state of the records
        assert found is not None
        return found

    def _proved_and_seen(
        self, part_id: str | None = None
    ) -> tuple[dict[tuple[str, str], str], dict[str, dict[str, str]]]:
        """Confirmed causes by (part, defect) and bench results by part, of one part or of all.

        What was kept under another knowledge file, and means nothing in this one, is left out.
        """
        checks, causes = self.knowledge.checks, self.knowledge.causes
        found = self.store.confirmations(part_id)
        proved = {(c.part_id, c.defect): c.cause for c in found if c.cause in causes}
        seen: dict[str, dict[str, str]] = {}
        for o in self.store.observations(part_id):
            if o.check in checks and o.result in checks[o.check].results:
                seen.setdefault(o.part_id, {})[o.check] = o.result
        return proved, seen


def _places(kept: KeptJobs, row: KeptRow) -> list[int]:
    """Where the jobs stand that one part's answer rests on, in their order."""
    from analytics.diagnosis.alike import COMPARED_NUMBERS, SAME_MOULD_BONUS
    from analytics.diagnosis.log_told import LAST_PULLS
    from analytics.diagnosis.pieces import near

    alike = kept.most_alike(
        row, SHOWN_ALIKE, numbers=len(COMPARED_NUMBERS), same_mould_bonus=SAME_MOULD_BONUS
    )
    pulls = kept.last_of_mould(row, LAST_PULLS)
    return sorted({row.place, *near(row.place, kept.jobs), *alike, *pulls})
