"""A fair trial: what is tried, on what fault, how long it should take, and who got which way."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

import numpy as np
import pandas as pd

from analytics.columns import column
from analytics.errors import QuestionError
from analytics.knowledge.model import Knowledge
from analytics.settling.drawing import WayName
from analytics.settling.refusing import refusal
from analytics.settling.ways import Way, field_called, read_way
from analytics.stats.anytime import trial_length

LEAST_FOR_USUAL = 30
"""Parts with a result before the log's own share of a fault is taken as the usual one."""
LONGEST = 1200
RAREST = 0.002


@dataclass(frozen=True)
class Trial:
    """A planned trial, as it is kept in the journal.

    `way_a` and `way_b` are as typed; `field` is empty where they are in words only: then the log
    cannot say whether the way was kept. `usual` is the share of parts with the fault before
    [0..1], `usual_from` where that is from, `matters` the difference worth finding. If it is that
    big, half of such trials are settled in `parts` parts and 8 in 10 in `most`.
    """

    name: str
    way_a: str
    way_b: str
    defects: tuple[str, ...]
    field: str
    usual: float
    usual_from: str
    matters: float
    parts: int
    most: int
    seed: int
    started: str = ""

    def way(self, name: WayName) -> str:
        """A way in words, with its field and unit where it has one."""
        said = self.way_a if name == "a" else self.way_b
        if not self.field:
            return said
        return f"{column(self.field).name} {read_way(self.field, said).said}"

    def content(self) -> dict[str, Any]:
        """The plan as the journal keeps it."""
        return {key: value for key, value in asdict(self).items() if key not in ("name", "started")}

    @classmethod
    def of(cls, name: str, content: Mapping[str, Any], at: datetime) -> Trial:
        """The plan as the journal kept it."""
        kept = {**content, "defects": tuple(content["defects"])}
        return cls(name=name, started=f"{at:%Y-%m-%d}", **kept)


@dataclass(frozen=True)
class Given:
    """A part and the way chance gave it; `position` is its place in the queue of its mould."""

    part_id: str
    mould: str
    position: int
    way: WayName


def plan_trial(
    name: str,
    way_a: str,
    way_b: str,
    defects: Sequence[str],
    jobs: pd.DataFrame,
    found: pd.DataFrame,
    knowledge: Knowledge,
    *,
    seed: int,
    field: str = "",
    usual: float | None = None,
    matters: float | None = None,
    lots: pd.DataFrame | None = None,
) -> Trial:
    """A trial worth starting: the ways allowed, the fault known, the number of parts said.

    Raises
    ------
    QuestionError
        The ways are the same or unsafe, the fault is unknown, or the shares make no sense.
    """  # fmt: skip
    named = slug(name)
    asked = field_called(jobs, field) if field else ""
    ways = [read_way(asked, said) for said in (way_a, way_b)] if asked else []
    _check(named, way_a, way_b, defects, knowledge)
    _refuse_unsafe(ways, (name, way_a, way_b), knowledge, lots)
    share, source = _usual(usual, defects, jobs, found, knowledge)
    apart = matters if matters is not None else max(knowledge.settling.matters, share / 2)
    if not 0 < apart < 1:
        raise QuestionError("the change that matters is a share between 0 and 100 in 100 parts.")
    better = max(RAREST, share - apart)
    length = trial_length(share, better, seed=seed, trials=200, longest=LONGEST)
    return Trial(
        named, way_a.strip(), way_b.strip(), tuple(defects), asked, share, source, apart,
        length.usual_parts, length.most_parts, seed,
    )  # fmt: skip


def slug(name: str) -> str:
    """A short name to type: lower-case words joined by hyphens. Raises QuestionError for none."""
    made = "-".join(re.findall(r"[a-z0-9]+", name.lower()))
    if not made:
        raise QuestionError("the trial needs a name, such as wax-coats.")
    return made[:40]


def ways_of(trial: Trial) -> tuple[Way, Way] | None:
    """Both ways as values of the field; None where they are in words only."""
    if not trial.field:
        return None
    a, b = (read_way(trial.field, said) for said in (trial.way_a, trial.way_b))
    return a, b


def _check(name: str, way_a: str, way_b: str, defects: Sequence[str], knowledge: Knowledge) -> None:
    if way_a.strip().lower() == way_b.strip().lower() or not (way_a.strip() and way_b.strip()):
        raise QuestionError(f'the trial "{name}" needs two ways that differ.')
    if not defects:
        raise QuestionError("name the fault the trial hopes to change: --defect sticking.")
    for defect in defects:
        if defect not in knowledge.defects:
            raise QuestionError(
                f'no fault is called "{defect}". All: {", ".join(knowledge.defects)}.'
            )


def _refuse_unsafe(
    ways: Sequence[Way], words: Sequence[str], knowledge: Knowledge, lots: pd.DataFrame | None
) -> None:
    against = refusal(knowledge, ways, words, lots=lots, trial=True)
    if against is not None:
        raise QuestionError(" ".join((against.reason, *against.cautions)))


def _usual(
    said: float | None,
    defects: Sequence[str],
    jobs: pd.DataFrame,
    found: pd.DataFrame,
    knowledge: Knowledge,
) -> tuple[float, str]:
    """The share of parts with the fault before the trial, and where that figure is from."""
    if said is not None:
        if not 0 < said < 1:
            raise QuestionError("the usual share is between 0 and 100 in 100 parts.")
        return said, "as you say"
    looked = jobs["looked"].fillna(False).to_numpy(dtype=bool)
    if looked.sum() >= LEAST_FOR_USUAL:
        faulty = with_fault(jobs, found, defects, knowledge)[looked]
        if faulty.any():
            return float(faulty.mean()), f"your log, {int(looked.sum())} parts"
    leaves = {leaf for d in defects for leaf in knowledge.defects[d].members or (d,)}
    rate = 1.0 - float(np.prod([1.0 - knowledge.defects[leaf].base_rate for leaf in leaves]))
    return rate, "a rough figure of the trade, as the log has too few parts"


def with_fault(
    jobs: pd.DataFrame, found: pd.DataFrame, defects: Sequence[str], knowledge: Knowledge
) -> np.ndarray:
    """(n,) parts with any of the faults; a group takes in its members."""
    wanted = {leaf for d in defects for leaf in (d, *knowledge.defects[d].members)}
    parts = found.loc[found["defect"].isin(wanted), "part_id"]
    return np.asarray(jobs["part_id"].isin(parts), dtype=bool)
