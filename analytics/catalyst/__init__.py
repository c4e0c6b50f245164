"""How much catalyst, this season? `advise` answers it; `learn` keeps the fitted model for reuse."""

from analytics.catalyst.advice import Learnt, advise, learn
from analytics.catalyst.answer import CatalystAdvice
from analytics.catalyst.dose_range import SheetRange

__all__ = ["CatalystAdvice", "Learnt", "SheetRange", "advise", "learn"]
