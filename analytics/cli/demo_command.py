"""`laylog demo`: the three answers from the sample logs."""

from __future__ import annotations

import tempfile
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from analytics.cli import catalyst_command, month_command, text, why_command
from analytics.cli.options import print_json
from analytics.cli.serve_command import PORT, serve_shop

if TYPE_CHECKING:
    from analytics.shop import Shop


@click.command("demo", epilog="Example: laylog demo --no-serve")
@click.option("--serve/--no-serve", default=True, help="Open the dashboard afterwards.")
@click.option("--port", type=click.IntRange(1, 65535), default=PORT, show_default=True)
@click.option("--json", "as_json", is_flag=True, help="Print the answers as JSON.")
def command(serve: bool, port: int, as_json: bool) -> None:
    """Load the sample logs into a store of their own and print the three answers."""
    from analytics.shop import Shop

    with tempfile.TemporaryDirectory(prefix="laylog-demo-") as folder:
        shop = Shop.open(str(Path(folder) / "demo.db"), now=datetime.now)
        try:
            _three_answers(shop, as_json)
            if serve:
                serve_shop(shop, port, as_json)
        finally:
            shop.close()


def _three_answers(shop: Shop, as_json: bool) -> None:
    from sample_logs import FILES, REVIEW_MONTH, STUCK_PART

    answer = shop.import_files(list(FILES))
    assert answer.saved is not None  # an import always saves
    why = shop.why(STUCK_PART)
    month = shop.month(REVIEW_MONTH)
    dose = shop.catalyst(material="gelcoat", temperature_c=18.0, window_min=(12.0, 20.0))
    if as_json:
        causes = [answer.to_json() for answer in why]
        print_json({"why": causes, "month": month.to_json(), "catalyst": dose.to_json()})
        return
    looked_at = sum(len(report.problems) for report in answer.files)
    text.para(
        f"Sample logs read: {text.count(answer.saved.total.new, 'record')}; "
        f"{text.count(looked_at, 'cell')} or headings to look at (laylog check lists them)."
    )
    why_command.show(why, as_json=False)
    month_command.show(month)
    catalyst_command.show(dose)
