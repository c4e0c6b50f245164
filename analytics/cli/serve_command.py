"""`laylog serve`: the dashboard on this machine."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from analytics.cli.options import open_shop, print_json_line, shop_options
from analytics.errors import LaylogError

if TYPE_CHECKING:
    from analytics.shop import Shop

PORT = 8642


@click.command("serve", epilog="Example: laylog serve --port 8700")
@click.option("--port", type=click.IntRange(1, 65535), default=PORT, show_default=True)
@shop_options
def command(port: int, store: str | None, knowledge_file: str | None, as_json: bool) -> None:
    """Open the dashboard on this machine only (loopback); stop it with Ctrl+C."""
    with open_shop(store, knowledge_file) as shop:
        serve_shop(shop, port, as_json)


def serve_shop(shop: Shop, port: int, as_json: bool) -> None:
    """Serve the dashboard until stopped. Raises LaylogError when the port is taken."""
    from dashboard.app import create_app, serve

    app = create_app(shop, clock=datetime.now)
    address = f"http://127.0.0.1:{port}/"
    if as_json:
        print_json_line({"url": address})
    else:
        click.echo(f"\nThe dashboard is at {address} on this machine only. Stop it with Ctrl+C.")
    try:
        serve(app, port=port)
    except OSError as error:
        raise LaylogError(
            f"the dashboard cannot use port {port} ({error.strerror}): another laylog may be "
            "running. Stop it, or name another port with --port"
        ) from error
