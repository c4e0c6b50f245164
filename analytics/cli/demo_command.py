"""`laylog demo`: the three answers from the sample logs."""

from __future__ import annotations

import tempfile
from datetime import datetime
from pathlib import Path

import click

from analytics.cli import catalyst_command, month_command, text, why_command
from analytics.cli.serve_command import PORT


@click.command("demo", epilog="Example: laylog demo --no-serve")
@click.option("--serve/--no-serve", default=True, help="Open the dashboard afterwards.")
@click.option("--port", type=click.IntRange(1, 65535), default=PORT, show_default=True)
def command(serve: bool, port: int) -> None:
    """Load the sample logs into a store of their own and print the three answers."""
    with tempfile.TemporaryDirectory(prefix="laylog-demo-") as folder:
        _run(Path(folder) / "demo.db", serve, port)


def _run(store: Path, serve: bool, port: int) -> None:
    from analytics.shop import Shop
    from sample_logs import FILES, REVIEW_MONTH, STUCK_PART

    shop = Shop.open(str(store), now=datetime.now)
    try:
        answer = shop.import_files(list(FILES))
        assert answer.saved is not None  # an import always saves
        looked_at = sum(len(report.problems) for report in answer.files)
        text.para(
            f"Sample logs read: {answer.saved.total.new} records; {looked_at} cells or columns to "
            "look at (laylog check lists them)."
        )
        why_command.show(shop.why(STUCK_PART), as_json=False)
        month_command.show(shop.month(REVIEW_MONTH))
        catalyst_command.show(
            shop.catalyst(material="gelcoat", temperature_c=18.0, window_min=(12.0, 20.0))
        )
        if serve:
            from dashboard.app import create_app, serve as serve_app

            click.echo(f"\nThe dashboard is at http://127.0.0.1:{port}/. Stop it with Ctrl+C.")
            serve_app(create_app(shop, clock=datetime.now), port=port)
    finally:
        shop.close()
