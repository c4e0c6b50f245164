"""`laylog why`: ranked causes of a part's faults."""

from __future__ import annotations

from collections.abc import Iterable

import click

from analytics.cli import text
from analytics.cli.options import open_shop, print_json_line, shop_options
from analytics.diagnosis.answer import Diagnosis, RankedCause

SHOWN_CAUSES = 5


@click.command("why", epilog="Example: laylog why A-0412 --seen acetone-swab=soft")
@click.argument("part", required=False)
@click.option("--failed", is_flag=True, help="Every part with a fault, latest first.")
@click.option("--seen", multiple=True, metavar="CHECK=RESULT", help="A bench result; repeatable.")
@click.option("--defect", "asked", multiple=True, help="A fault seen but not in the log.")
@shop_options
def command(
    part: str | None,
    failed: bool,
    seen: tuple[str, ...],
    asked: tuple[str, ...],
    store: str | None,
    knowledge_file: str | None,
    as_json: bool,
) -> None:
    """Rank the likely causes of each fault on PART, and say what to check next."""
    if failed == (part is not None):
        raise click.UsageError("Say one part number, or --failed for all parts with a fault.")
    with open_shop(store, knowledge_file) as shop:
        if failed:
            show((d for p in shop.failed_parts() for d in shop.why(p.part_id)), as_json)
        else:
            show(shop.why(part or "", seen=_pairs(seen), asked=asked), as_json)


def _pairs(seen: tuple[str, ...]) -> dict[str, str]:
    pairs = [entry.partition("=") for entry in seen]
    if any(not equals for _, equals, _ in pairs):
        raise click.UsageError("--seen wants CHECK=RESULT, for example acetone-swab=soft")
    return {check.strip(): result.strip() for check, _, result in pairs}


def show(answers: Iterable[Diagnosis], as_json: bool) -> None:
    """Print the answers as text or as JSON lines."""
    for answer in answers:
        if as_json:
            print_json_line(answer.to_json())
        else:
            _show_one(answer)


def _show_one(answer: Diagnosis) -> None:
    text.title(f"{answer.part}: {answer.defect_title.lower()}")
    text.para(answer.summary)
    for cause in answer.causes[:SHOWN_CAUSES]:
        _show_cause(cause)
    click.echo()
    rest = 1 - sum(cause.probability for cause in answer.causes[:SHOWN_CAUSES])
    text.para(
        f"Something else, or not recorded: {text.percent(max(rest, 0))}. "
        f"Jobs in this log that taught the answer: {answer.jobs_used}."
    )
    if answer.next_checks:
        click.echo("\nCheck next, most telling per minute first:")
        for check in answer.next_checks:
            results = ", ".join(name for name, _ in check.results)
            text.item(f"{check.title} ({check.minutes:g} min): {check.how}")
            text.labelled("then:", f"--seen {check.check}=RESULT, one of {results}", 6)
    click.echo("\nThis part:")
    text.para(answer.this_part, 2)
    if answer.like_jobs:
        click.echo("\nGood parts made most alike, and what differed:")
        for job in answer.like_jobs:
            same = "same mould" if job.same_mould else "another mould"
            differs = "; ".join(f"{f} {this} (there {good})" for f, this, good in job.differs)
            text.item(f"{job.part} of {job.date} ({same}): {differs or 'nothing recorded differs'}")
    text.items(answer.warnings, "!")
    cautions = dict.fromkeys([*answer.cautions, *(c for k in answer.causes[:2] for c in k.cautions)])
    if cautions:
        click.echo("\nTake care:")
        text.items(cautions, "!")


def _show_cause(cause: RankedCause) -> None:
    click.echo()
    mark = "  (confirmed)" if cause.confirmed else ""
    click.secho(
        f"  {text.percent(cause.probability):>9}  {text.bar(cause.probability)}  "
        f"{cause.title}{mark}",
        bold=True,
    )
    text.para(f"{cause.what} Between {text.percent(cause.low)} and {text.percent(cause.high)}.", 4)
    for clue in cause.clues_for[:4]:
        text.labelled("for:", f"{clue.text} [{clue.origin}]")
    for clue in cause.clues_against[:3]:
        text.labelled("against:", f"{clue.text} [{clue.origin}]")
    for unknown in cause.unknown[:3]:
        text.labelled("unknown:", unknown)
    text.labelled("check:", cause.check)
    text.labelled("mend:", cause.mend)
    text.labelled("prevent:", cause.prevent)
