"""How much catalyst? `advise` answers it for one pot, `season` for the year, `Cup` is a cup test.

`learn` keeps the fitted model for reuse.
"""

from analytics.catalyst.advice import Learnt, advise, learn
from analytics.catalyst.answer import CatalystAdvice
from analytics.catalyst.cup import Cup, CupAnswer
from analytics.catalyst.dose_range import SheetRange
from analytics.catalyst.season import SeasonTable, season
from analytics.catalyst.sheet_gel import SheetGel

__all__ = [
    "CatalystAdvice",
    "Cup",
    "CupAnswer",
    "Learnt",
    "SeasonTable",
    "SheetGel",
    "SheetRange",
    "advise",
    "learn",
    "season",
]
