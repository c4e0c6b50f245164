"""`laylog units`: choose metric or US units once, for every screen and print."""

from __future__ import annotations

import click

from analytics.cli import text
from analytics.cli.options import open_shop, print_json, shop_options

SAID = {
    "metric": "Metric: °C, kg, mm, m2 and g/m2.",
    "us": "US: °F, lb, mil and in, ft2 and oz/ft2. Catalyst stays in g and ml, with ounces beside.",
}


@click.command("units", epilog="Example: laylog units us")
@click.argument("system", required=False, type=click.Choice(tuple(SAID), case_sensitive=False))
@shop_options
def command(
    system: str | None, store: str | None, knowledge_file: str | None, as_json: bool
) -> None:
    """Say everything in metric or in US units from now on; alone, tell which it is.

    JSON and exports stay metric, and figures may always be typed with a unit of their own.
    """
    with open_shop(store, knowledge_file) as shop:
        if system:
            shop.set_units(system)
        chosen = shop.units()
    if as_json:
        print_json({"units": chosen})
    else:
        text.para(SAID[chosen])
