"""What must hold whatever the log: what changes nothing, and what may only raise or lower."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from analytics.diagnosis.diagnose import diagnose
from analytics.diagnosis.model import fit_shop
from analytics.jobs import jobs_table
from analytics.knowledge.loading import defect_words, load_knowledge
from analytics.knowledge.model import Cause, Evidence
from analytics.records.fields import dictionary
from analytics.records.log import Log
from analytics.records.reading import read_files
from tests.diagnosis.shops import ASKED, a_shop, asked_job, chance, faults, ordinary_jobs

SLOW = settings(
    max_examples=6, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck)
)
SHOP = ordinary_jobs(30)
THEIRS = [f for part in ("P0005", "P0017") for f in faults(part, "sticking")]
LEAST = 1e-9


def supported_by_one_value() -> list[tuple[Cause, Evidence]]:
    """Causes with one piece of evidence, a number of the part's own, and that evidence.

    The number speaks of no other cause of the defect they bring most.
    """
    causes = load_knowledge().causes.values()
    own = {field.id for field in dictionary().of("part")}
    found = []
    for cause in causes:
        rivals = [c for c in causes if c is not cause and most_brought(cause) in c.levels]
        spoken = {evidence.field for rival in rivals for evidence in rival.evidence}
        numbers = [e for e in cause.evidence if e.harm != "is" and e.field in own - spoken]
        if len(numbers) == len(cause.evidence) == 1:
            found.append((cause, numbers[0]))
    return found


def most_brought(cause: Cause) -> str:
    """The defect a cause brings most often."""
    return max(cause.levels, key=lambda name: cause.levels[name])


SINGLES = supported_by_one_value()


def told(cause: Cause, **given: Any) -> float:
    """The chance of a cause for the defect it brings most, on a part with this recorded."""
    defect = most_brought(cause)
    job = asked_job(**given)
    jobs = [{**old, **dict.fromkeys(given)} for old in SHOP]
    model, table, log = a_shop([*jobs, job], [*THEIRS, *faults(ASKED, defect)])
    return chance(diagnose(model, table, log.defects, ASKED)[0], cause.id)


def test_there_are_causes_to_try() -> None:
    assert len(SINGLES) >= 5


@SLOW
@given(st.sampled_from(SINGLES), st.floats(-0.6, 1.4), st.floats(0.02, 1.0))
def test_more_harm_never_lowers_its_cause(
    pair: tuple[Cause, Evidence], start: float, more: float
) -> None:
    cause, evidence = pair
    assert evidence.none is not None
    assert evidence.full is not None
    span = evidence.full - evidence.none
    some, worse = (max(evidence.none + s * span, 0.0) for s in (start, start + more))
    less = told(cause, **{evidence.field: some})
    assert told(cause, **{evidence.field: worse}) >= less - LEAST


@SLOW
@given(st.sampled_from(SINGLES))
def test_harm_made_unknown_never_raises_the_cause_it_alone_supports(
    pair: tuple[Cause, Evidence],
) -> None:
    cause, evidence = pair
    assert evidence.full is not None
    known = told(cause, **{evidence.field: evidence.full})
    assert told(cause, **{evidence.field: None}) <= known + LEAST


@SLOW
@given(st.randoms(use_true_random=False))
def test_order_of_rows_and_columns_changes_nothing(random: Any) -> None:
    jobs = [*SHOP, asked_job(pulls_since_renewal=9.0, wax_coats=2.0)]
    seen = [*THEIRS, *faults(ASKED, "sticking", "cracking")]
    plain = answers(jobs, seen)
    shuffled = random.sample(jobs, len(jobs))
    mixed = [dict(random.sample(list(job.items()), len(job))) for job in shuffled]
    told_again = answers(mixed, random.sample(seen[:2], 2) + seen[2:])
    assert told_again == plain


def answers(jobs: list[dict[str, Any]], seen: list[dict[str, Any]]) -> list[tuple[str, float]]:
    """Causes of the asked part's faults with their chances, to nine figures."""
    model, table, log = a_shop(jobs, seen)
    table = table[sorted(table.columns, reverse=len(jobs) % 2 == 0)]
    found = diagnose(model, table, log.defects, ASKED)
    return [(c.cause, round(c.probability, 9)) for answer in found for c in answer.causes]


SHEETS = {
    "metric": ("Gel coat mm", "Temp C", "First ply g/m2", (0.508, 0.2032), (20.0, 10.0)),
    "us": ("Gel coat mil", "Temp F", "First ply g/m2", (20.0, 8.0), (68.0, 50.0)),
}


def test_units_of_entry_change_nothing(tmp_path: Path) -> None:
    metric, other = (_from_sheet(tmp_path / f"{kind}.csv", kind) for kind in SHEETS)
    assert other == pytest.approx(metric, abs=1e-6)
    assert max(metric.values()) > 0.2


def _from_sheet(path: Path, kind: str) -> dict[str, float]:
    """Chances of the causes of one wrinkled part, from a sheet in these units."""
    film_name, air_name, ply_name, film, air = SHEETS[kind]
    rows = [f"Part,Date,Mould,{film_name},{air_name},{ply_name},Defects,Result"]
    for day in range(1, 25):
        bad = day == 24
        fault, result = ("wrinkling", "rework") if bad else ("", "good")
        rows.append(f"A{day:02d},2024-05-{day:02d},M1,{film[bad]},{air[bad]},300,{fault},{result}")
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    knowledge = load_knowledge()
    words = defect_words(knowledge)
    read = read_files([path], defect_words=words, placed={}, settings=None, today=date(2024, 6, 1))
    log = Log.of(read.tables)
    jobs = jobs_table(log, knowledge)
    assert jobs[["gelcoat_wet_mm", "air_c"]].notna().all(axis=None)
    found = diagnose(fit_shop(knowledge, jobs, log.defects), jobs, log.defects, "A24")[0]
    return {cause.cause: cause.probability for cause in found.causes}
