"""`laylog catalyst`: how much catalyst, and what gel time to expect."""

from __future__ import annotations

import click

from analytics.catalyst.answer import CatalystAdvice
from analytics.cli import text
from analytics.cli.options import open_shop, print_json, shop_options
from analytics.errors import QuestionError

MATERIAL_NAMES = {"gelcoat": "Gel coat", "resin": "Laminating resin"}


@click.command(
    "catalyst",
    epilog="Example: laylog catalyst --material gelcoat --temperature 18 --gel 12-18 --pot 1.5",
)
@click.option("--material", default="gelcoat", show_default=True, help="gelcoat or resin.")
@click.option(
    "--temperature", metavar="C", help='Resin and mould, in °C, or "logged" for the last reading.'
)
@click.option("--gel", "gel", metavar="FROM-TO", help="Gel time wanted, in minutes.")
@click.option("--working", type=float, metavar="MIN", help="Working time wanted, in minutes.")
@click.option("--pot", "pot_kg", type=float, default=1.0, show_default=True, metavar="KG")
@click.option("--lot", help="Lot of the resin or gel coat.")
@click.option("--sheet-range", metavar="LOW-HIGH", help="Dose range of the data sheet, mass %.")
@click.option("--sheet", "reference", help="Which data sheet that range is from.")
@click.option("--density", "density_g_ml", type=float, help="Catalyst density from its SDS, g/ml.")
@click.option("--initiator", default="MEKP", show_default=True)
@shop_options
def command(
    material: str,
    temperature: str | None,
    gel: str | None,
    working: float | None,
    pot_kg: float,
    lot: str | None,
    sheet_range: str | None,
    reference: str | None,
    density_g_ml: float | None,
    initiator: str,
    store: str | None,
    knowledge_file: str | None,
    as_json: bool,
) -> None:
    """Say how much catalyst for this pot, inside the data sheet's range, and what to expect."""
    from analytics.catalyst import SheetRange

    sheet = None
    if sheet_range is not None:
        low, high = _span("--sheet-range", sheet_range)
        sheet = SheetRange(low, high, reference or "")
    with open_shop(store, knowledge_file) as shop:
        advice = shop.catalyst(
            material=material,
            temperature_c=_temperature(temperature),
            window_min=_span("--gel", gel) if gel else None,
            working_min=working,
            pot_kg=pot_kg,
            lot=lot,
            sheet_range=sheet,
            density_g_ml=density_g_ml,
            initiator=initiator,
        )
    if as_json:
        print_json(advice.to_json())
    else:
        show(advice)


def _temperature(said: str | None) -> float | None:
    if said is None or said.strip().lower() in ("logged", "now"):
        return None
    return _number("--temperature", said)


def _span(option: str, said: str) -> tuple[float, float]:
    low, dash, high = said.replace("–", "-").replace(" to ", "-").partition("-")
    if not dash:
        raise QuestionError(f'{option} wants two figures, for example 12-18; found "{said}".')
    return _number(option, low), _number(option, high)


def _number(option: str, said: str) -> float:
    try:
        return float(said.strip().removesuffix("%").removesuffix("C").replace(",", "."))
    except ValueError:
        raise QuestionError(f'{option} wants a figure; found "{said.strip()}".') from None


def show(advice: CatalystAdvice) -> None:
    """Print the advice with its cautions."""
    name = MATERIAL_NAMES[advice.material]
    text.title(f"{name} at {advice.temperature_c:.1f} °C ({advice.temperature_from})")
    lead = "Use" if advice.feasible else "No dose inside the range does it. Nearest:"
    click.secho(
        f"  {lead} {advice.catalyst_pct:.2f} % by mass = {advice.grams:.1f} g = {advice.ml:.1f} ml "
        f"in {advice.pot_kg:g} kg",
        bold=True,
    )
    text.para(
        f"Range in force {advice.limits.low:g} to {advice.limits.high:g} % "
        f"({advice.limits.source}). Density {advice.density.g_ml:g} g/ml "
        f"({advice.density.source}).",
        2,
    )
    gel = advice.gel_min
    text.para(
        f"Expected gel time {gel.median:.0f} min, 9 times in 10 between {gel.low:.0f} and "
        f"{gel.high:.0f}. Chance to gel in the wanted {advice.window.low:.0f} to "
        f"{advice.window.high:.0f} min: {text.percent(advice.chance)}.",
        2,
    )
    text.para(f"Logged gel times behind this: {advice.jobs_used}.", 2)
    for heading, lines, mark in (
        ("Do this instead:", advice.instead, "-"),
        ("It may gel and still not cure:", advice.cure_risks, "!"),
        ("Know this:", advice.warnings, "!"),
        ("Always:", advice.cautions, "!"),
    ):
        if lines:
            click.echo("\n" + heading)
            text.items(lines, mark)
