"""How far a month in review can be trusted: what is missing from the log, in plain sentences."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from analytics.month.results import Results

LEAST_RESULTS = 10

Warner = Callable[[Results], str | None]


def warnings_about(results: Results) -> tuple[str, ...]:
    """What limits this review, one sentence each."""
    return tuple(text for warn in WARNERS if (text := warn(results)) is not None)


def _results_missing(results: Results) -> str | None:
    parts = int(results.this_month.sum())
    missing = int((results.this_month & ~results.looked).sum())
    if not missing:
        return None
    return (
        f"{missing} of {parts} parts have no result written: they are counted as unknown, "
        "not as good."
    )


def _few_months(results: Results) -> str | None:
    before = np.unique(results.months_back[results.looked & ~results.this_month]).size
    if before == 0:
        return "No earlier month has results: there is nothing to compare this one with."
    if before < 3:
        many = "month" if before == 1 else "months"
        return f"Only {before} earlier {many} with results: take what stands out as a hint."
    return None


def _few_results(results: Results) -> str | None:
    looked = int((results.this_month & results.looked).sum())
    if looked >= LEAST_RESULTS:
        return None
    which = {0: "No part has", 1: "Only 1 part has"}.get(looked, f"Only {looked} parts have")
    return f"{which} a result this month: what stands out rests on the months before."


def _one_season(results: Results) -> str | None:
    if 3 <= int(results.months_back.max()) < 12:
        return "Less than a year of log: a change with the season cannot be told from a real one."
    return None


def _no_weather(results: Results) -> str | None:
    now = results.jobs[results.this_month]
    if now["air_c"].notna().any() or now["humidity_pct"].notna().any():
        return None
    return "No temperature or humidity was logged this month: the weather cannot be allowed for."


def _faults_not_named(results: Results) -> str | None:
    unnamed = int((results.this_month & results.faulty & ~results.found.any(axis=1)).sum())
    if not unnamed:
        return None
    which = "part has" if unnamed == 1 else "parts have"
    return f"{unnamed} faulty {which} no fault named: counted as faulty, under no defect."


WARNERS: tuple[Warner, ...] = (
    _results_missing, _few_results, _few_months, _one_season, _no_weather, _faults_not_named
)  # fmt: skip
