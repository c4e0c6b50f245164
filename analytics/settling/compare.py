"""Two ways compared on the shop's own log, like with like."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from analytics.columns import column
from analytics.errors import QuestionError
from analytics.knowledge.model import Knowledge, Question
from analytics.settling import words
from analytics.settling.answer import Comparison, LeftOut, Side
from analytics.settling.findings import Asked, SideBySide, finding, judged_together
from analytics.settling.like import Like, held_alike
from analytics.settling.refusing import Refusal, refusal, within
from analytics.settling.tangles import tangled
from analytics.settling.ways import Bools, field_called, overlap, read_way, usual_ways

NO_QUESTION = "own-question"


def own_question(
    jobs: pd.DataFrame,
    field: str,
    ways: Sequence[str],
    defects: Sequence[str],
    knowledge: Knowledge,
    where: Mapping[str, str] | None = None,
) -> Question:
    """A question put together by a person; the least data are the usual ones.

    Raises QuestionError for an unknown field, or one or more than two ways.
    """  # fmt: skip
    name = field_called(jobs, field)
    if len(ways) not in (0, 2):
        raise QuestionError(
            'name two ways, such as "1" "3+", or none to take the two commonest in the log.'
        )
    way_a, way_b = ways or usual_ways(name, jobs)
    usual = knowledge.settling
    return Question(
        id=NO_QUESTION, number=0, title=f"{words.field_title(name)}: {way_a}, or {way_b}?",
        claim_a=way_a, claim_b=way_b, least=f"{usual.least_each} of each that can be compared",
        source=usual.source, field=name, way_a=way_a, way_b=way_b, defects=tuple(defects),
        where=dict(where or {}), least_each=usual.least_each,
    )  # fmt: skip


def compare(
    jobs: pd.DataFrame,
    defects: pd.DataFrame,
    knowledge: Knowledge,
    question: Question,
    *,
    lots: pd.DataFrame | None = None,
    matters: float | None = None,
) -> Comparison:
    """What the log says of two ways, for each fault of the question.

    Parameters
    ----------
    jobs, defects : tables of `analytics.jobs.jobs_table` and `Log.defects`.
    matters : smallest difference in share worth changing a habit for [0..1].

    Raises
    ------
    QuestionError
        A way that cannot be read, two ways that overlap, or a fault nobody knows.
    """  # fmt: skip
    if question.refused or question.otherwise:
        return _not_by_the_log(question, knowledge)
    _check_defects(question.defects, knowledge)
    asked = Asked(
        question,
        read_way(question.field, question.way_a, _checked_against(question, jobs)),
        read_way(question.field, question.way_b, _checked_against(question, jobs)),
        tuple(read_way(name, said) for name, said in question.where.items()),
        matters or knowledge.settling.matters,
    )
    against = refusal(knowledge, (asked.a, asked.b), lots=lots)
    if against is not None:
        return _refused(question, against)
    if overlap(asked.a, asked.b, jobs[question.field]):
        raise QuestionError(
            f'"{question.way_a}" and "{question.way_b}" overlap: a part would count as both. '
            'Say ways that do not meet, such as "under 12" and "12 or more".'
        )
    return _compared(jobs, defects, knowledge, asked, lots)


def _checked_against(question: Question, jobs: pd.DataFrame) -> pd.DataFrame | None:
    """A person's own words must be in the log; those of a ready-made question need not be."""
    return jobs if question.id == NO_QUESTION else None


def _check_defects(defects: Sequence[str], knowledge: Knowledge) -> None:
    for defect in defects:
        if defect not in knowledge.defects:
            known = ", ".join(knowledge.defects)
            raise QuestionError(f'no fault is called "{defect}". All: {known}.')


