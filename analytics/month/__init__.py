"""How did the month go? `review_month` answers with a `MonthReview`."""

from analytics.month.answer import MonthReview
from analytics.month.review import review_month

__all__ = ["MonthReview", "review_month"]
