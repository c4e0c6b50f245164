"""The sentences of a trial under way."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from analytics.settling.trial import Trial
from analytics.settling.trial_answer import Arm, TrialVerdict
from analytics.settling.words import upper

MONTH_DAYS = 30.4


def sentence(
    trial: Trial, verdict: TrialVerdict, arms: Sequence[Arm], more: int,
    title: str, stopped: str,
    months: float | None,
) -> str:  # fmt: skip
    counts = " and ".join(f"{arm.faults} of {arm.results} parts ({arm.said})" for arm in arms)
    counts = f"{title}: {counts}"
    matters = f"{100 * trial.matters:.0f} in 100"
    pace = "" if months is None else f" ({_span(months)} at your pace)"
    if verdict in ("settled-a", "settled-b"):
        better = trial.way("a" if verdict == "settled-a" else "b")
        return f"Settled: {better} is better. {upper(counts)}."
    return {
        "stop-harm": "Stop the trial now: it does harm.",
        "settled-alike": (
            f"Settled: no difference that matters ({matters} or more). {upper(counts)}."
        ),
        "stopped": f"Stopped before it was settled: {stopped}. {upper(counts)}.",
        "spent": (
            f"Not settled in the {trial.most} parts planned. A difference of {matters} would show "
            f"in 8 of 10 such trials, so it is likely smaller. {upper(counts)}."
        ),
        "go-on": f"Go on: about {more} more parts{pace}. So far {counts}.",
    }[verdict]


def _span(months: float) -> str:
    """Weeks up to two months, then months."""
    if months < 2:
        return f"{max(1, round(months * MONTH_DAYS / 7))} weeks"
    return f"{months:.0f} months"


def warnings(trial: Trial, table: pd.DataFrame) -> tuple[str, ...]:
    told = []
    broken = table[table["kept"] == 0.0]
    if len(broken):
        named = ", ".join(broken["part_id"][:5])
        told.append(
            f"{len(broken)} of {len(table)} parts were not made the way they were given ({named}). "
            "They still count for that way: leaving them out would let somebody pick after all."
        )
    if trial.field and len(table) and table.loc[table["looked"], "kept"].isna().any():
        told.append("Some parts have a result but do not say which way they were made.")
    newest = table[table["looked"]].groupby("mould")["block"].max()
    behind = ~table["looked"] & (table["block"] < table["mould"].map(newest).fillna(0))
    if behind.any():
        named = ", ".join(table.loc[behind, "part_id"][:5])
        told.append(
            f"No result is written for {int(behind.sum())} of the older parts ({named}): without "
            "it their place in the trial is lost."
        )
    return tuple(told)


def to_do(trial: Trial, verdict: TrialVerdict, more: int) -> tuple[str, ...]:
    if verdict in ("settled-a", "settled-b"):
        better = trial.way("a" if verdict == "settled-a" else "b")
        return (f"Make it the rule: {better}. End the trial: laylog trial stop {trial.name}.",)
    return {
        "stop-harm": (
            f"Make no further part this way. End it: laylog trial stop {trial.name} --why ...",
        ),
        "settled-alike": (
            f"Take the quicker or cheaper way. End the trial: laylog trial stop {trial.name}.",
        ),
        "stopped": (),
        "spent": (f"End the trial: laylog trial stop {trial.name}. Take the cheaper way.",),
        "go-on": (
            f"Before each part: laylog trial assign {trial.name} PART --mould MOULD. Look any "
            "day; looking often does no harm.",
        ),
    }[verdict]
