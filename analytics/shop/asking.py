"""The questions asked of a shop's log: why, how did the month go, how much catalyst."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from analytics.errors import QuestionError
from analytics.shop.base import OpenShop

if TYPE_CHECKING:
    from analytics.catalyst.answer import CatalystAdvice
    from analytics.diagnosis.answer import Diagnosis
    from analytics.month.answer import MonthReview


@dataclass(frozen=True)
class FailedPart:
    """A part with a fault: when and where it was made, and the defects written down."""

    part_id: str
    date: str
    mould_id: str
    defects: tuple[str, ...]


class Asking(OpenShop):
    """What comes out of the log: each question one method, each answer one frozen object."""

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
