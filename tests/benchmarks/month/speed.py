"""A year of 100,000 parts reviewed, beside plain group-bys of the same tables in the same run."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from time import process_time

import pandas as pd

from analytics.knowledge.model import Knowledge
from analytics.month import review_month
from analytics.month.process import FIGURES
from analytics.month.results import SUBJECT_COLUMNS
from tests.month.shops import Shop, a_shop

REPEATS = 3


@dataclass(frozen=True)
class Timed:
    """Best of some runs [s of processor time]: the review, one group-by, the review's own cuts."""

    parts: int
    review_s: float
    one_cut_s: float
    all_cuts_s: float

    @property
    def ratio_one_cut(self) -> float:
        return self.review_s / self.one_cut_s

    @property
    def ratio_all_cuts(self) -> float:
        return self.review_s / self.all_cuts_s


def timed(parts: int, knowledge: Knowledge, *, seed: int) -> Timed:
    """The last month of a year of so many parts."""
    shop = a_shop(seed, months=12, parts_a_month=parts // 12)
    month = str(shop.jobs["month"].max())
    return Timed(
        parts=len(shop.jobs),
        review_s=_best(lambda: review_month(shop.jobs, shop.log, knowledge, month=month)),
        one_cut_s=_best(lambda: one_cut(shop)),
        all_cuts_s=_best(lambda: all_cuts(shop)),
    )


def one_cut(shop: Shop) -> pd.DataFrame:
    """Parts with each defect by month: the least that answers "how did it go"."""
    faults = shop.log.defects.merge(shop.jobs[["part_id", "month"]], on="part_id")
    return faults.groupby(["month", "defect"]).size().unstack(fill_value=0)


def all_cuts(shop: Shop) -> list[pd.DataFrame]:
    """The counts and middles a review looks at, each by one plain group-by and nothing more."""
    jobs = shop.jobs
    columns = [c for kind in SUBJECT_COLUMNS.values() for c in kind]
    half = (jobs["date"].dt.day > 15).rename("half")
    jobs = jobs.assign(half=half)
    faults = shop.log.defects.merge(
        jobs[["part_id", "date", "month", "half", *columns]], on="part_id"
    )
    cuts = [faults.groupby(["month", "half", "defect"]).size()]
    for column in columns:
        cuts.append(faults.groupby([column, "month", "half", "defect"]).size())
        cuts.append(jobs.groupby([column, "month", "half"]).size())
    figures = [field for field in FIGURES if jobs[field].notna().any()]
    cuts.append(jobs.groupby(["month", "half"])[figures].median())
    cuts.append(jobs.groupby("date")[["air_c", "humidity_pct"]].mean())
    cuts.append(jobs.groupby(["month", "outcome"])[["rework_min", "cost"]].sum())
    return cuts


def _best(work: Callable[[], object]) -> float:
    spent = []
    for _ in range(REPEATS):
        begun = process_time()
        work()
        spent.append(process_time() - begun)
    return min(spent)
