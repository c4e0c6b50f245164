"""The measurements as plain tables and as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from tests.benchmarks.diagnosis.behind import weaknesses
from tests.benchmarks.diagnosis.cases import Measured
from tests.benchmarks.diagnosis.innocence import TOO_MUCH, Innocent
from tests.benchmarks.diagnosis.scores import MEASURES, Scored, calibration_table, honest_error
from tests.benchmarks.diagnosis.tables import OURS, Measure, Table, markdown
from tests.benchmarks.diagnosis.timing import Timed

SPLITS = ("recorded", "unrecorded", "all")


def group_text(title: str, methods: Mapping[str, Scored], table: Table) -> str:
    """One group of shops: scores by split, and how far chances can be believed."""
    ours = methods[OURS]
    counts = {
        "recorded": int(ours.recorded.sum()),
        "unrecorded": int((~ours.recorded).sum()),
        "all": len(ours.recorded),
    }
    lines = [f"## {title}", ""]
    for split in SPLITS:
        measures = list(table[OURS][split])
        if not counts[split]:
            continue
        head = [f"cause {split} ({counts[split]} faults)" if split != "all" else
                f"all ({counts[split]} faults)", *measures]  # fmt: skip
        rows = [[name, *(_shown(table[name][split][m], m) for m in measures)] for name in table]
        lines += [*markdown(head, rows), ""]
    luck = honest_error(ours.first), honest_error(ours.said)
    lines += [
        f"Chances exactly right would show an ECE of {luck[0]:.3f} (first) and {luck[1]:.3f} (all)"
        " by luck on as many faults.",
        "",
    ]
    return "\n".join(lines)


def _shown(measure: Measure, name: str) -> str:
    if name in MEASURES and name != "log loss":
        return f"{100 * measure.value:.0f} [{100 * measure.low:.0f} {100 * measure.high:.0f}]"
    digits = 2 if name == "log loss" else 3
    return f"{measure.value:.{digits}f} [{measure.low:.{digits}f} {measure.high:.{digits}f}]"


def calibration_text(title: str, given: Scored) -> str:
    """What laylog said and what was true, for causes a log can show and for the others."""
    rows = []
    kinds = {"recorded": given.visible, "unrecorded": ~given.visible}
    tables = {kind: calibration_table(given.said[own], given.true[own]) for kind, own in
              kinds.items()}  # fmt: skip
    tables["first named"] = calibration_table(given.first, given.hit)
    for kind, bins in tables.items():
        for b in bins:
            said, true = f"{b['said']:.2f}", f"{b['true']:.2f}"
            rows.append([kind, f"{b['from']:.1f} to {b['to']:.1f}", str(b["count"]), said, true])
    head = ["cause named", "chance given", "times", "mean said", "was the main cause"]
    return "\n".join([f"## Calibration of laylog, {title}", "", *markdown(head, rows), ""])


def shops_text(shops: Sequence[tuple[Measured, Mapping[str, Scored]]]) -> str:
    """Every shop by itself: laylog beside each rival, top-1 of all faults and log loss."""
    names = list(shops[0][1])
    rows = [
        [
            shop.name,
            shop.setting,
            str(len(shop.jobs)),
            str(len(shop.cases)),
            *(f"{100 * g.values[:, 0].mean():.0f} / {g.values[:, 3].mean():.2f}" for g in
              methods.values()),
        ]
        for shop, methods in shops
    ]  # fmt: skip
    head = ["shop", "kind", "parts", "faults", *names]
    title = "## Shop by shop: top-1 % / log loss"
    return "\n".join([title, "", *markdown(head, rows), ""])


def timing_text(times: Iterable[Timed]) -> str:
    """Seconds, medians, and how they compare."""
    rows = [
        [t.name, str(t.parts), f"{t.fit_s:.3f}", f"{t.logistic_s:.3f}", f"{t.ratio:.2f}",
         f"{1000 * t.judge_s:.1f}", f"{1000 * t.why_s:.1f}"]
        for t in times
    ]  # fmt: skip
    head = ["shop", "parts", "fit s", "LogisticRegression s", "ratio", "one part's chances ms",
            "one full answer ms"]  # fmt: skip
    return "\n".join(["## Time", "", *markdown(head, rows), ""])


def innocence_text(logs: Sequence[Innocent]) -> str:
    """How many logs without guilt put more than TOO_MUCH of a fault on something for itself."""
    if not logs:
        return ""
    extra = [log for log in logs if log.extra > TOO_MUCH]
    brief = [log for log in logs if log.brief > TOO_MUCH]
    own = [log for log in logs if log.own > TOO_MUCH]
    lines = [
        "## Shops with no fault of their own",
        "",
        f"- a lot, mould or person given over {TOO_MUCH:.0%} of any fault for itself: "
        f"{len(extra)} of {len(logs)} logs"
        + _listed(f"{log.whom} {log.extra:.2f} ({log.size} parts)" for log in extra),
        f"- one mix or one day given over {TOO_MUCH:.0%}: {len(brief)} of {len(logs)} logs"
        + _listed(f"{log.when} {log.brief:.2f} ({log.size} parts)" for log in brief),
        f"- a bad lot or mould over {TOO_MUCH:.0%} for any fault: {len(own)} of {len(logs)} logs"
        + _listed(f"{log.which} {log.own:.2f} ({log.size} parts)" for log in own),
        "",
    ]
    return "\n".join(lines)


def _listed(words: Iterable[str]) -> str:
    text = "; ".join(words)
    return f": {text}" if text else ""


def to_json(
    tables: Mapping[str, Table],
    behind: Mapping[str, list[dict[str, Any]]],
    shops: Sequence[tuple[Measured, Mapping[str, Scored]]],
    times: Sequence[Timed],
    logs: Sequence[Innocent],
) -> dict[str, Any]:
    """Everything measured, for a machine."""
    return {
        "groups": {
            group: {
                method: {
                    split: {name: m.to_json() for name, m in measures.items()}
                    for split, measures in splits.items()
                }
                for method, splits in table.items()
            }
            for group, table in tables.items()
        },
        "behind": dict(behind),
        "shops": [_shop_json(shop, methods) for shop, methods in shops],
        "causes": [asdict(w) for w in weaknesses(shops)],
        "times": [asdict(t) | {"ratio": t.ratio} for t in times],
        "innocent": [asdict(log) for log in logs],
    }


def _shop_json(shop: Measured, methods: Mapping[str, Scored]) -> dict[str, Any]:
    ours = methods[OURS]
    return {
        "name": shop.name,
        "group": shop.group,
        "setting": shop.setting,
        "parts": len(shop.jobs),
        "faults": len(shop.cases),
        "faults_lost_in_reading": shop.lost,
        "methods": {
            name: dict(zip(MEASURES, map(float, given.values.mean(axis=0)), strict=True))
            for name, given in methods.items()
        },
        "calibration": {
            "named": calibration_table(ours.said, ours.true),
            "first": calibration_table(ours.first, ours.hit),
        },
    }
