"""`laylog passphrase`: set what others in the shop are asked for."""

from __future__ import annotations

import click

from analytics.cli.options import open_shop, print_json, shop_options


@click.command("passphrase", epilog="Example: laylog passphrase")
@shop_options
def command(store: str | None, knowledge_file: str | None, as_json: bool) -> None:
    """Set the passphrase that `laylog serve --share` asks of other machines."""
    words = click.prompt(
        "New passphrase", hide_input=True, confirmation_prompt="Once more", err=True
    )
    with open_shop(store, knowledge_file) as shop:
        shop.set_passphrase(words)
    if as_json:
        print_json({"set": True})
    else:
        click.echo("The passphrase is set; whoever was signed in has to sign in again.")
