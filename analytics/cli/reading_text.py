"""How a reading report looks in the terminal, for `check` and `import` alike."""

from __future__ import annotations

import click

from analytics.cli import text
from analytics.records.problems import FileReport, Problem, SheetReport
from analytics.shop import ImportAnswer

SHOWN_PROBLEMS = 40
SHOWN_NOTES = 5


def show_reading(answer: ImportAnswer) -> None:
    """Print what was read from each file, the rows that are no records, and every problem."""
    with text.as_typed():
        for report in answer.files:
            text.title(report.file)
            for sheet in report.sheets:
                _show_sheet(sheet)
            _show_problems(report)


def show_kept(answer: ImportAnswer) -> None:
    """Print what the store took of an import."""
    assert answer.saved is not None  # an import always saves
    total = answer.saved.total
    text.title("Kept")
    if answer.could_not:
        text.para("Nothing: no record was found in what you named. The store is as it was.")
        return
    corrected = " (the old values are kept in the history)" if total.changed else ""
    text.para(
        f"{text.count(total.new, 'new record')}, {total.changed:,} filled in or corrected"
        f"{corrected}, {total.unchanged:,} known already."
    )


def _show_sheet(sheet: SheetReport) -> None:
    counts = {
        "part": sheet.parts,
        "mix": sheet.batches,
        "logger reading": sheet.logger,
        "lot": sheet.lots,
        "mould": sheet.moulds,
        "exact repeat": sheet.duplicates,
    }
    said = [text.count(n, name) for name, n in counts.items() if n]
    if sheet.not_records:
        kinds = ", ".join(dict.fromkeys(row.kind for row in sheet.listed))
        said.append(f"{text.count(sheet.not_records, 'other row')} ({kinds})")
    text.item(f"{sheet.sheet}: {text.count(sheet.rows, 'row')} = {', '.join(said) or 'nothing'}")
    if sheet.mixes_in_part_rows:
        mixes = text.count(sheet.mixes_in_part_rows, "mix")
        text.item(f"{mixes} written on the part rows", indent=4)
    notes = [row for row in sheet.listed if row.kind == "note"]
    for note in notes[:SHOWN_NOTES]:
        text.item(f'row {note.row} is a note, not a record: "{note.text}"', indent=4)
    if len(notes) > SHOWN_NOTES:
        text.item(f"and {len(notes) - SHOWN_NOTES} more; --json lists them all", indent=4)


def _show_problems(report: FileReport) -> None:
    if not report.problems:
        text.item("nothing to look at", "=")
        return
    click.echo(f"\n  {len(report.problems)} to look at:")
    for problem in report.problems[:SHOWN_PROBLEMS]:
        text.item(sentence(problem), "!")
    more = len(report.problems) - SHOWN_PROBLEMS
    if more > 0:
        text.item(f"and {more} more; --json lists them all", "!")


def sentence(problem: Problem) -> str:
    """A problem in one line: where, as typed, what was expected, what happens now."""
    action = text.upper_first(problem.action)
    if problem.kind == "file":
        return f"{problem.found}. {action}"
    where = [problem.sheet] if problem.sheet else []
    if problem.row is not None:
        where.append(f"row {problem.row}")
    if problem.column:
        where.append(f'"{problem.column}"')
    found = problem.found if '"' in problem.found else f'"{problem.found}"'
    return f"{', '.join(where)}: {found} – expected {problem.expected}. {action}"