def _compared(
    jobs: pd.DataFrame, defects: pd.DataFrame, knowledge: Knowledge, asked: Asked,
    lots: pd.DataFrame | None,
) -> Comparison:  # fmt: skip
    question, cells = asked.question, jobs[asked.question.field]
    is_a, is_b = asked.a.holds(cells), asked.b.holds(cells)
    counted, out = _sieve(jobs, asked, is_a | is_b, knowledge, lots)
    like = held_alike(jobs, question.field, is_a, counted, question.least_each)
    out = (*out, *_never_alike(counted, like))
    findings = tuple(
        finding(defect, SideBySide(jobs, defects, is_a, counted, like), asked, knowledge)
        for defect in question.defects
    )
    findings = judged_together(findings, asked)
    strands = tangled(jobs, like, is_a, question.field, question.defects, knowledge)
    main = findings[0]
    in_a, in_b = int((like.both & is_a).sum()), int((like.both & is_b).sum())
    made = Comparison(
        question=question.id, title=question.title, field=question.field,
        field_name=words.field_title(question.field), where=words.where_words(asked.where),
        a=Side(asked.a.said, question.way_a, int((counted & is_a).sum()), in_a),
        b=Side(asked.b.said, question.way_b, int((counted & is_b).sum()), in_b),
        verdict=main.verdict, sentence="", findings=findings, held=like.held,
        compared=in_a + in_b, out=out, tangled=strands,
        to_do=(), cannot_know=words.CANNOT_KNOW, warnings=(), least=question.least,
        jobs_used=in_a + in_b, matters=asked.matters,
    )  # fmt: skip
    made = replace(
        made,
        findings=tuple(replace(f, sentence=words.finding_words(f, made)) for f in findings),
        to_do=words.to_do(made),
        warnings=words.warnings(made, int(like.code.max(initial=-1)) + 1),
    )
    return replace(made, sentence=words.sentence(made))


def _sieve(
    jobs: pd.DataFrame,
    asked: Asked,
    one_way: Bools,
    knowledge: Knowledge,
    lots: pd.DataFrame | None,
) -> tuple[Bools, tuple[LeftOut, ...]]:
    """Parts that count: a result, the field known, one of the ways; why the others do not."""
    field = asked.question.field
    name = column(field).name
    steps: list[tuple[str, Bools]] = []
    for way in asked.where:
        steps.append((words.outside(way), way.holds(jobs[way.field])))
    steps += [
        ("no result written", jobs["looked"].fillna(False).to_numpy(dtype=bool)),
        (f"{name} not written", jobs[field].notna().to_numpy(dtype=bool)),
        (f"{name} beyond its allowed range", within(field, jobs[field], knowledge, lots)),
        (f"neither {asked.a.said} nor {asked.b.said}", one_way),
    ]
    left, out = np.ones(len(jobs), dtype=bool), []
    for why, fine in steps:
        dropped = int((left & ~fine).sum())
        if dropped:
            out.append(LeftOut(why, dropped))
        left &= fine
    return left, tuple(out)


def _never_alike(counted: Bools, like: Like) -> tuple[LeftOut, ...]:
    unwritten = int((counted & (like.code < 0)).sum())
    alone = int((counted & (like.code >= 0) & ~like.both).sum())
    what = words.listed(like.held)
    found = ((f"{what} not written", unwritten), (f"only one way used with the same {what}", alone))
    return tuple(LeftOut(why, parts) for why, parts in found if parts)


def _not_by_the_log(question: Question, knowledge: Knowledge) -> Comparison:
    cautions = tuple(knowledge.cautions[name] for name in question.cautions)
    if question.refused:
        return _refused(question, Refusal(question.refused, cautions))
    return replace(
        _empty(question), verdict="elsewhere", sentence=question.otherwise, cautions=cautions
    )


def _refused(question: Question, against: Refusal) -> Comparison:
    return replace(
        _empty(question), verdict="refused", sentence=against.reason, refused=against.reason,
        cautions=against.cautions,
    )  # fmt: skip


def _empty(question: Question) -> Comparison:
    return Comparison(
        question=question.id, title=question.title, field=question.field,
        field_name=words.field_title(question.field) if question.field else "", where="",
        a=Side(question.claim_a, question.way_a or question.claim_a, 0, 0),
        b=Side(question.claim_b, question.way_b or question.claim_b, 0, 0),
        verdict="not-enough", sentence="", findings=(), held=(), compared=0, out=(), tangled=(),
        to_do=(), cannot_know=(), warnings=(), least=question.least, jobs_used=0,
    )  # fmt: skip
