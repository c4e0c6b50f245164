"""`laylog confirm`: what a fault turned out to be."""

from __future__ import annotations

import click

from analytics.cli.options import open_shop, print_json, shop_options
from analytics.errors import QuestionError


@click.command("confirm", epilog="Example: laylog confirm A-0412 release-worn-out")
@click.argument("part")
@click.argument("cause", required=False)
@click.option("--defect", help="Which fault of the part, where it has several.")
@click.option("--withdraw", is_flag=True, help="Take the confirmed cause back.")
@shop_options
def command(
    part: str,
    cause: str | None,
    defect: str | None,
    withdraw: bool,
    store: str | None,
    knowledge_file: str | None,
    as_json: bool,
) -> None:
    """Write down that PART failed because of CAUSE, or take that back with --withdraw."""
    if withdraw == (cause is not None):
        raise click.UsageError("Name the cause that was found, or say --withdraw.")
    with open_shop(store, knowledge_file) as shop:
        answers = shop.why(part, asked=[defect] if defect else [])
        part, faults = answers[0].part, [answer.defect for answer in answers]
        if defect is None and len(faults) > 1:
            raise QuestionError(f"{part} has several faults; say --defect {' or '.join(faults)}.")
        about = defect or faults[0]
        if withdraw and not shop.withdraw(part, about):
            raise QuestionError(f"no cause is confirmed for {about} on {part}.")
        if cause is not None:
            shop.confirm(part, about, cause)
    if as_json:
        print_json({"part": part, "defect": about, "cause": cause})
    elif cause is None:
        click.echo(f"{part}, {about}: the confirmed cause is taken back.")
    else:
        click.echo(f"{part}, {about}: confirmed, {cause}.")
