"""`laylog catalyst`: how much catalyst, and what gel time to expect."""

from __future__ import annotations

from typing import Any

import click

from analytics.catalyst.answer import CatalystAdvice
from analytics.catalyst.decisions import Decision, DosesSet
from analytics.catalyst.season import SeasonTable
from analytics.cli import text
from analytics.cli.options import Figure, Span, open_shop, print_json, shop_options
from analytics.cli.season_text import MATERIAL_NAMES, show_season

LATELY = 3


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
@click.option(
    "--sheet-gel", type=(Figure("time", "min"), Figure("temperature", "°C"), Figure("share", "%")),
    metavar="MIN C PCT", help="A gel time of its data sheet, at which temperature and dose.",
)  # fmt: skip
@click.option(
    "--dose",
    type=Figure("share", "%"),
    metavar="PCT",
    help="Look at this dose instead of the best.",
)
@click.option("--initiator", default="MEKP", show_default=True, help="The kind of catalyst.")
@click.option(
    "--for", "use", default="general", show_default=True, metavar="WORK",
    help="general, food, structural or classed; all but the first need a data sheet's range.",
)  # fmt: skip
@click.option("--season", is_flag=True, help="The dose for every month, to pin on the wall.")
@click.option("--set", "set_it", is_flag=True, help="Write down that you set this dose.")
@click.option("--set-before", is_flag=True, help="List the doses set, and what came of them.")
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
    sheet_gel: tuple[float, float, float] | None,
    dose: float | None,
    initiator: str,
    use: str,
    season: bool,
    set_it: bool,
    set_before: bool,
    store: str | None,
    knowledge_file: str | None,
    as_json: bool,
) -> None:
    """Say how much catalyst for this pot, inside the data sheet's range, and what to expect.

    With --season the same for every month of the year.
    """
    from analytics.catalyst import SheetGel, SheetRange
    from analytics.catalyst.question import check_initiator

    check_initiator(initiator)
    if season and (set_it or dose is not None or temperature is not None):
        raise click.UsageError(
            "--season works out a dose for every month: leave --temperature, --dose and --set out."
        )
    question: dict[str, Any] = {
        "material": material,
        "window_min": gel,
        "working_min": working,
        "sheet_range": SheetRange(*sheet_range, reference or "") if sheet_range else None,
        "density_g_ml": density_g_ml,
        "sheet_gel": SheetGel(*sheet_gel) if sheet_gel else None,
        "use": use,
    }
    pot: dict[str, Any] = {
        "temperature_c": temperature,
        "pot_kg": pot_kg,
        "lot": lot,
        "dose_pct": dose,
    }
    from analytics.shop.safekeeping import store_for_a_look

    where = store if set_it else store_for_a_look(store)
    with open_shop(where, knowledge_file) as shop:
        if set_before:
            _tell_set(shop.doses_set(material), as_json)
        elif season:
            _tell_season(shop.season(**question), as_json)
        else:
            advice = shop.catalyst(**question, **pot)
            kept = shop.set_dose(advice) if set_it else False
            _tell(advice, shop.doses_set(material), kept, as_json)


def _tell(advice: CatalystAdvice, before: DosesSet, kept: bool, as_json: bool) -> None:
    if as_json:
        print_json({**advice.to_json(), "set": kept})
        return
    show(advice)
    if kept:
        text.echo("\nWritten down: you set this dose.")
    if before.decisions:
        text.echo("\nSet lately:")
        text.items(map(set_words, before.decisions[:LATELY]))


def _tell_season(table: SeasonTable, as_json: bool) -> None:
    if as_json:
        print_json(table.to_json())
        return
    show_season(table)


def _tell_set(before: DosesSet, as_json: bool) -> None:
    if as_json:
        print_json(before.to_json())
        return
    text.title("Doses set, and what came of them")
    found = before.decisions
    text.items(map(set_words, found) if found else ["none written down yet: laylog catalyst --set"])
    text.echo("\nAlways:")
    text.items(before.cautions, "!")


def set_words(one: Decision) -> str:
    """One dose set and what came of it, in a line."""
    gel = one.expected
    came = "no gel time logged for it yet"
    if one.outcome is not None:
        came = f"it gelled in {one.outcome.gel_min:g} min ({one.outcome.verdict})"
    return (
        f"{one.at:%Y-%m-%d %H:%M} {MATERIAL_NAMES[one.material].lower()}"
        f"{f' lot {one.lot}' if one.lot else ''} at {one.temperature_c:.1f} °C: "
        f"{one.catalyst_pct:.2f} %, expected {gel.median:.0f} min ({gel.low:.0f} to "
        f"{gel.high:.0f}); {came}"
    )


def _lead(advice: CatalystAdvice) -> str:
    """What to make of the figure after it: outside 15 to 30 °C the first word is not a dose."""
    from analytics.catalyst.question import COLD_C, HOT_C

    if advice.feasible:
        return "Use"
    first = "Not to be had by dose alone."
    if advice.temperature_c < COLD_C:
        first = "Too cold to mix: warm it first."
    if advice.temperature_c > HOT_C:
        first = "Too hot to mix: cool it first."
    return f"{first} Nearest inside the range:"


def show(advice: CatalystAdvice) -> None:
    """Print the advice with its cautions."""
    name = MATERIAL_NAMES[advice.material]
    text.title(f"{name} at {advice.temperature_c:.1f} °C ({advice.temperature_from})")
    if advice.ask_first:
        text.para(f"{advice.ask_first} (--sheet-gel MIN C PCT)", 2)
    text.echo(
        f"  {_lead(advice)} {advice.catalyst_pct:.2f} % by mass = {advice.grams:.1f} g "
        f"= {advice.ml:.1f} ml in {advice.pot_kg:g} kg",
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
            text.echo("\n" + heading)
            text.items(lines, mark)
