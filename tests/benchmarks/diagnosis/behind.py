"""Where laylog is behind: figures on which a rival is ahead, and the causes that explain it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from tests.benchmarks.diagnosis.cases import Measured
from tests.benchmarks.diagnosis.rivals import ORACLES
from tests.benchmarks.diagnosis.scores import LOWER_IS_BETTER, Floats, Scored
from tests.benchmarks.diagnosis.tables import OURS, Measure, Table, markdown

FEWEST_CASES = 8
SHOWN_WEAKNESSES = 15


def losses(table: Table) -> list[dict[str, Any]]:
    """Every figure on which a rival is ahead of laylog, with the interval of the difference.

    `sure` says that the 95 % interval leaves no room for laylog being ahead. An oracle is no
    rival, but is listed and marked.
    """
    found = []
    for rival, splits in table.items():
        for split, measures in splits.items():
            for name, theirs in measures.items():
                ours = table[OURS][split][name]
                sign = -1.0 if name in LOWER_IS_BETTER else 1.0
                ahead = Measure.of(sign * (theirs.draws - ours.draws))
                if rival != OURS and ahead.value > 0:
                    found.append(
                        {
                            "rival": rival,
                            "oracle": rival in ORACLES,
                            "split": split,
                            "measure": name,
                            "ours": ours.value,
                            "theirs": theirs.value,
                            "ahead": ahead.to_json(),
                            "sure": ahead.low > 0,
                        }
                    )
    return found


def losses_text(by_group: Mapping[str, list[dict[str, Any]]]) -> str:
    """Where laylog is behind, one line each."""
    rows = [
        [
            group,
            loss["split"],
            loss["measure"],
            loss["rival"],
            f"{loss['ours']:.3f}",
            f"{loss['theirs']:.3f}",
            "{value:.3f} [{low:.3f} {high:.3f}]".format(**loss["ahead"]),
            "yes" if loss["sure"] else "no",
        ]
        for group, found in by_group.items()
        for loss in sorted(found, key=lambda loss: loss["oracle"])
    ]
    head = ["group", "cause", "measure", "rival", "laylog", "rival's", "rival ahead by", "sure"]
    body = markdown(head, rows) if rows else ["Nowhere."]
    return "\n".join(["## Where a rival is ahead", "", *body, ""])


@dataclass(frozen=True)
class Weakness:
    """One true cause of one defect: how often laylog and its best rival name it first."""

    defect: str
    cause: str
    count: int
    ours: float
    ours_top3: float
    rival: str
    theirs: float


def weaknesses(shops: Sequence[tuple[Measured, Mapping[str, Scored]]]) -> list[Weakness]:
    """True causes laylog most often misses while some rival names them, worst first."""
    hits: dict[tuple[str, str], dict[str, list[Floats]]] = defaultdict(lambda: defaultdict(list))
    for shop, methods in shops:
        for name, given in methods.items():
            for case, values in zip(shop.cases, given.values, strict=True):
                hits[case.defect, case.cause][name].append(values)
    found = []
    for (defect, cause), own in hits.items():
        means = {n: np.mean(v, axis=0) for n, v in own.items() if n not in ORACLES}
        rival = max((n for n in means if n != OURS), key=lambda n: float(means[n][0]))
        count = len(own[OURS])
        if count >= FEWEST_CASES:
            ours, top3, theirs = means[OURS][0], means[OURS][1], means[rival][0]
            found.append(
                Weakness(defect, cause, count, float(ours), float(top3), rival, float(theirs))
            )
    return sorted(found, key=lambda w: -w.count * (w.theirs - w.ours))


def weaknesses_text(found: Sequence[Weakness]) -> str:
    """The causes on which most faults are lost to a rival."""
    rows = [
        [w.defect, w.cause, str(w.count), f"{w.ours:.2f}", f"{w.ours_top3:.2f}", w.rival,
         f"{w.theirs:.2f}"]
        for w in found[:SHOWN_WEAKNESSES] if w.theirs > w.ours
    ]  # fmt: skip
    head = ["defect", "true cause", "faults", "laylog top-1", "top-3", "best rival", "its top-1"]
    body = markdown(head, rows) if rows else ["None."]
    return "\n".join(["## True causes a rival names more often", "", *body, ""])
