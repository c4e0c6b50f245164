"""`laylog month`: a month in review."""

from __future__ import annotations

import click

from analytics.cli import text
from analytics.cli.options import open_shop, print_json, shop_options
from analytics.month.answer import MonthReview, Share


@click.command("month", epilog="Example: laylog month 2025-11")
@click.argument("month", required=False, metavar="[YYYY-MM]")
@shop_options
def command(
    month: str | None, store: str | None, knowledge_file: str | None, as_json: bool
) -> None:
    """Review a month (the latest in the log if none is named)."""
    with open_shop(store, knowledge_file) as shop:
        review = shop.month(month)
    if as_json:
        print_json(review.to_json())
    else:
        show(review)


def show(review: MonthReview) -> None:
    """Print the review as text."""
    text.title(review.title)
    text.para(
        f"{text.count(review.parts, 'part')}. Good: {_share(review.good)} of those with a result "
        f"written; {review.unknown} without a result (unknown, not counted as good)."
    )
    costs = [f"{review.scrap} scrapped"]
    if review.rework_hours is not None:
        costs.append(f"{review.rework_hours:.1f} h of rework")
    if review.cost is not None:
        costs.append(f"cost {review.cost:.0f}")
    text.para(", ".join(costs) + ".")
    text.items(one.text for one in review.comparisons)
    _show_faults(review)
    click.echo("\nWhat stands out:")
    for signal in review.signals:
        text.item(f"{signal.text} ({signal.strength}; {text.count(signal.jobs, 'part')})")
        if signal.confounded_with:
            text.labelled("changed at the same time:", ", ".join(signal.confounded_with), 6)
    if not review.signals:
        text.item("nothing beyond what luck brings")
    if review.not_enough or review.warnings:
        click.echo("\nKnow this:")
        text.items(review.not_enough, "?")
        text.items(review.warnings, "!")


def _show_faults(review: MonthReview) -> None:
    """The faults of the month in a table; those not seen in one line, unless that is news."""
    seen = [d for d in review.defects if d.this_month.count or d.verdict == "fewer"]
    if seen:
        click.echo("\nFaults:")
        text.table(
            ("fault", "parts", "share", "usual", "verdict"),
            [
                (d.title, d.this_month.count, _percent(d.this_month), _percent(d.usual), d.verdict)
                for d in seen
            ],
        )
    unseen = [d.title for d in review.defects if d not in seen]
    if unseen:
        click.echo()
        text.para(f"Not written down this month: {text.listed(unseen)}.")


def _percent(share: Share) -> str:
    return "-" if share.share is None else text.percent(share.share)


def _share(share: Share) -> str:
    if share.share is None or share.low is None or share.high is None:
        return "not known"
    low, high = text.percent(share.low), text.percent(share.high)
    return f"{share.count} of {share.out_of}, {text.percent(share.share)} ({low} to {high})"
