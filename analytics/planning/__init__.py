"""A plan for the day: what to weigh out, when to do what, what to check first."""

from analytics.planning.answer import DayPlan
from analytics.planning.plan import plan_day
from analytics.planning.question import Asked, WrongTemperatureError

__all__ = ["Asked", "DayPlan", "WrongTemperatureError", "plan_day"]
