"""`laylog records`: every part as it was understood."""

from __future__ import annotations

from typing import Any

import click

from analytics.cli import text as said
from analytics.cli.options import open_shop, print_json, shop_options
from analytics.saying import System, said_unit, said_value

ALL = 10**9
SHOWN = {
    "part_id": "part",
    "date": "made",
    "mould_id": "mould",
    "operator": "by",
    "air_c": "air °C",
    "outcome": "result",
}


@click.command(
    "records",
    epilog="Example: laylog records --month 2025-11 --mould M07",
)
@click.argument("text", required=False, default="")
@click.option("--mould", default="", help="Only parts off this mould.")
@click.option("--month", default="", metavar="YYYY-MM", help="Only parts made in this month.")
@click.option("--fault", default="", help="Only parts with this fault, by its id: pinholes.")
@shop_options
def command(
    text: str,
    mould: str,
    month: str,
    fault: str,
    store: str | None,
    knowledge_file: str | None,
    as_json: bool,
) -> None:
    """List the parts, or those with TEXT in them; --json gives every field and cell as typed."""
    with open_shop(store, knowledge_file, make=False) as shop:
        wanted = None
        if text or mould or month or fault:
            found, _ = shop.browse(text, mould=mould, month=month, fault=fault, limit=ALL)
            wanted = [part.part_id for part in found]
        records = shop.records(wanted)
    if as_json:
        print_json(records)
        return
    parts = records["parts"]
    heads = [words.replace("°C", said_unit("°C", said.system())) for words in SHOWN.values()]
    said.table((*heads, "faults"), [_row(part, said.system()) for part in parts])
    click.echo(f"\n{said.count(len(parts), 'part')}; ? is not written down.")


def _row(part: dict[str, Any], system: System) -> tuple[str, ...]:
    faults = ", ".join(fault["defect"] or f'"{fault["words"]}"' for fault in part["defects"])
    return (*(_cell(part[name], system) for name in SHOWN), faults)


def _cell(value: Any, system: System) -> str:
    if value is None:
        return "?"
    # the one figure of the list is the air
    return f"{said_value(value, '°C', system):.1f}" if isinstance(value, float) else str(value)
