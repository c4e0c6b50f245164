"""`laylog restore`: a backup put back."""

from __future__ import annotations

from datetime import datetime

import click

from analytics.cli.options import print_json, shop_options


@click.command("restore", epilog="Example: laylog restore shop.laylog-backup --replace")
@click.argument("file", type=click.Path())
@click.option("--replace", is_flag=True, help="Replace what the store holds; that is set aside.")
@shop_options
def command(
    file: str, replace: bool, store: str | None, knowledge_file: str | None, as_json: bool
) -> None:
    """Check the backup FILE and put it into the store, all of it or nothing."""
    from analytics.records.store import in_words
    from analytics.shop.safekeeping import restore_shop

    report = restore_shop(file, store, now=datetime.now(), replace=replace)
    if as_json:
        aside = str(report.aside) if report.aside else None
        print_json({"store": report.where, "rows": dict(report.rows), "set_aside": aside})
        return
    click.echo(f"Put back: {in_words(report.rows)} in {report.where}.")
    if report.aside:
        click.echo(f"What was there before is kept in {report.aside}.")
