"""`laylog import`: read log files into the store."""

from __future__ import annotations

import click

from analytics.cli.options import finish, open_shop, print_json, shop_options


@click.command("import", epilog="Example: laylog import jobs.xlsx mixes.csv logger.csv")
@click.argument("files", nargs=-1, required=True, type=click.Path())
@shop_options
def command(
    files: tuple[str, ...], store: str | None, knowledge_file: str | None, as_json: bool
) -> None:
    """Read FILES (CSV, TSV, XLSX, XLS, ODS, or a folder of them) into the store."""
    with open_shop(store, knowledge_file) as shop:
        answer = shop.import_files(files)
    if as_json:
        print_json(answer.to_json())
    else:
        from analytics.cli.reading_text import show_kept, show_reading

        show_reading(answer)
        show_kept(answer)
    finish(problems=answer.has_problems, could_not=answer.could_not)
