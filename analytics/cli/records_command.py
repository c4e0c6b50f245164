"""`laylog records`: every part as it was understood."""

from __future__ import annotations

import click

from analytics.cli import text
from analytics.cli.options import open_shop, print_json, shop_options

SHOWN = ("part_id", "date", "mould_id", "operator", "air_c", "outcome")


@click.command("records", epilog="Example: laylog records --json > parts.json")
@shop_options
def command(store: str | None, knowledge_file: str | None, as_json: bool) -> None:
    """List every part; with --json every field, its unit, and the cell as typed."""
    with open_shop(store, knowledge_file) as shop:
        records = shop.records()
    if as_json:
        print_json(records)
        return
    rows = [
        (
            *("" if part[name] is None else part[name] for name in SHOWN),
            ", ".join(fault["defect"] or fault["words"] for fault in part["defects"]),
        )
        for part in records["parts"]
    ]
    text.table((*SHOWN, "faults"), rows)
    click.echo(f"\n{len(rows)} parts")
