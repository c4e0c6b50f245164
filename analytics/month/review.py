"""How did the month go? The one function of this question."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from analytics.errors import QuestionError
from analytics.knowledge.model import Knowledge
from analytics.month.actions import Action, followed
from analytics.month.answer import MonthReview
from analytics.month.causes import OwedTotal, cause_lines
from analytics.month.cautions import warnings_about
from analytics.month.chart import faulty_chart
from analytics.month.charts import control_charts
from analytics.month.days import days
from analytics.month.periods import Month
from analytics.month.results import results_of
from analytics.month.signals import stands_out
from analytics.month.summary import (
    comparisons,
    defect_lines,
    good_share,
    rework_hours,
    scrapped,
    total,
)
from analytics.month.totals import totals
from analytics.month.usual import usual_chances
from analytics.records.log import Log


def review_month(
    jobs: pd.DataFrame, log: Log, knowledge: Knowledge, *, month: str,
    actions: Sequence[Action] = (), owed: pd.DataFrame | None = None,
    owed_totals: Sequence[OwedTotal] = (),
) -> MonthReview:  # fmt: skip
    """The month in review: how it went, against what is usual, and what stands out.

    Parameters
    ----------
    jobs : table of analytics.jobs.jobs_table for this log.
    log : the log itself, for the faults as written.
    knowledge : defect names and groups, and the conditions worth watching.
    month : as "2024-03". Parts made after it play no part in the answer.
    actions : what the shop changed, to be followed.
    owed, owed_totals : whose doing the faults were, see `analytics.month.causes`.

    Raises
    ------
    QuestionError
        When `month` is no month, or no part was made in it.
    """
    asked = Month.read(month)
    _refuse_empty(jobs, asked)
    results = results_of(jobs, log, knowledge, asked)
    this = results.this_month
    usual = usual_chances(results)
    signals, not_judged, looks = stands_out(results, usual, knowledge)
    return MonthReview(
        month=asked.key, title=asked.title, parts=int(this.sum()),
        good=good_share(results, this), unknown=int((this & ~results.looked).sum()),
        scrap=scrapped(results, this), rework_hours=rework_hours(results, this),
        cost=total(results, this, "cost"), comparisons=comparisons(results),
        defects=defect_lines(results, knowledge), days=days(results, log.logger),
        chart=faulty_chart(results), signals=signals, not_enough=not_judged,
        warnings=warnings_about(results),
        months_before=int(np.unique(results.months_back[~this]).size), looks=looks,
        totals=totals(results),
        causes=() if owed is None else cause_lines(results, owed, owed_totals),
        charts=control_charts(results, usual, signals, knowledge),
        actions=followed(actions, results, signals, knowledge),
    )  # fmt: skip


def _refuse_empty(jobs: pd.DataFrame, asked: Month) -> None:
    dates = jobs["date"].dropna()
    if dates.empty:
        raise QuestionError("No part in the log has a date: there is no month to review.")
    first, last = Month.of(dates.min()), Month.of(dates.max())
    if not ((dates >= asked.first) & (dates < asked.after)).any():
        raise QuestionError(
            f"No part was made in {asked.title}. The log runs from {first.title} ({first.key}) "
            f"to {last.title} ({last.key})."
        )
