"""Months: reading "2024-03", the days of one, and how they are written for people."""

from __future__ import annotations

import re
from dataclasses import dataclass

import pandas as pd

from analytics.days import MONTHS as MONTH_NAMES
from analytics.errors import QuestionError

YEARS, MONTHS = range(1900, 2200), range(1, 13)
SHAPE = re.compile(r"(\d{4})-(\d{2})")


@dataclass(frozen=True)
class Month:
    """A calendar month; `number` counts months since year 0, so that months can be subtracted."""

    number: int

    @staticmethod
    def read(text: str) -> Month:
        """The month written as YYYY-MM. Raises QuestionError with a sentence for anything else."""
        shape = SHAPE.fullmatch(text.strip())
        if shape is None or int(shape[1]) not in YEARS or int(shape[2]) not in MONTHS:
            raise QuestionError(
                f'"{text}" is not a month: write the year and the month like 2024-03.'
            )
        return Month(int(shape[1]) * 12 + int(shape[2]) - 1)

    @staticmethod
    def of(day: pd.Timestamp) -> Month:
        """The month a day lies in."""
        return Month(day.year * 12 + day.month - 1)

    @property
    def key(self) -> str:
        """As typed: "2024-03"."""
        return f"{self.number // 12:04d}-{self.number % 12 + 1:02d}"

    @property
    def title(self) -> str:
        """As read: "March 2024"."""
        return f"{MONTH_NAMES[self.number % 12]} {self.number // 12}"

    @property
    def first(self) -> pd.Timestamp:
        """The first moment of the month."""
        return self.back(1).after

    @property
    def after(self) -> pd.Timestamp:
        """The first moment that is no longer in the month."""
        following = self.number + 1
        return pd.Timestamp(following // 12, following % 12 + 1, 1)

    def back(self, months: int) -> Month:
        """The month so many months earlier."""
        return Month(self.number - months)
