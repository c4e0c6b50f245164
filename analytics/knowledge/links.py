"""Whether the entries of the knowledge fit together: every name one uses is an entry of another."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from analytics.knowledge.entries import PLAIN_ID
from analytics.knowledge.model import Cause, Defect, Evidence, Knowledge
from analytics.knowledge.reading import KeyPath, Mistakes, Tables, did_you_mean

Columns = Mapping[str, Any]


def check_links(knowledge: Knowledge, tables: Tables, mistakes: Mistakes) -> None:
    """Notes every id that names nothing, every doubtful column and every spelling used twice."""
    _check_ids(tables, mistakes)
    _check_sources(knowledge, tables, mistakes)
    _check_cautions(knowledge, mistakes)
    for defect in knowledge.defects.values():
        _check_members(defect, knowledge, mistakes)
    for cause in knowledge.causes.values():
        _check_cause(cause, knowledge, tables["columns"], mistakes)
    _check_columns(knowledge, tables["columns"], mistakes)
    _check_rules(knowledge, mistakes)
    _check_chains(tables, knowledge, mistakes)
    _check_questions(knowledge, tables["columns"], mistakes)
    _check_spellings(knowledge, mistakes)


def _known(
    path: KeyPath, name: str, what: str, entries: Collection[str], mistakes: Mistakes
) -> bool:
    if name in entries:
        return True
    mistakes.add(path, f'unknown {what} "{name}".{did_you_mean(name, entries)}')
    return False


def _check_ids(tables: Tables, mistakes: Mistakes) -> None:
    for section, entries in tables.items():
        if section == "columns":
            continue
        for name in entries:
            if not PLAIN_ID.fullmatch(name):
                reason = "an id is lower-case words joined by hyphens, such as too-cold"
                mistakes.add((section, name), reason)


def _check_sources(knowledge: Knowledge, tables: Tables, mistakes: Mistakes) -> None:
    for section, entries in tables.items():
        for name, entry in entries.items():
            if isinstance(entry, dict) and isinstance(entry.get("source"), str):
                path = (section, name, "source")
                _known(path, entry["source"], "source", knowledge.sources, mistakes)


def _check_cautions(knowledge: Knowledge, mistakes: Mistakes) -> None:
    users = (
        ("defect", knowledge.defects),
        ("cause", knowledge.causes),
        ("check", knowledge.checks),
    )
    for section, entries in users:
        for name, entry in entries.items():
            for caution in entry.cautions:
                path = (section, name, "cautions")
                _known(path, caution, "caution", knowledge.cautions, mistakes)


def _check_chains(tables: Tables, knowledge: Knowledge, mistakes: Mistakes) -> None:
    for name, entry in tables["chain"].items():
        for key in ("first", "then"):
            if isinstance(entry.get(key), str):
                path = ("chain", name, key)
                _known(path, entry[key], "defect", knowledge.defects, mistakes)


def _check_members(defect: Defect, knowledge: Knowledge, mistakes: Mistakes) -> None:
    for member in defect.members:
        path = ("defect", defect.id, "members")
        found = _known(path, member, "defect", knowledge.defects, mistakes)
        if found and knowledge.defects[member].members:
            mistakes.add(path, f'"{member}" is itself a group')


def _check_cause(cause: Cause, knowledge: Knowledge, columns: Columns, mistakes: Mistakes) -> None:
    for key in ("levels", "shares", "stands_out"):
        for defect in getattr(cause, key):
            path = ("cause", cause.id, key, defect)
            if _known(path, defect, "defect", knowledge.defects, mistakes):
                _check_leaf(path, knowledge.defects[defect], mistakes)
                if defect not in cause.levels:
                    mistakes.add(path, "has no level for this defect; give one under levels")
    for check, result in cause.checks.items():
        path = ("cause", cause.id, "checks", check)
        if _known(path, check, "bench check", knowledge.checks, mistakes):
            results = knowledge.checks[check].results
            _known(path, result, f"result of {check}", results, mistakes)
    if cause.group is not None:
        _known(
            ("cause", cause.id, "group"), cause.group, "group column", columns["group"], mistakes
        )
    for column in cause.only_if:
        path = ("cause", cause.id, "only_if", column)
        worded = [*columns["text"], *columns["yes_no"]]
        _known(path, column, "column of words", worded, mistakes)
    for position, evidence in enumerate(cause.evidence):
        _check_evidence(cause, position, evidence, knowledge, columns, mistakes)


def _check_leaf(path: KeyPath, defect: Defect, mistakes: Mistakes) -> None:
    if defect.members:
        mistakes.add(path, f"{defect.id} is a group; name {' or '.join(defect.members)}")


def _check_evidence(
    cause: Cause, position: int, evidence: Evidence,
    knowledge: Knowledge, columns: Columns, mistakes: Mistakes,
) -> None:  # fmt: skip
    path: KeyPath = ("cause", cause.id, "evidence", position)
    _known((*path, "source"), evidence.source, "source", knowledge.sources, mistakes)
    if _known((*path, "field"), evidence.field, "column", _all(columns), mistakes):
        _check_kind((*path, "field"), evidence.field, evidence.harm == "is", columns, mistakes)
        if evidence.field in columns["yes_no"] and not set(evidence.values) <= {"yes", "no"}:
            mistakes.add((*path, "values"), f'{evidence.field} is "yes" or "no"')
    if evidence.root:
        _known((*path, "root"), evidence.root, "cause", knowledge.causes, mistakes)
        plain = evidence.plain_field
        _known((*path, "plain_field"), plain, "column", columns["number"], mistakes)


def _all(columns: Columns) -> list[str]:
    return [*columns["number"], *columns["text"], *columns["yes_no"]]


def _check_kind(
    path: KeyPath, column: str, by_values: bool, columns: Columns, mistakes: Mistakes
) -> None:
    is_number = column in columns["number"]
    if is_number and by_values:
        mistakes.add(path, f"{column} is a number: it needs thresholds, not values")
    elif not is_number and not by_values:
        mistakes.add(path, f"{column} is not a number: it needs values, not thresholds")


def _check_columns(knowledge: Knowledge, columns: Columns, mistakes: Mistakes) -> None:
    for limit in knowledge.limits.values():
        if limit.field is not None:
            _known(("limit", limit.id, "field"), limit.field, "column", columns["number"], mistakes)
    for figure in knowledge.plan.values():
        if figure.field is not None:
            path = ("plan", figure.id, "field")
            _known(path, figure.field, "column", columns["number"], mistakes)
    for seen in knowledge.observations.values():
        path = ("observation", seen.id, "field")
        if seen.field and _known(path, seen.field, "column", _all(columns), mistakes):
            _check_kind(path, seen.field, bool(seen.values), columns, mistakes)


def _check_rules(knowledge: Knowledge, mistakes: Mistakes) -> None:
    results = {f"{c.id}:{result}" for c in knowledge.checks.values() for result in c.results}
    signs = {*knowledge.defects, *knowledge.observations, *results}
    for rule in knowledge.together.values():
        for key in ("seen", "absent"):
            for sign in getattr(rule, key):
                _known(("rule", rule.id, key), sign, "sign", signs, mistakes)
        for cause in rule.points_to:
            path = ("rule", rule.id, "points_to")
            _known(path, cause, "cause", knowledge.causes, mistakes)


def _check_questions(knowledge: Knowledge, columns: Columns, mistakes: Mistakes) -> None:
    for question in knowledge.questions.values():
        path = ("question", question.id)
        for column in (question.field, *question.where):
            if column:
                _known((*path, "field"), column, "column", _all(columns), mistakes)
        for defect in question.defects:
            _known((*path, "defects"), defect, "defect", knowledge.defects, mistakes)
        for caution in question.cautions:
            _known((*path, "cautions"), caution, "caution", knowledge.cautions, mistakes)
    for guard in knowledge.guards.values():
        path = ("guard", guard.id)
        if guard.field:
            _known((*path, "field"), guard.field, "column", columns["number"], mistakes)
            _known((*path, "limit"), guard.limit, "limit", knowledge.limits, mistakes)
        for caution in guard.cautions:
            _known((*path, "cautions"), caution, "caution", knowledge.cautions, mistakes)


def spellings(defect: Defect) -> Iterable[str]:
    """Every lower-case way to write the defect: its id, its id with spaces, and its words."""
    return dict.fromkeys((defect.id, defect.id.replace("-", " "), *defect.words))


def _check_spellings(knowledge: Knowledge, mistakes: Mistakes) -> None:
    owner: dict[str, str] = {}
    for defect in knowledge.defects.values():
        for word in spellings(defect):
            first = owner.setdefault(word, defect.id)
            if first != defect.id:
                reason = f'"{word}" would be a spelling of both {first} and {defect.id}'
                paths = [("defect", name, "words") for name in (defect.id, first)]
                mistakes.add(paths[0], reason, paths[1])
