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
SHARED = (
    "Share it on a network you trust only: without TLS in front, what is typed travels in the "
    "clear. Stop it with Ctrl+C."
)


@click.command("serve", epilog="Example: laylog serve --port 8700")
@click.option("--port", type=click.IntRange(1, 65535), default=PORT, show_default=True)
@click.option(
    "--share",
    is_flag=True,
    help="Answer other machines on the local network too, once they give the passphrase.",
)
@click.option(
    "--name",
    "names",
    multiple=True,
    metavar="HOST",
    help="With --share: a name this machine is reached by, such as log.workshop.example.",
)
@shop_options
def command(
    port: int,
    share: bool,
    names: tuple[str, ...],
    store: str | None,
    knowledge_file: str | None,
    as_json: bool,
) -> None:
    """Open the dashboard on this machine only, or share it in the shop; stop it with Ctrl+C."""
    if names and not share:
        raise click.UsageError("--name is for a shared dashboard: add --share.")
    with open_shop(store, knowledge_file) as shop:
        if share and not shop.has_passphrase():
            raise LaylogError(
                "a shared dashboard asks every visitor for a passphrase, and none is set yet. "
                "Set one first: laylog passphrase"
            )
        serve_shop(shop, port, as_json, shared=share, names=names)


def serve_shop(
    shop: Shop,
    port: int,
    as_json: bool,
    *,
    shared: bool = False,
    names: tuple[str, ...] = (),
) -> None:
    """Serve the dashboard until stopped. Raises LaylogError when the port is taken."""
    from analytics.shop.ahead import working_ahead
    from dashboard.app import create_app, serve
    from dashboard.sharing import address_here

    app = create_app(shop, clock=datetime.now, shared=shared, names=names)
    address = f"http://{address_here() if shared else '127.0.0.1'}:{port}/"
    if as_json:
        print_json_line({"url": address})
    elif shared:
        click.echo(f"\nThe dashboard is at {address} for whoever knows the passphrase. {SHARED}")
    else:
        click.echo(f"\nThe dashboard is at {address} on this machine only. Stop it with Ctrl+C.")
    try:
        with working_ahead(shop):
            serve(app, host="0.0.0.0" if shared else "127.0.0.1", port=port)
    except OSError as error:
        raise LaylogError(
            f"the dashboard cannot use port {port} ({error.strerror}): another laylog may be "
            "running. Stop it, or name another port with --port"
        ) from error
