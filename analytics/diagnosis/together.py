"""What the trade reads from things seen together, where a part shows them: told, not counted.

The network already weighs every finding; these rules put the reading into the trade's own words.
"""

from __future__ import annotations

import pandas as pd

from analytics.diagnosis.judging import Case
from analytics.knowledge.model import Knowledge, Observation, Rule


def readings(case: Case, knowledge: Knowledge, defect: str) -> tuple[str, ...]:
    """One sentence for each rule that holds on the part and speaks about this defect.

    A rule holds when all it wants seen was seen and nothing it wants absent was; what nobody
    wrote down is neither.
    """
    kin = {defect, *knowledge.defects[defect].members}
    if group := knowledge.defects[defect].group:
        kin.add(group)
    return tuple(
        _sentence(rule, knowledge)
        for rule in knowledge.together.values()
        if kin & set(rule.seen)
        and all(_seen(name, case, knowledge) for name in rule.seen)
        and not any(_seen(name, case, knowledge) for name in rule.absent)
    )


def _seen(name: str, case: Case, knowledge: Knowledge) -> bool:
    if name in knowledge.defects:
        wanted = {name, *knowledge.defects[name].members}
        return bool(wanted & set(case.defects))
    if name in knowledge.observations:
        return _holds(knowledge.observations[name], case.job)
    check, _, result = name.partition(":")
    return case.seen.get(check) == result


def _holds(observation: Observation, job: pd.DataFrame) -> bool:
    if observation.field is None or observation.field not in job:
        return False
    value = job[observation.field].iloc[0]
    if pd.isna(value):
        return False
    if observation.values:
        return str(value).lower() in observation.values
    over = observation.above is not None and float(value) > observation.above
    return over or (observation.below is not None and float(value) < observation.below)


def _sentence(rule: Rule, knowledge: Knowledge) -> str:
    names = [_name(name, knowledge) for name in rule.seen]
    causes = [knowledge.causes[cause].title for cause in rule.points_to]
    return f"{' and '.join(names)}: points to {' or '.join(causes)}, because {rule.because}"


def _name(name: str, knowledge: Knowledge) -> str:
    if name in knowledge.defects:
        return knowledge.defects[name].title
    if name in knowledge.observations:
        return knowledge.observations[name].title
    check, _, result = name.partition(":")
    return knowledge.checks[check].results[result]
