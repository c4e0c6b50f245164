"""How did the month go, and did what the shop changed work? Reviews, followed actions, reports."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from analytics.errors import QuestionError
from analytics.knowledge.loading import defect_words
from analytics.saying import said
from analytics.shop.asking import Asking
from analytics.shop.preferences import Preferences

if TYPE_CHECKING:
    from pathlib import Path

    import pandas as pd

    from analytics.month.actions import Action
    from analytics.month.answer import MonthReview

ACTION = "action"
LONGEST_NAME = 120
OWED_MONTHS = 13
"""The month itself and the twelve it is held against."""


class Reviewing(Asking, Preferences):
    """The month in review, with the shop's own actions followed."""

    def months(self) -> list[str]:
        """Months with parts, latest first."""
        found: Iterable[str] = self.jobs()["month"].dropna().unique()
        return sorted(found, reverse=True)

    def month(self, month: str | None = None) -> MonthReview:
        """The review of a month; the latest one in the log when none is named."""
        from analytics.month import review_month
        from analytics.month.periods import Month

        months = self.months()
        if month is None and not months:
            raise QuestionError("the log has no dated parts yet: nothing to review.")
        asked = Month.read(month or months[0])
        actions = self.actions()

        def make() -> MonthReview:
            recent = [asked.back(back).key for back in range(OWED_MONTHS)]
            faulty = self._faulty_parts(recent)
            now = [part for part, made in faulty.items() if made == asked.key]
            owed, totals = self.owed_with_totals(list(faulty), now) if faulty else (None, ())
            log = self.log_of_month(asked.first, asked.after)
            return review_month(
                self.jobs(), log, self.knowledge, month=asked.key, actions=actions,
                owed=owed, owed_totals=totals,
            )  # fmt: skip

        mark = f"{self.store.confirmed_mark()} {actions} {self.store.observations()}"
        review: MonthReview = self._worked_out(f"month {asked.key}", make, mark)
        return review

    def _faulty_parts(self, months: Sequence[str]) -> dict[str, str]:
        """Parts of these months with a fault the trade knows, each with its month."""
        told = self.defects()[["part_id", "defect"]].astype(object)
        known = set(told.loc[told["defect"].isin(set(self.knowledge.defects)), "part_id"])
        jobs: pd.DataFrame = self.jobs()
        made = jobs.loc[jobs["month"].isin(list(months)), ["part_id", "month"]]
        pairs = zip(made["part_id"].tolist(), made["month"].tolist(), strict=True)
        return {part: month for part, month in pairs if part in known}

    def month_report(self, month: str | None = None) -> str:
        """One HTML page of a month for the wall or the customer, with nothing to fetch or run."""
        from analytics.report.month_page import month_page

        page = month_page(self.month(month), made_on=self._now().date())
        return said(page, self.units())

    def month_tables_to(self, path: Path, month: str | None = None, *, replace: bool) -> Path:
        """The CSV or XLSX file written with the tables of a month."""
        from analytics.report.month_tables import tables_file

        return tables_file(self.month(month), path, replace=replace)

    def actions(self) -> tuple[Action, ...]:
        """What the shop wrote down that it changed, oldest entry first."""
        from analytics.month.actions import read_action

        return tuple(read_action(one.name, one.content) for one in self.store.entries(ACTION))

    def add_action(
        self,
        name: str,
        since: date | str | None = None,
        hope: Sequence[str] = (),
        moulds: Sequence[str] = (),
    ) -> Action:
        """Write down what was changed, since when (today), hoping for what, on which moulds.

        Raises QuestionError for an unknown fault, mould or date, or a name that stands already.
        """
        from analytics.month.actions import read_action

        name = " ".join(name.split())
        if not name:
            raise QuestionError("say in a few words what was changed.")
        if len(name) > LONGEST_NAME:
            raise QuestionError(
                f"{len(name):,} letters are too many to be a name on a page: say what was changed "
                f"in up to {LONGEST_NAME}."
            )
        content = {
            "since": self._day(since).isoformat(),
            "hope": [self._defect(one) for one in hope if one.strip()],
            "moulds": self._moulds(moulds),
        }
        if not self.store.add_entry(ACTION, name, content, now=self._now()):
            raise QuestionError(f'"{name}" is written down already; take it back first.')
        return read_action(name, content)

    def withdraw_action(self, name: str) -> None:
        """Take an action back. Raises QuestionError where none is called so."""
        if not self.store.withdraw_entry(ACTION, " ".join(name.split()), now=self._now()):
            raise QuestionError(f'no action is called "{name}"; `laylog action` lists them.')

    def _day(self, since: date | str | None) -> date:
        if since is None or since == "":
            return self._now().date()
        if isinstance(since, date):
            return since
        try:
            return date.fromisoformat(since.strip())
        except ValueError:
            raise QuestionError(f'"{since}" is not a day: write it like 2026-03-01.') from None

    def _defect(self, said: str) -> str:
        words = defect_words(self.knowledge)
        told = " ".join(said.split()).lower()
        if told in self.knowledge.defects:
            return told
        if told not in words:
            names = ", ".join(sorted(self.knowledge.defects))
            raise QuestionError(f'no fault is called "{said}". Faults: {names}.')
        return words[told]

    def _moulds(self, said: Sequence[str]) -> list[str]:
        known = {str(m).casefold(): str(m) for m in self.jobs()["mould_id"].dropna().unique()}
        wanted = [one.strip() for one in said if one.strip()]
        strange = [one for one in wanted if one.casefold() not in known]
        if strange:
            raise QuestionError(
                f"the log has no mould {' or '.join(strange)}. "
                f"Moulds: {', '.join(sorted(known.values()))}."
            )
        return [known[one.casefold()] for one in wanted]
