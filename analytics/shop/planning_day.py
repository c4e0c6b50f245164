"""The plan for a day, asked of an open shop."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from analytics.shop.catalysing import Catalysing

if TYPE_CHECKING:
    from analytics.diagnosis.risk import Change, PlannedRisk
    from analytics.planning import DayPlan


class PlanningDay(Catalysing):
    """What to weigh out and when to do what, for one part on one day."""

    def plan(self, **question: Any) -> DayPlan:
        """The plan; see `analytics.planning.Asked` for what can be said.

        Raises WrongTemperatureError below 15 or above 30 °C, and QuestionError for a question
        that cannot be answered as asked.
        """
        from analytics.planning import Asked, plan_day

        return plan_day(
            self.log(),
            self.jobs(),
            self.knowledge,
            today=self._now().date(),
            asked=Asked(**question),
            risks=self._planned,
            learnt=self.gel_model,
        )

    def _planned(self, plan: Mapping[str, object]) -> tuple[tuple[PlannedRisk, ...], Change | None]:
        from analytics.diagnosis.risk import best_change, planned_risks

        model, jobs = self.model_at_hand(), self.jobs()
        # how thick the part is laid is its drawing's, nothing to change on the day
        open_to_change = {name: value for name, value in plan.items() if name != "session_mm"}
        return planned_risks(model, jobs, plan), best_change(model, jobs, open_to_change)

    def planned_moulds(self) -> tuple[str, ...]:
        """The moulds a plan can be asked for, the one used last first."""
        from analytics.planning.usual import known_moulds

        moulds: tuple[str, ...] = self._worked_out(
            "moulds to plan", lambda: tuple(known_moulds(self.log()))
        )
        return moulds
