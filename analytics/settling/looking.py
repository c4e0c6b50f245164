"""How a trial stands today: read from the log, as often as anybody likes."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, isfinite, log

import pandas as pd

from analytics.knowledge.model import Knowledge
from analytics.settling import trial_words
from analytics.settling.drawing import WayName
from analytics.settling.trial import Given, Trial
from analytics.settling.trial_answer import Arm, MouldProgress, TrialLook, TrialVerdict
from analytics.settling.trial_log import finished, results
from analytics.stats.anytime import SETTLED, Block, Evidence, evidence, share_after, stakes
from analytics.stats.proportions import wilson

HOT = "exotherm-peak"
HALF_YEAR_DAYS = 182


def look(
    trial: Trial,
    given: Sequence[Given],
    jobs: pd.DataFrame,
    found: pd.DataFrame,
    knowledge: Knowledge,
    *,
    stopped: str = "",
) -> TrialLook:
    """How the trial stands on the results in the log now; `stopped`: why it was ended."""
    table = results(trial, given, jobs, found, knowledge)
    blocks = finished(table, "faulty")
    seen = evidence(blocks)
    harm = _harm(trial, table, jobs, knowledge)
    counted = sum(a + b for a, _, b, _ in blocks)
    more = _more(trial, seen, counted)
    months = _months(more, jobs)
    verdict = _verdict(trial, seen, blocks, harm, counted, stopped)
    arms = [_arm(trial.way(way), table[table["way"] == way]) for way in ("a", "b")]
    title = " or ".join(
        knowledge.defects[d].title.partition(" (")[0].lower() for d in trial.defects
    )
    return TrialLook(
        trial=trial, title=title, verdict=verdict,
        sentence=trial_words.sentence(trial, verdict, arms, more, title, stopped, months),
        a=arms[0], b=arms[1], counted=counted, waiting=int((~table["looked"]).sum()), more=more,
        months=months, stake=seen.stake, growth=tuple(float(x) for x in stakes(blocks)),
        by_mould=_by_mould(table), harm=harm, stop_rule=knowledge.settling.stop,
        warnings=trial_words.warnings(trial, table), to_do=trial_words.to_do(trial, verdict, more),
    )  # fmt: skip


def _harm(
    trial: Trial, table: pd.DataFrame, jobs: pd.DataFrame, knowledge: Knowledge
) -> tuple[str, ...]:
    """What speaks for stopping now: other harm of one way, or a laminate too hot."""
    told = []
    limit = knowledge.limits.get(HOT)
    if limit is not None and limit.flag_high is not None:
        hot = table[table["hot"] > limit.flag_high]
        told += [
            f"Part {row.part_id} got to {row.hot:.0f} °C, over {limit.flag_high:.0f} °C."
            for row in hot.itertuples()
        ]
    seen = evidence(finished(table, "worse"))
    if seen.stake >= SETTLED:
        worse: WayName = "b" if seen.best < 0 else "a"
        told.append(
            f"More parts are scrapped or have other faults with {trial.way(worse)}, beyond what "
            "luck brings."
        )
    return tuple(told)


def _verdict(
    trial: Trial, seen: Evidence, blocks: Sequence[Block], harm: Sequence[str], counted: int,
    stopped: str,
) -> TrialVerdict:  # fmt: skip
    if harm:
        return "stop-harm"
    if seen.stake >= SETTLED:
        return "settled-a" if seen.best < 0 else "settled-b"
    if _alike(trial, seen, blocks):
        return "settled-alike"
    if stopped:
        return "stopped"
    return "spent" if counted >= trial.most else "go-on"


def _alike(trial: Trial, seen: Evidence, blocks: Sequence[Block]) -> bool:
    """True where every odds ratio not ruled out changes the share by less than matters."""
    low, high = seen.log_odds
    if not (isfinite(low) and isfinite(high)):
        return False
    parts = sum(a + b for a, _, b, _ in blocks)
    share = max(sum(x + y for _, x, _, y in blocks) / parts, trial.usual)
    return all(abs(share_after(share, end) - share) < trial.matters for end in (low, high))


def _more(trial: Trial, seen: Evidence, counted: int) -> int:
    """About how many parts are still to come if the difference is as big as planned for."""
    missing = 1.0 - log(max(seen.stake, 1e-6)) / log(SETTLED)
    guess = ceil(trial.parts * max(missing, 0.0))
    return int(min(max(guess, 2), max(trial.most - counted, 2)))


def _months(parts: int, jobs: pd.DataFrame) -> float | None:
    """How long so many parts take at the pace of the log's last half year."""
    days = jobs["date"].dropna()
    recent = days[days >= days.max() - pd.Timedelta(days=HALF_YEAR_DAYS)] if len(days) else days
    if len(recent) < 2 or recent.max() == recent.min():
        return None
    span = max((recent.max() - recent.min()).days, trial_words.MONTH_DAYS) / trial_words.MONTH_DAYS
    return parts * span / len(recent)


def _arm(said: str, parts: pd.DataFrame) -> Arm:
    known = parts[parts["looked"]]
    faults = int(known["faulty"].sum())
    if known.empty:
        return Arm(said, len(parts), 0, 0, None, None, None)
    low, high = wilson(faults, len(known))
    return Arm(said, len(parts), len(known), faults, faults / len(known), low, high)


def _by_mould(table: pd.DataFrame) -> tuple[MouldProgress, ...]:
    found = []
    for mould, parts in table[table["looked"]].groupby("mould", sort=True):
        a, b = parts[parts["way"] == "a"], parts[parts["way"] == "b"]
        found.append(
            MouldProgress(
                str(mould), len(a), int(a["faulty"].sum()), len(b), int(b["faulty"].sum())
            )
        )
    return tuple(found)
