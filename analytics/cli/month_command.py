"""`laylog month`: a month in review."""

from __future__ import annotations

from pathlib import Path

import click

from analytics.cli import text
from analytics.cli.options import open_shop, print_json, shop_options
from analytics.errors import QuestionError
from analytics.month.answer import MonthReview, Share
from analytics.month.periods import Month

LEAST_EXPECTED, MOST_CAUSES = 0.5, 8
PAGES = (".html", ".htm")


@click.command("month", epilog="Example: laylog month 2025-11")
@click.argument("month", required=False, metavar="[YYYY-MM]")
@click.option(
    "--report",
    type=click.Path(dir_okay=False, writable=True, path_type=Path),
    metavar="FILE.html",
    help="Write the month as one page to print, for the wall or the customer.",
)
@click.option(
    "--table",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Write its tables to FILE.csv or FILE.xlsx.",
)
@click.option("--replace", is_flag=True, help="With --table: write over a file there already.")
@shop_options
def command(
    month: str | None,
    report: Path | None,
    table: Path | None,
    replace: bool,
    store: str | None,
    knowledge_file: str | None,
    as_json: bool,
) -> None:
    """Review a month (the latest in the log if none is named)."""
    with open_shop(store, knowledge_file, make=False) as shop:
        if report is not None:
            _write(report, shop.month_report(month))
        if table is not None:
            shop.month_tables_to(table, month, replace=replace)
        if report is not None or table is not None:
            _tell_written(report, table, as_json)
            return
        review = shop.month(month)
    if as_json:
        print_json(review.to_json())
    else:
        show(review)


def _write(path: Path, page: str) -> None:
    if path.suffix.lower() not in PAGES:
        # the page goes over a file of that name: no log may ever be that file
        raise QuestionError(f"{path.name} is no page's name: it must end in .html.")
    try:
        path.write_text(page, encoding="utf-8")
    except OSError as error:
        raise QuestionError(f"{path} cannot be written: {error.strerror}.") from error


def _tell_written(report: Path | None, table: Path | None, as_json: bool) -> None:
    named = {"report": report, "table": table}
    if as_json:
        print_json({name: str(path) for name, path in named.items() if path is not None})
        return
    if report is not None:
        click.echo(f"{report} is written: open it in a browser and print it.")
    if table is not None:
        click.echo(f"{table} is written.")


def show(review: MonthReview) -> None:
    """Print the review as text."""
    text.title(review.title)
    text.para(
        f"{text.count(review.parts, 'part')}. Good: {_share(review.good)} of those with a result "
        f"written; {review.unknown} without a result (unknown, not counted as good)."
    )
    _show_totals(review)
    text.items(one.text for one in review.comparisons)
    _show_faults(review)
    _show_causes(review)
    _show_signals(review)
    _show_actions(review)
    if review.not_enough or review.warnings:
        text.echo("\nKnow this:")
        text.items(review.not_enough, "?")
        text.items(review.warnings, "!")


def _show_faults(review: MonthReview) -> None:
    """The faults of the month in a table; those not seen in one line, unless that is news."""
    seen = [d for d in review.defects if d.this_month.count or d.verdict == "fewer"]
    if seen:
        text.echo("\nFaults:")
        text.table(
            ("fault", "parts", "share", "usual", "verdict"),
            [
                (d.title, d.this_month.count, _percent(d.this_month), _percent(d.usual), d.verdict)
                for d in seen
            ],
        )
    unseen = [d.title for d in review.defects if d not in seen]
    if unseen:
        text.echo()
        text.para(f"Not written down this month: {text.listed(unseen)}.")


def _show_totals(review: MonthReview) -> None:
    """What the month made and lost, beside the others; a column nobody wrote is left out."""
    text.table(
        ("", "parts", "good", "scrap", "rework h", "cost"),
        [
            (
                one.period,
                f"{one.parts:.0f}",
                _percent(one.good),
                _figure(one.scrap),
                _figure(one.rework_hours),
                _figure(one.cost, 0),
            )
            for one in review.totals
        ],
    )
    text.echo()


def _figure(value: float | None, decimals: int = 1) -> str:
    if value is None:
        return "-"
    return f"{value:.{decimals}f}".removesuffix(".0")


def _show_causes(review: MonthReview) -> None:
    """The likely causes that brought half a fault or more, with 90 % bounds."""
    told = [line for line in review.causes if line.expected >= LEAST_EXPECTED][:MOST_CAUSES]
    if not told:
        return
    text.echo("\nLikely causes, as faults owed to each (9 chances in 10 it is within):")
    text.table(
        ("cause", "faults", "within", "usual", "rework h", "scrap"),
        [
            (
                line.title,
                _figure(line.expected),
                f"{line.low:.0f} to {line.high:.0f}",
                _figure(line.usual),
                _figure(line.rework_hours),
                _figure(line.scrap),
            )
            for line in told
        ],
    )


def _show_signals(review: MonthReview) -> None:
    text.echo("\nWhat stands out:")
    for signal in review.signals:
        seen = (
            "" if signal.new else f"; shown before, in {Month.read(signal.last_shown or '').title}"
        )
        text.item(f"{signal.text} ({signal.strength}; {text.count(signal.jobs, 'part')}{seen})")
        if signal.confounded_with:
            text.labelled("changed at the same time:", ", ".join(signal.confounded_with), 6)
    if not review.signals:
        text.item("nothing beyond what luck brings")


def _show_actions(review: MonthReview) -> None:
    if review.actions:
        text.echo("\nDid it work?")
    for one in review.actions:
        text.item(f"{one.name}. {one.text}")
        if one.together:
            text.labelled("changed at the same time:", ", ".join(one.together), 6)


def _percent(share: Share) -> str:
    return "-" if share.share is None else text.percent(share.share)


def _share(share: Share) -> str:
    if share.share is None or share.low is None or share.high is None:
        return "not known"
    low, high = text.percent(share.low), text.percent(share.high)
    return f"{share.count} of {share.out_of}, {text.percent(share.share)} ({low} to {high})"
