"""How a reading report looks in the terminal, for `check` and `import` alike."""

from __future__ import annotations

from collections import Counter

import click

from analytics.cli import text
from analytics.records.problems import FileReport, Problem, SheetReport
from analytics.shop import ImportAnswer

SHOWN_PROBLEMS = 40


def show_reading(answer: ImportAnswer) -> None:
    """Print what was read from each file, the rows that are no records, and every problem."""
    for report in answer.files:
        text.title(report.file)
        for sheet in report.sheets:
            _show_sheet(sheet)
        _show_problems(report)


def _show_sheet(sheet: SheetReport) -> None:
    counts = {
        "parts": sheet.parts,
        "mixes": sheet.batches,
        "logger readings": sheet.logger,
        "lots": sheet.lots,
        "moulds": sheet.moulds,
        "exact repeats": sheet.duplicates,
        "rows that are no records": sheet.not_records,
    }
    said = ", ".join(f"{n} {name}" for name, n in counts.items() if n)
    text.item(f"{sheet.sheet}: {sheet.rows} rows = {said or 'nothing'}")
    if sheet.mixes_in_part_rows:
        text.item(f"{sheet.mixes_in_part_rows} mixes written on the part rows", indent=4)
    kinds = Counter(row.kind for row in sheet.listed)
    if kinds:
        said = ", ".join(f"{kind} {n}" for kind, n in kinds.items())
        text.item(f"no records: {said}", indent=4)


def _show_problems(report: FileReport) -> None:
    if not report.problems:
        text.item("nothing to look at", "=")
        return
    click.echo(f"\n  {len(report.problems)} to look at:")
    for problem in report.problems[:SHOWN_PROBLEMS]:
        text.item(_sentence(problem), "!")
    more = len(report.problems) - SHOWN_PROBLEMS
    if more > 0:
        text.item(f"and {more} more; --json lists them all", "!")


def _sentence(problem: Problem) -> str:
    where = [problem.sheet] if problem.sheet else []
    if problem.row is not None:
        where.append(f"row {problem.row}")
    if problem.column:
        where.append(f'"{problem.column}"')
    found = f' "{problem.found}"' if problem.found else ""
    return f"{', '.join(where)}:{found} – expected {problem.expected}. {problem.action}"
