"""`laylog plan`: what to weigh out for a part, and when to do what."""

from __future__ import annotations

from datetime import date
from typing import Any

import click

from analytics.cli import text
from analytics.cli.options import Figure, finish, open_shop, print_json, shop_options
from analytics.planning.answer import DayPlan
from analytics.planning.words import (
    STATES,
    pots_words,
    release_words,
    span_words,
    step_words,
    temperature_words,
)

RISKS_TOLD = 5


class Day(click.ParamType):
    """A date as 2026-03-02."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if not isinstance(value, str):
            return value
        try:
            return date.fromisoformat(value.strip())
        except ValueError:
            self.fail(f'"{value}" is no date; write it like 2026-03-02.', param, ctx)


class Area(Figure):
    """An area, its unit with a figure in it or not: "1.9", "1.9 m2", "20 ft2"."""

    def read(self, said: str) -> float:
        return super().read(said.replace("²", "2").replace("ft2", "sq ft").replace("m2", ""))


class Warmth(Figure):
    """A temperature, or "logged" for the logger's usual course at this time of year."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if isinstance(value, str) and value.strip().lower() == "logged":
            return None
        return super().convert(value, param, ctx)


@click.command(
    "plan",
    epilog='Example: laylog plan --area 1.9 --plies "225+2x450" --temperature 20',
)
@click.option("--mould", help="A mould of the log; the one used last where nothing is said.")
@click.option(
    "--area", "area_m2", type=Area("area", "m2"), metavar="M2", help="Or the moulded area."
)
@click.option(
    "--plies", "schedule", metavar="SCHEDULE",
    help='Such as "225+2x450" (g/m2) or "3/4 oz + 2 x 1.5 oz"; else the usual ones.',
)  # fmt: skip
@click.option(
    "--temperature", "temperature_c", type=Warmth("temperature", "°C"), metavar="C",
    help='Mean of resin and mould, in °C, or "logged" for the usual course at this time of year.',
)  # fmt: skip
@click.option("--humidity", "humidity_pct", type=Figure("share", "%"), metavar="PCT",
              help="Humidity of the air, %.")  # fmt: skip
@click.option("--start", metavar="HH:MM", help="When work begins; 08:00 where nothing is said.")
@click.option("--until", metavar="HH:MM", help="When work ends; 17:00 where nothing is said.")
@click.option("--date", "day", type=Day(), metavar="DATE", help="Which day; today if not said.")
@click.option("--release", help="wax, wax-and-film, semi-permanent, internal or film.")
@click.option("--wax-coats", type=int, metavar="N", help="Coats of wax to put on today.")
@click.option("--pulls", type=int, metavar="N", help="Pulls since the release was renewed.")
@click.option("--gelcoat-lot", help="Lot of the gel coat; the one used last if not said.")
@click.option("--resin-lot", help="Lot of the resin; the one used last if not said.")
@click.option("--gelcoat-dose", "gelcoat_pct", type=Figure("share", "%"), metavar="PCT",
              help="Catalyst of the gel coat, mass %, in place of the advised one.")  # fmt: skip
@click.option("--resin-dose", "resin_pct", type=Figure("share", "%"), metavar="PCT",
              help="Catalyst of the resin, mass %, in place of the advised one.")  # fmt: skip
@shop_options
def command(store: str | None, knowledge_file: str | None, as_json: bool, **asked: Any) -> None:
    """Plan a part for a day: what to weigh out, which mixes, and every step by the clock."""
    from analytics.shop.safekeeping import store_for_a_look

    with open_shop(store_for_a_look(store), knowledge_file) as shop:
        plan = shop.plan(**asked)
    if as_json:
        print_json(plan.to_json())
    else:
        show(plan)
    finish(problems=any(check.state == "stop" for check in plan.checks), could_not=False)


def show(plan: DayPlan) -> None:
    """Print the plan, checks first, cautions last."""
    text.title(plan.title)
    text.para(
        f"{plan.area_m2:g} m2, plies {plan.schedule} g/m2, {temperature_words(plan)}. "
        f"Release: {release_words(plan)}. Work from {plan.start} to {plan.until}.",
        2,
    )
    for line in plan.moves:
        text.echo("\n  " + line, bold=True)
    _checks(plan)
    _amounts(plan)
    _clock(plan)
    _risks(plan)
    for heading, lines, mark in (
        ("Taken for granted, as nobody said:", plan.assumed, "-"),
        ("Know this:", plan.warnings, "!"),
        ("Always:", plan.cautions, "!"),
    ):
        if lines:
            text.echo("\n" + heading)
            text.items(lines, mark)


def _checks(plan: DayPlan) -> None:
    text.echo("\nBefore you start:")
    for check in plan.checks:
        text.item(f"{STATES[check.state]}: {check.title}: {check.text}", "[ ]")


def _amounts(plan: DayPlan) -> None:
    amounts = plan.materials
    text.echo(f"\nCut and weigh ({100 * amounts.waste_share:.0f} % waste is in it):")
    for ply in amounts.plies:
        text.item(
            f"Ply {ply.number}: {ply.cut_m2:.2f} m2 of {ply.g_m2:.0f} g/m2 {ply.kind}, "
            f"{ply.cut_kg:.2f} kg", "[ ]",
        )  # fmt: skip
    ratio = amounts.resin_to_glass
    text.item(
        f"Resin {amounts.resin_kg:.2f} kg: {ratio.usual:.2f} to 1 of glass by weight "
        f"({ratio.source}), {amounts.glass_pct:.0f} % glass", "[ ]",
    )  # fmt: skip
    text.item(f"Gel coat {amounts.gelcoat_kg:.2f} kg, {amounts.wet_film_mm:.2f} mm wet", "[ ]")
    text.para(f"Laminate {span_words(amounts.thickness_mm, 'mm')}, without gel coat.", 2)
    text.echo("\nMixes:")
    for mix in plan.mixes:
        if mix.number == 1:
            text.item(f"{pots_words(mix)}.")
        if mix.of > 1:
            text.item(f"mix {mix.number}, for {mix.covers}", "[ ]", 4)


def _clock(plan: DayPlan) -> None:
    text.echo("\nBy the clock (the hand test decides, not the clock):")
    for step in plan.timeline:
        text.item(f"{step.title}: {step_words(step, plan.date)}.", "[ ]")
        text.para(f"{step.test} ({step.rests_on})", 6)
    if plan.start_by and plan.fits:
        text.para(f"Latest start at which the last ply is on by {plan.until}: {plan.start_by}.", 2)


def _risks(plan: DayPlan) -> None:
    if not plan.risks:
        return
    text.echo(f"\nWhat may go wrong with this plan ({text.count(plan.jobs_used, 'job')} logged):")
    for risk in plan.risks[:RISKS_TOLD]:
        text.item(
            f"{risk.title}: {text.percent(risk.probability)} "
            f"({text.percent(risk.low)} to {text.percent(risk.high)}; usual here "
            f"{text.percent(risk.usual)})"
        )
    if plan.change:
        text.para(f"Helps most: {plan.change.text}", 2)
