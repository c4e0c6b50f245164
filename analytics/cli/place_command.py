"""`laylog place`: say once what a column means."""

from __future__ import annotations

import click

from analytics.cli.options import open_shop, print_json, shop_options


@click.command("place", epilog='Example: laylog place "Stuff temp" air_c --unit F')
@click.argument("header")
@click.argument("field")
@click.option("--unit", help="The column's unit, if its heading does not say.")
@shop_options
def command(
    header: str,
    field: str,
    unit: str | None,
    store: str | None,
    knowledge_file: str | None,
    as_json: bool,
) -> None:
    """Remember that columns headed HEADER hold FIELD (or "ignore"); then import the file again."""
    with open_shop(store, knowledge_file) as shop:
        placed = shop.place_column(header, field, unit)
        everything = shop.placements()
    if as_json:
        print_json({h: {"field": p.target, "unit": p.unit} for h, p in everything.items()})
    elif placed.target == "ignore":
        click.echo(f'"{header}" is left alone from now on. Import the file again.')
    else:
        said = f" in {placed.unit}" if placed.unit else ""
        click.echo(f'"{header}" is read as {field}{said} from now on. Import the file again.')
