"""`laylog backup`: the whole store in one file."""

from __future__ import annotations

import click

from analytics.cli.options import open_shop, print_json, shop_options


@click.command("backup", epilog="Example: laylog backup /media/stick/shop.laylog-backup")
@click.argument("file", type=click.Path())
@shop_options
def command(file: str, store: str | None, knowledge_file: str | None, as_json: bool) -> None:
    """Copy the whole store into FILE, checked, while others go on working.

    A file ending in .laylog-backup beside the store is found again when the store is damaged.
    """
    with open_shop(store, knowledge_file, make=False) as shop:
        backup = shop.back_up(file)
    if as_json:
        print_json(backup.to_json())
        return
    click.echo(f"Backed up and checked: {backup.holds} in {backup.path}.")
    click.echo(f"To put it back: laylog restore {backup.path}")
