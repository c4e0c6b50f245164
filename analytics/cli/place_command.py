"""`laylog place`: say once what a column means."""

from __future__ import annotations

import click

from analytics.cli import text
from analytics.cli.options import open_shop, print_json, shop_options

SHEETS = {
    "part": "On a part",
    "batch": "On a mix (on a part's own row: gelcoat.FIELD or resin.FIELD)",
    "lot": "On a material lot",
    "mould": "On a mould",
    "logger": "On a logger reading",
}


@click.command("place", epilog='Example: laylog place "Stuff temp" air_c --unit F')
@click.argument("heading", required=False)
@click.argument("field", required=False)
@click.option("--unit", help="The column's unit, if its heading does not say.")
@shop_options
def command(
    heading: str | None,
    field: str | None,
    unit: str | None,
    store: str | None,
    knowledge_file: str | None,
    as_json: bool,
) -> None:
    """Remember that columns headed HEADING hold FIELD (or "ignore"); then import the file again.

    Without HEADING and FIELD: list the fields there are.
    """
    if heading is not None and not heading.strip():
        raise click.UsageError("Say the heading as it stands in your file.")
    if heading is None:
        _list_fields(as_json)
        return
    if field is None:
        raise click.UsageError(f'Say which field "{heading}" is; laylog place lists them.')
    with open_shop(store, knowledge_file) as shop:
        placed = shop.place_column(heading, field, unit)
        everything = shop.placements()
    if as_json:
        print_json({h: {"field": p.target, "unit": p.unit} for h, p in everything.items()})
    elif placed.target == "ignore":
        click.echo(f'"{heading}" is left alone from now on. Import the file again.')
    else:
        said = f" in {placed.unit}" if placed.unit else ""
        click.echo(f'"{heading}" is read as {field}{said} from now on. Import the file again.')


def _list_fields(as_json: bool) -> None:
    from analytics.records.fields import dictionary

    if as_json:
        fields = dictionary().fields
        print_json([{"record": f.record, "field": f.id, "unit": f.unit} for f in fields])
        return
    for record, where in SHEETS.items():
        text.title(where)
        text.table(
            ("field", "what it is", "unit"),
            [(f.id, f.name, f.unit or "") for f in dictionary().of(record)],
        )
