"""The questions asked of a shop's log: why, how did the month go, how much catalyst."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from analytics.errors import QuestionError
from analytics.shop.fewer import Fewer

if TYPE_CHECKING:
    import pandas as pd

    from analytics.diagnosis.answer import Diagnosis
    from analytics.diagnosis.owed import OwedTotal
    from analytics.diagnosis.risk import Change, PlannedRisk


@dataclass(frozen=True)
class FailedPart:
    """A part with a fault: when and where it was made, and the defects written down."""

    part_id: str
    date: str
    mould_id: str
    defects: tuple[str, ...]


class Asking(Fewer):
    """What comes out of the log: each question one method, each answer one frozen object."""

    def failed_parts(self) -> tuple[FailedPart, ...]:
        """Parts with a fault written down, latest first."""
        failed: tuple[FailedPart, ...] = self._worked_out("failed", self._failed_parts)
        return failed

    def _failed_parts(self) -> tuple[FailedPart, ...]:
        by_part: dict[str, list[str]] = {}
        defects = self.defects()
        for part, defect in zip(defects["part_id"], defects["defect"], strict=True):
            if defect in self.knowledge.defects:
                by_part.setdefault(part, []).append(defect)
        failed = self.jobs()[["part_id", "date", "mould_id"]].iloc[::-1]
        failed = failed.iloc[[i for i, part in enumerate(failed["part_id"]) if part in by_part]]
        days = failed["date"].dt.strftime("%Y-%m-%d").fillna("")
        rows = zip(failed["part_id"], days, failed["mould_id"].fillna(""), strict=True)
        return tuple(
            FailedPart(part, day, mould, tuple(by_part[part])) for part, day, mould in rows
        )

    def _part_numbers(self) -> frozenset[str]:
        numbers: frozenset[str] = self._worked_out(
            "part numbers", lambda: frozenset(self.jobs()["part_id"])
        )
        return numbers

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

        few = self._why_from_few(part_id, seen or {}, asked)
        if few is not None:
            return few
        numbers = self._part_numbers()
        if not numbers:
            raise QuestionError(
                f"the store {self.store.where} has no parts yet. Read a log in: laylog import FILE."
            )
        if part_id not in numbers:
            part_id = part_called(self.jobs()["part_id"], part_id)
        proved, kept = self._proved_and_seen(part_id)
        confirmed = {defect: cause for (_, defect), cause in proved.items()}
        return diagnose(
            self.model_at_hand(),
            self.jobs(),
            self.defects(),
            part_id,
            seen={**kept.get(part_id, {}), **(seen or {})},
            asked=asked,
            confirmed=confirmed,
            compared=self.compared(),
        )

    def listed_causes(self, defect: str) -> tuple[str, ...]:
        """Ids of the causes that can be confirmed for a defect: those the trade lists for it.

        A defect of a group has the whole group's, since logs seldom tell its members apart.
        """
        kin = self.knowledge.defects[defect].group or defect
        return tuple(cause.id for cause in self.knowledge.causes_of(kin))

    def risk(self, plan: Mapping[str, object]) -> tuple[PlannedRisk, ...]:
        """The risk of every defect on a job not yet made; see `diagnosis.risk.planned_risks`."""
        from analytics.diagnosis.risk import planned_risks

        return planned_risks(self.cause_model(), self.jobs(), plan)

    def best_change(self, plan: Mapping[str, object]) -> Change | None:
        """The one change of a planned job that lowers its risk most; None where none would."""
        from analytics.diagnosis.risk import best_change

        return best_change(self.cause_model(), self.jobs(), plan)

    def owed(self, part_ids: Sequence[str]) -> pd.DataFrame:
        """Whose doing the faults of these parts were; see `diagnosis.owed.owed`."""
        from analytics.diagnosis.owed import owed

        confirmed, seen = self._proved_and_seen()
        defects = self.defects()
        return owed(self.cause_model(), self.jobs(), defects, part_ids, confirmed, seen)

    def owed_with_totals(
        self, part_ids: Sequence[str], lately: Sequence[str]
    ) -> tuple[pd.DataFrame, tuple[OwedTotal, ...]]:
        """`owed` of parts and `owed_totals` of the late ones; see `owed.owed_with_totals`."""
        from analytics.diagnosis.owed import owed_with_totals

        confirmed, seen = self._proved_and_seen()
        defects = self.defects()
        return owed_with_totals(
            self.cause_model(), self.jobs(), defects, part_ids, lately, confirmed, seen
        )

    def owed_totals(self, part_ids: Sequence[str]) -> tuple[OwedTotal, ...]:
        """How many faults of these parts each cause brought; see `diagnosis.owed.owed_totals`."""
        from analytics.diagnosis.owed import owed_totals

        confirmed, seen = self._proved_and_seen()
        defects = self.defects()
        return owed_totals(self.cause_model(), self.jobs(), defects, part_ids, confirmed, seen)

    def records(self, parts: Sequence[str] | None = None) -> dict[str, Any]:
        """Every part, or these, with canonical fields, units and cells as typed."""
        from analytics.listing import listed_records

        jobs = self.jobs()
        if parts is None:
            return listed_records(jobs, self.log())
        return listed_records(jobs[jobs["part_id"].isin(list(parts))], self.store.read_parts(parts))
