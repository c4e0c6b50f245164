"""`laylog catalyst`: how much catalyst, and what gel time to expect."""

from __future__ import annotations

from typing import Any

import click

from analytics.catalyst.answer import CatalystAdvice
from analytics.cli import text
from analytics.cli.options import Figure, Span, open_shop, print_json, shop_options

MATERIAL_NAMES = {"gelcoat": "Gel coat", "resin": "Laminating resin"}


class Temperature(Figure):
    """A temperature, or "logged" for the last one in the log."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if isinstance(value, str) and value.strip().lower() in ("logged", "now"):
            return None
        return super().convert(value, param, ctx)


@click.command(
    "catalyst",
    epilog="Example: laylog catalyst --material gelcoat --temperature 18 --gel 12-18 --pot 1.5",
)
@click.option("--material", default="gelcoat", show_default=True, help="gelcoat or resin.")
@click.option(
    "--temperature",
    type=Temperature("temperature", "°C"),
    metavar="C",
    help='Mean of resin and mould, in °C, or "logged" for the last one in the log.',
)
@click.option("--gel", type=Span("time", "min"), metavar="FROM-TO", help="Gel time wanted, min.")
@click.option(
    "--working", type=Figure("time", "min"), metavar="MIN", help="Or the working time wanted, min."
)
@click.option(
    "--pot", "pot_kg", type=Figure("mass", "kg"), default=1.0, show_default=True, metavar="KG",
    help="Resin or gel coat in the pot.",
)  # fmt: skip
@click.option("--lot", help="Lot of the resin or gel coat.")
@click.option(
    "--sheet-range",
    type=Span("share", "%"),
    metavar="LOW-HIGH",
    help="Dose range of its data sheet, mass %.",
)
@click.option("--sheet", "reference", help="Which data sheet that range is from.")
@click.option(
    "--density", "density_g_ml", type=Figure("density", "g/ml"), metavar="G_ML",
    help="Density of the catalyst, from its safety data sheet.",
)  # fmt: skip
@click.option("--initiator", default="MEKP", show_default=True, help="The kind of catalyst.")
@shop_options
def command(
    material: str,
    temperature: float | None,
    gel: tuple[float, float] | None,
    working: float | None,
    pot_kg: float,
    lot: str | None,
    sheet_range: tuple[float, float] | None,
    reference: str | None,
    density_g_ml: float | None,
    initiator: str,
    store: str | None,
    knowledge_file: str | None,
    as_json: bool,
) -> None:
    """Say how much catalyst for this pot, inside the data sheet's range, and what to expect."""
    from analytics.catalyst import SheetRange

    with open_shop(store, knowledge_file) as shop:
        advice = shop.catalyst(
            material=material,
            temperature_c=temperature,
            window_min=gel,
            working_min=working,
            pot_kg=pot_kg,
            lot=lot,
            sheet_range=SheetRange(*sheet_range, reference or "") if sheet_range else None,
            density_g_ml=density_g_ml,
            initiator=initiator,
        )
    if as_json:
        print_json(advice.to_json())
    else:
        show(advice)


def show(advice: CatalystAdvice) -> None:
    """Print the advice with its cautions."""
    name = MATERIAL_NAMES[advice.material]
    text.title(f"{name} at {advice.temperature_c:.1f} °C ({advice.temperature_from})")
    lead = "Use" if advice.feasible else "Not to be had by dose alone. Nearest inside the range:"
    click.secho(
        f"  {lead} {advice.catalyst_pct:.2f} % by mass = {advice.grams:.1f} g = {advice.ml:.1f} ml "
        f"in {advice.pot_kg:g} kg",
        bold=True,
    )
    gel, window = advice.gel_min, advice.window
    text.para(
        f"Expected gel time {gel.median:.0f} min, 9 times in 10 between {gel.low:.0f} and "
        f"{gel.high:.0f}. Chance to gel in the wanted {window.low:.0f} to {window.high:.0f} min: "
        f"{text.percent(advice.chance)}. Logged gel times behind this: {advice.jobs_used}.",
        2,
    )
    for heading, lines, mark in (
        ("Do this instead:", advice.instead, "-"),
        ("It may gel and still not cure:", advice.cure_risks, "!"),
        ("Know this:", advice.warnings, "!"),
        ("Always:", advice.cautions, "!"),
    ):
        if lines:
            click.echo("\n" + heading)
            text.items(lines, mark)
