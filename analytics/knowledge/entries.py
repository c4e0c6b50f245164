"""Each kind of entry: one table of a knowledge file becomes one frozen object."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Any, Literal, cast, get_args

from analytics.knowledge.entry import Entry
from analytics.knowledge.model import (
    BenchCheck,
    Cause,
    Chain,
    Constant,
    Defect,
    Evidence,
    Guard,
    Harm,
    Limit,
    Observation,
    PlanFigure,
    Question,
    Rule,
    Scope,
    Settling,
    SlowedBy,
    Source,
    Trust,
)
from analytics.knowledge.reading import did_you_mean

SOURCE_KINDS = ("published", "common-practice", "memory", "estimate", "shop")
PLAIN_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
SLOT = re.compile(r"\{([^}]*)\}")
SLOTS = {"value", "none", "full"}


def source(name: str, entry: Entry) -> Source:
    return Source(id=name, kind=entry.choice("kind", SOURCE_KINDS), text=entry.text("text"))


def defect(name: str, entry: Entry) -> Defect:
    rate = entry.number("base_rate")
    if rate <= 0 or rate >= 1:
        entry.wrong("base_rate", f"is {rate:g}; it is a share of parts, between 0 and 1")
    words = entry.texts("words", least=1)
    for word in words:
        if word != word.lower().strip():
            entry.wrong("words", f'"{word}" must be in lower case, with no space around it')
    return Defect(
        id=name,
        title=entry.text("title"),
        look=entry.text("look"),
        this_part=entry.text("this_part"),
        prevent=entry.text("prevent"),
        words=words,
        base_rate=rate,
        cautions=entry.texts("cautions"),
        source=entry.text("source"),
        members=entry.texts("members"),
    )


def check(name: str, entry: Entry) -> BenchCheck:
    minutes = entry.number("minutes")
    if minutes <= 0:
        entry.wrong("minutes", f"is {minutes:g}; it must be more than 0")
    results = entry.by_id("results", (str,), "a text")
    if len(entry.raw.get("results", ())) < 2:
        entry.wrong("results", "needs two results at least, or the check tells nothing")
    return BenchCheck(
        id=name,
        title=entry.text("title"),
        how=entry.text("how"),
        minutes=minutes,
        results=results,
        cautions=entry.texts("cautions"),
        source=entry.text("source"),
    )


def cause(name: str, entry: Entry) -> Cause:
    return Cause(
        id=name,
        title=entry.text("title"),
        what=entry.text("what"),
        scope=cast(Scope, entry.choice("scope", get_args(Scope))),
        record=entry.text("record"),
        evidence=_evidence_list(entry),
        needs=cast(Literal["any", "all"], entry.choice("needs", ("any", "all"), usual="any")),
        levels=_levels(entry),
        shares=_shares(entry),
        stands_out=entry.by_id("stands_out", (str,), "a text"),
        checks=entry.by_id("checks", (str,), "the name of a result"),
        check_text=entry.text("check_text"),
        mend=entry.text("mend"),
        prevent=entry.text("prevent"),
        said=entry.texts("said"),
        cautions=entry.texts("cautions"),
        source=entry.text("source"),
        group=entry.text_or_none("group"),
        only_if=_only_if(entry),
        rules_out=entry.texts("rules_out"),
    )


def _only_if(entry: Entry) -> dict[str, tuple[str, ...]]:
    table = entry.by_id("only_if", (list,), "a list of texts")
    inner = Entry(table, (*entry.path, "only_if"), entry.mistakes)
    return {column: inner.texts(column, least=1) for column in table}


def _levels(entry: Entry) -> dict[str, int]:
    levels = entry.by_id("levels", (int,), "a level of 1, 2 or 3")
    if not entry.raw.get("levels"):
        entry.wrong("levels", "is missing; name at least one defect it brings")
    for defect_id, level in levels.items():
        if level not in (1, 2, 3):
            reason = f"is {level}; a level is 1 sometimes, 2 often or 3 usual"
            entry.mistakes.add((*entry.path, "levels", defect_id), reason)
    return levels


def _shares(entry: Entry) -> dict[str, float]:
    shares = entry.by_id("shares", (int, float), "a share")
    for defect_id, share in shares.items():
        if not 0 < share <= 1:
            reason = f"is {share:g}; it is a share of cases, above 0 up to 1"
            entry.mistakes.add((*entry.path, "shares", defect_id), reason)
    return {defect_id: float(share) for defect_id, share in shares.items()}


def _evidence_list(entry: Entry) -> tuple[Evidence, ...]:
    found: list[Any] = entry.value("evidence", (list,), "a list of tables", [], False)
    pieces = []
    for position, raw in enumerate(found):
        piece = Entry(
            raw if isinstance(raw, dict) else {},
            (*entry.path, "evidence", position),
            entry.mistakes,
        )
        pieces.append(_evidence(piece))
        piece.finish()
    return tuple(pieces)


def _evidence(entry: Entry) -> Evidence:
    harm = cast(Harm, entry.choice("harm", get_args(Harm)))
    none, full = entry.number_or_none("none"), entry.number_or_none("full")
    values = entry.texts("values")
    if harm == "is":
        if not values:
            entry.wrong("values", 'is missing; harm = "is" needs the values that harm')
    else:
        _check_thresholds(entry, harm, none, full)
    return Evidence(
        field=entry.text("field"),
        harm=harm,
        says=_sentence(entry, "says"),
        denies=_sentence(entry, "denies"),
        source=entry.text("source"),
        none=none,
        full=full,
        values=values,
        alternative=entry.text_or_none("alternative") or "",
        root=entry.text_or_none("root") or "",
        plain_field=entry.text_or_none("plain_field") or "",
        root_says=entry.text_or_none("root_says") or "",
    )


def _check_thresholds(entry: Entry, harm: str, none: float | None, full: float | None) -> None:
    if none is None or full is None:
        entry.wrong("none", f'harm = "{harm}" needs both none and full')
    elif none == full:
        entry.wrong("full", f"is {full:g}, the same as none; they must differ")
    elif (full < none) != (harm == "below"):
        order = "lower than" if harm == "below" else "higher than"
        reason = f'is {full:g}; with harm = "{harm}" it must be {order} none ({none:g})'
        entry.wrong("full", reason)


def _sentence(entry: Entry, key: str) -> str:
    text = entry.text(key)
    for slot in SLOT.findall(text):
        if slot not in SLOTS:
            entry.wrong(key, f"has no slot {{{slot}}}.{did_you_mean(slot, SLOTS)}")
    return text


def limit(name: str, entry: Entry) -> Limit:
    edges = {key: entry.number_or_none(key) for key in ("low", "high", "flag_low", "flag_high")}
    known = [(key, edges[key]) for key in ("flag_low", "low", "high", "flag_high")]
    told = [(key, value) for key, value in known if value is not None]
    if not told:
        entry.wrong("low", "is missing; give at least one of low, high, flag_low, flag_high")
    for (left, less), (right, more) in pairwise(told):
        if less > more:
            reason = f"{left} ({less:g}) is over {right} ({more:g})"
            entry.mistakes.add((*entry.path, right), reason, (*entry.path, left))
    return Limit(
        id=name,
        title=entry.text("title"),
        unit=entry.text("unit"),
        source=entry.text("source"),
        field=entry.text_or_none("field"),
        **edges,
    )


def chain(_name: str, entry: Entry) -> Chain:
    level = entry.value("level", (int,), "a level of 1, 2 or 3", 1, True)
    if level not in (1, 2, 3):
        entry.wrong("level", f"is {level}; a level is 1 sometimes, 2 often or 3 usual")
    return Chain(
        first=entry.text("first"),
        then=entry.text("then"),
        level=level,
        because=entry.text("because"),
        source=entry.text("source"),
    )


def constant(name: str, entry: Entry) -> Constant:
    value, low, high = (
        entry.number("value"),
        entry.number_or_none("low"),
        entry.number_or_none("high"),
    )
    if (low is not None and value < low) or (high is not None and value > high):
        entry.wrong("value", f"is {value:g}, outside its own low and high")
    return Constant(
        id=name,
        title=entry.text("title"),
        unit=entry.text("unit"),
        value=value,
        basis=entry.text("basis"),
        source=entry.text("source"),
        sd=entry.number_or_none("sd"),
        low=low,
        high=high,
    )


def plan_figure(name: str, entry: Entry) -> PlanFigure:
    low, usual, high = (entry.number(key) for key in ("low", "usual", "high"))
    if low <= 0 or not low <= usual <= high:
        entry.wrong("usual", "must lie between low and high, all above 0")
    return PlanFigure(
        id=name,
        title=entry.text("title"),
        unit=entry.text("unit"),
        low=low,
        usual=usual,
        high=high,
        slowed_by=cast(SlowedBy, entry.choice("slowed_by", get_args(SlowedBy))),
        test=entry.text("test"),
        basis=entry.text("basis"),
        source=entry.text("source"),
        field=entry.text_or_none("field"),
    )


def observation(name: str, entry: Entry) -> Observation:
    seen = Observation(
        id=name,
        title=entry.text("title"),
        source=entry.text("source"),
        field=entry.text_or_none("field"),
        below=entry.number_or_none("below"),
        above=entry.number_or_none("above"),
        values=entry.texts("values"),
    )
    tests = [seen.below is not None, seen.above is not None, bool(seen.values)]
    if (seen.field is None) != (sum(tests) == 0) or sum(tests) > 1:
        entry.wrong("field", "goes with exactly one of below, above and values")
    return seen


def rule(name: str, entry: Entry) -> Rule:
    return Rule(
        id=name,
        seen=entry.texts("seen", least=1),
        absent=entry.texts("absent"),
        points_to=entry.texts("points_to", least=1),
        because=entry.text("because"),
        source=entry.text("source"),
    )


COUNTS = ("least_each", "least_all", "least_faults", "least_seasons")


def question(name: str, entry: Entry) -> Question:
    texts: dict[str, Any] = {
        key: entry.text_or_none(key) or ""
        for key in ("field", "way_a", "way_b", "refused", "otherwise")
    }
    counts: dict[str, Any] = {key: int(entry.number_or_none(key) or 0) for key in COUNTS}
    if sum(bool(texts[key]) for key in ("field", "refused", "otherwise")) != 1:
        entry.wrong("field", "wants a field with two ways, or refused, or otherwise: one of them")
    if texts["field"] and not (texts["way_a"] and texts["way_b"]):
        entry.wrong("way_a", "is missing; a field needs way_a and way_b")
    return Question(
        id=name,
        number=int(entry.number("number")),
        title=entry.text("title"),
        claim_a=entry.text("claim_a"),
        claim_b=entry.text("claim_b"),
        least=entry.text("least"),
        source=entry.text("source"),
        defects=entry.texts("defects", least=1 if texts["field"] else 0),
        where=entry.by_id("where", (str,), "a way in words"),
        cautions=entry.texts("cautions"),
        **texts,
        **counts,
    )


def guard(name: str, entry: Entry) -> Guard:
    found = Guard(
        id=name,
        reason=entry.text("reason"),
        cautions=entry.texts("cautions"),
        source=entry.text("source"),
        field=entry.text_or_none("field") or "",
        limit=entry.text_or_none("limit") or "",
        words=entry.texts("words"),
        trials_only=bool(entry.value("trials_only", (bool,), "true or false", False, False)),
    )
    if bool(found.field) != bool(found.limit) or not (found.field or found.words):
        entry.wrong("field", "goes with limit; without both, words are needed")
    return found


def settling(entry: Entry) -> Settling:
    matters = entry.number("matters")
    if not 0 < matters < 1:
        entry.wrong("matters", f"is {matters:g}; it is a difference in share, between 0 and 1")
    return Settling(
        least_each=int(entry.number("least_each")),
        matters=matters,
        stop=entry.texts("stop", least=1),
        source=entry.text("source"),
    )


def trust(entry: Entry) -> Trust:
    chances = {key: entry.number(key) for key in Trust.__dataclass_fields__}
    for key, chance in chances.items():
        if chance <= 0 or chance >= 1:
            entry.wrong(key, f"is {chance:g}; it is a chance, between 0 and 1")
    return Trust(**chances)


def by_level(entry: Entry) -> tuple[float, ...]:
    """Four chances, for the levels 0 to 3."""
    chances = entry.numbers("by_level", 4)
    if any(not 0 <= chance <= 1 for chance in chances):
        entry.wrong("by_level", "must be chances from 0 to 1")
    return chances
