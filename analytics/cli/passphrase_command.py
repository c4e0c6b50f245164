"""`laylog passphrase`: set what others in the shop are asked for."""

from __future__ import annotations

import click

from analytics.cli.options import open_shop


@click.command("passphrase", epilog="Example: laylog passphrase")
@click.option(
    "--store",
    envvar="LAYLOG_STORE",
    metavar="PATH_OR_URL",
    help="Where the log is kept; default: a file in your data folder.",
)
def command(store: str | None) -> None:
    """Set the passphrase that `laylog serve --share` asks of other machines."""
    words = click.prompt("New passphrase", hide_input=True, confirmation_prompt="Once more")
    with open_shop(store, None) as shop:
        shop.set_passphrase(words)
    click.echo("The passphrase is set; whoever was signed in has to sign in again.")
