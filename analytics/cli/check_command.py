"""`laylog check`: a dry run of an import."""

from __future__ import annotations

import click

from analytics.cli.options import finish, open_shop, print_json, shop_options


@click.command("check", epilog="Example: laylog check jobs.xlsx mixes.csv")
@click.argument("files", nargs=-1, required=True, type=click.Path())
@shop_options
def command(
    files: tuple[str, ...], store: str | None, knowledge_file: str | None, as_json: bool
) -> None:
    """Say what would be read from FILES, and every problem. Nothing is kept."""
    from analytics.shop.safekeeping import store_for_a_look

    with open_shop(store_for_a_look(store), knowledge_file) as shop:
        answer = shop.check_files(files)
    if as_json:
        print_json(answer.to_json())
    else:
        from analytics.cli.reading_text import show_reading

        show_reading(answer)
    finish(problems=answer.has_problems, could_not=answer.could_not)
