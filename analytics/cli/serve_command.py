"""`laylog serve`: the dashboard on this machine."""

from __future__ import annotations

from datetime import datetime

import click

from analytics.cli.options import open_shop, shop_options

PORT = 8642


@click.command("serve", epilog="Example: laylog serve --port 8700")
@click.option("--port", type=click.IntRange(1, 65535), default=PORT, show_default=True)
@shop_options
def command(port: int, store: str | None, knowledge_file: str | None, as_json: bool) -> None:
    """Open the dashboard on this machine only (loopback); stop it with Ctrl+C."""
    from dashboard.app import create_app, serve

    with open_shop(store, knowledge_file) as shop:
        click.echo(f"laylog is at http://127.0.0.1:{port}/ on this machine. Stop it with Ctrl+C.")
        serve(create_app(shop, clock=datetime.now), port=port)
