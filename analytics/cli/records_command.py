"""`laylog records`: every part as it was understood."""

from __future__ import annotations

from typing import Any

import click

from analytics.cli import text
from analytics.cli.options import open_shop, print_json, shop_options

SHOWN = {
    "part_id": "part",
    "date": "made",
    "mould_id": "mould",
    "operator": "by",
    "air_c": "air °C",
    "outcome": "result",
}


@click.command("records", epilog="Example: laylog records --json > parts.json")
@shop_options
def command(store: str | None, knowledge_file: str | None, as_json: bool) -> None:
    """List every part; with --json every field, its unit, and the cell as typed."""
    with open_shop(store, knowledge_file) as shop:
        records = shop.records()
    if as_json:
        print_json(records)
        return
    parts = records["parts"]
    text.table((*SHOWN.values(), "faults"), [_row(part) for part in parts])
    click.echo(f"\n{text.count(len(parts), 'part')}; ? is not written down.")


def _row(part: dict[str, Any]) -> tuple[str, ...]:
    faults = ", ".join(fault["defect"] or f'"{fault["words"]}"' for fault in part["defects"])
    return (*(_cell(part[name]) for name in SHOWN), faults)


def _cell(value: Any) -> str:
    if value is None:
        return "?"
    return f"{value:.1f}" if isinstance(value, float) else str(value)
