"""`laylog why`: ranked causes of a part's faults."""

from __future__ import annotations

from collections.abc import Iterable

import click

from analytics.cli import text
from analytics.cli.options import open_shop, print_json_line, shop_options
from analytics.diagnosis.answer import WHERE, Diagnosis, RankedCause

IN_FULL = 3
IN_SHORT = 4


@click.command("why", epilog="Example: laylog why A-0412 --seen acetone-swab=soft")
@click.argument("part", required=False)
@click.option("--failed", is_flag=True, help="Every part with a fault, latest first.")
@click.option("--seen", multiple=True, metavar="CHECK=RESULT", help="A bench result; repeatable.")
@click.option("--place", help="Where on the part it is: edges, flats, thick-places, all-over ...")
@click.option("--defect", "asked", multiple=True, help="A fault seen but not in the log.")
@shop_options
def command(
    part: str | None,
    failed: bool,
    seen: tuple[str, ...],
    place: str | None,
    asked: tuple[str, ...],
    store: str | None,
    knowledge_file: str | None,
    as_json: bool,
) -> None:
    """Rank the likely causes of each fault on PART, and say what to check next."""
    if failed == (part is not None):
        raise click.UsageError("Say one part number, or --failed for all parts with a fault.")
    if failed and (seen or place or asked):
        raise click.UsageError(
            "--seen, --place and --defect go with one part number, not with --failed."
        )
    with open_shop(store, knowledge_file, make=False) as shop:
        if failed:
            answers = (d for p in shop.failed_parts() for d in shop.why(p.part_id))
            _show_failed(answers, as_json)
        else:
            found = {**_pairs(seen), **({WHERE: place} if place else {})}
            show(shop.why(part or "", seen=found, asked=asked), as_json)


def _pairs(seen: tuple[str, ...]) -> dict[str, str]:
    pairs = [entry.partition("=") for entry in seen]
    wrong = [check for check, equals, _ in pairs if not equals]
    if wrong:
        raise click.UsageError(
            f'--seen wants CHECK=RESULT, for example acetone-swab=soft; found "{wrong[0]}".'
        )
    return {check.strip(): result.strip() for check, _, result in pairs}


def _show_failed(answers: Iterable[Diagnosis], as_json: bool) -> None:
    """Each fault in one line, as soon as it is worked out; as JSON, one answer per line."""
    if as_json:
        show(answers, as_json=True)
        return
    found = 0
    for answer in answers:
        found += 1
        first = answer.causes[0] if answer.causes else None
        likely = f"{text.percent(first.probability):>10}  {first.title}" if first else ""
        text.echo(f"{answer.part:<12}  {answer.defect:<16}{likely}")
    if found:
        text.para(f"{text.count(found, 'fault')}, each with its likeliest cause.")
        text.para("The whole answer for one: laylog why PART")
    else:
        text.para("No part in the log has a fault that laylog knows.")


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
    text.items(answer.readings)
    for cause in answer.causes[:IN_FULL]:
        _show_cause(cause)
    shown = answer.causes[: IN_FULL + IN_SHORT]
    text.echo()
    for cause in shown[IN_FULL:]:
        text.echo(_headline(cause))
    rest = 1 - sum(cause.probability for cause in shown)
    text.echo(f"  {text.percent(max(rest, 0)):>9}  something else, or not written down")
    text.echo()
    text.para(f"Rests on the trade and on {text.count(answer.jobs_used, 'part')} of this log.")
    _show_checks(answer)
    text.echo("\nThis part:")
    text.para(answer.this_part, 2)
    _show_alike(answer)
    _show_warnings(answer)


def _show_checks(answer: Diagnosis) -> None:
    if answer.next_checks:
        text.echo("\nCheck next, most telling per minute first:")
    for check in answer.next_checks:
        results = ", ".join(name for name, _ in check.results)
        text.item(f"{check.title} ({check.minutes:g} min): {check.how}")
        text.labelled("then add:", f"--seen {check.check}=RESULT, one of {results}", 6)
    if answer.causes:
        causes = ", ".join(cause.cause for cause in answer.causes[: IN_FULL + IN_SHORT])
        text.echo()
        text.para(f"Once you know: laylog confirm {answer.part} CAUSE, one of {causes}")


def _show_alike(answer: Diagnosis) -> None:
    if answer.like_jobs:
        text.echo("\nGood parts made most alike, and what differed:")
    for job in answer.like_jobs:
        same = "same mould" if job.same_mould else "another mould"
        made = f" of {job.date}" if job.date else ""
        differs = "; ".join(f"{f}: {this} (there {good})" for f, this, good in job.differs)
        text.item(f"{job.part}{made} ({same}): {differs or 'nothing written down differs'}")


def _show_warnings(answer: Diagnosis) -> None:
    if answer.warnings:
        text.echo("\nKnow this:")
        text.items(answer.warnings, "!")
    of_checks = (c for check in answer.next_checks for c in check.cautions)
    of_causes = (c for cause in answer.causes[:IN_FULL] for c in cause.cautions)
    cautions = dict.fromkeys([*answer.cautions, *of_checks, *of_causes])
    if cautions:
        text.echo("\nTake care:")
        text.items(cautions, "!")


def _headline(cause: RankedCause) -> str:
    mark = "  (confirmed)" if cause.confirmed else ""
    share = text.percent(cause.probability)
    return f"  {share:>9}  {text.bar(cause.probability)}  {cause.title}{mark}"


def _show_cause(cause: RankedCause) -> None:
    text.echo()
    text.echo(_headline(cause), bold=True)
    low, high = text.percent(cause.low), text.percent(cause.high)
    sure = "" if cause.confirmed else f" Between {low} and {high}."
    text.para(f"{cause.what}{sure}", 4)
    text.labelled("start:", cause.start)
    for clue in cause.clues_for[:4]:
        text.labelled("for:", f"{clue.text} [{clue.origin}]")
    for clue in cause.clues_against[:3]:
        text.labelled("against:", f"{clue.text} [{clue.origin}]")
    for unknown in cause.unknown[:3]:
        text.labelled("not written down:", unknown)
    text.labelled("check:", cause.check)
    text.labelled("mend:", cause.mend)
    text.labelled("prevent:", cause.prevent)
