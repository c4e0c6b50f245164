"""A plan for the day: what to weigh out, when to do what, what to check first."""
