"""`laylog health`: whether the store is sound."""

from __future__ import annotations

import sys

import click

from analytics.cli.options import open_shop, print_json, shop_options


@click.command("health", epilog="Example: laylog health --store shop.laylog")
@shop_options
def command(store: str | None, knowledge_file: str | None, as_json: bool) -> None:
    """Check every page and promise of the store; ends with 2 where something is wrong."""
    with open_shop(store, knowledge_file, make=False) as shop:
        health = shop.health()
    if as_json:
        print_json(health.to_json())
    else:
        for fault in health.faults:
            click.echo(f"Wrong: {fault}.")
        click.echo(f"The store {health.where} is {'not sound' if health.faults else 'sound'}.")
        if health.advice:
            click.echo(health.advice)
        last = health.last_backup
        click.echo(
            f"Last backup: {last['path']}, {last['at']}." if last else "No backup was made yet."
        )
    if health.faults:
        sys.exit(2)
