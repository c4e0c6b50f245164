"""`laylog export`: the log as files other programs open."""

from __future__ import annotations

import click

from analytics.cli.options import open_shop, print_json, shop_options

TABLES = ("parts", "mixes", "lots", "moulds", "logger", "faults")


@click.command("export", epilog="Example: laylog export log.xlsx")
@click.argument("where", metavar="FILE_OR_FOLDER", type=click.Path())
@click.option(
    "--table",
    type=click.Choice(TABLES),
    help="Only this table; a .csv or .parquet file holds the parts unless told otherwise.",
)
@click.option("--replace", is_flag=True, help="Write over files that are there already.")
@shop_options
def command(
    where: str,
    table: str | None,
    replace: bool,
    store: str | None,
    knowledge_file: str | None,
    as_json: bool,
) -> None:
    """Write the log to FILE.csv, FILE.xlsx or FILE.parquet, or every table to a FOLDER as CSV.

    Headings hold the units, days are written 2024-03-31. laylog import reads CSV and XLSX back.
    """
    with open_shop(store, knowledge_file, make=False) as shop:
        written = shop.export_to(where, table or "all", replace=replace)
    if as_json:
        print_json({"files": [str(path) for path in written]})
        return
    for path in written:
        click.echo(f"{path} ({path.stat().st_size:,} bytes)")
