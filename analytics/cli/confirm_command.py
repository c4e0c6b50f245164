"""`laylog confirm`: what a fault turned out to be."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from analytics.cli.options import open_shop, print_json, shop_options
from analytics.errors import QuestionError

if TYPE_CHECKING:
    from analytics.shop import Shop


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
    if withdraw and cause is not None:
        raise click.UsageError("--withdraw takes back what is confirmed; leave the cause out.")
    if not withdraw and cause is None:
        raise click.UsageError("Name the cause that was found, or say --withdraw.")
    with open_shop(store, knowledge_file, make=False) as shop:
        answers = shop.why(part, asked=[defect] if defect else [])
        part, faults = answers[0].part, [answer.defect for answer in answers]
        if defect is None and len(faults) > 1:
            raise QuestionError(f"{part} has several faults; say --defect {' or '.join(faults)}.")
        about = defect or faults[0]
        if withdraw and not shop.withdraw(part, about):
            raise QuestionError(f"no cause is confirmed for {about} on {part}.")
        if cause is not None:
            ranked = [
                c.cause for answer in answers if answer.defect == about for c in answer.causes
            ]
            _refuse_unlisted(shop, about, cause, ranked)
            shop.confirm(part, about, cause)
    if as_json:
        print_json({"part": part, "defect": about, "cause": cause})
    elif cause is None:
        click.echo(f"{part}, {about}: the confirmed cause is taken back.")
    else:
        click.echo(f"{part}, {about}: confirmed, {cause}.")


def _refuse_unlisted(shop: Shop, defect: str, cause: str, ranked: Sequence[str]) -> None:
    """Raise QuestionError for a cause that neither the trade nor the part's ranking lists."""
    listed = list(dict.fromkeys([*ranked, *shop.listed_causes(defect)]))
    if cause in shop.knowledge.causes and cause not in listed:
        raise QuestionError(
            f"{cause} is not listed as a cause of {defect}. Listed: {', '.join(listed)}. "
            "A cause of your own, or this one for this fault, goes in a knowledge file: "
            "--knowledge FILE."
        )
