"""`laylog cup`: log a cup test, and hear whether its lot has drifted."""

from __future__ import annotations

import click

from analytics.cli import text
from analytics.cli.options import Figure, open_shop, print_json, shop_options

HEADINGS = {
    "stop": "Stop and check",
    "drifted": "This lot is not like the others",
    "as expected": "As expected",
    "not enough to tell": "Logged; not enough to tell about this lot",
}


@click.command(
    "cup",
    epilog="Example: laylog cup --lot G-12 --temperature 19 --dose 2% --gel 14",
)
@click.option("--material", default="gelcoat", show_default=True, help="gelcoat or resin.")
@click.option("--lot", help="Its lot; the last mix's if left out.")
@click.option(
    "--temperature", type=Figure("temperature", "°C"), metavar="C",
    help="Mean of resin and cup, °C; the last mix's if left out.",
)  # fmt: skip
@click.option(
    "--dose", type=Figure("share", "%"), metavar="PCT",
    help="Catalyst in the cup, mass %; the last mix's if left out.",
)  # fmt: skip
@click.option("--gel", type=Figure("time", "min"), required=True, metavar="MIN", help="Gel time.")
@click.option(
    "--mass", "mass_kg", type=Figure("mass", "kg"), default=0.1, show_default=True, metavar="KG",
    help="What was in the cup.",
)  # fmt: skip
@shop_options
def command(
    material: str,
    lot: str | None,
    temperature: float | None,
    dose: float | None,
    gel: float,
    mass_kg: float,
    store: str | None,
    knowledge_file: str | None,
    as_json: bool,
) -> None:
    """Keep a cup test as a record, and say whether its lot has drifted."""
    from analytics.catalyst.cup import begun

    with open_shop(store, knowledge_file) as shop:
        cup, taken = begun(
            material, gel, lot=lot, temperature_c=temperature, catalyst_pct=dose,
            mass_kg=mass_kg, last=shop.last_mix(material),
        )  # fmt: skip
        answer = shop.cup_test(cup)
    if as_json:
        print_json({**answer.to_json(), "taken_from_last_mix": list(taken)})
        return
    text.title(HEADINGS[answer.verdict])
    for line in answer.text:
        text.para(line, 2)
    if taken:
        text.para(f"Taken as: {'; '.join(taken)}.", 2)
    text.para(f"Kept as mix {answer.kept}. Logged gel times before it: {answer.jobs_used}.", 2)
    text.echo("\nAlways:")
    text.items(answer.cautions, "!")
