"""A month as one page to print: plain words, pictures drawn in it, nothing to fetch or run."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from html import escape

from analytics.days import day_words
from analytics.month.answer import DefectLine, MonthReview, Signal
from analytics.month.answer_pieces import CauseLine, Followed, Totals
from analytics.month.words import percent
from analytics.report.pictures import days_picture, share_picture

MOST_FAULTS, MOST_CAUSES, MOST_SIGNALS, MOST_ACTIONS = 8, 6, 5, 4
LEAST_EXPECTED = 0.5
STYLE = """
@page { size: A4; margin: 12mm; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 186mm; padding: 4mm; color: #15252a; background: #fff;
  font: 10pt/1.35 system-ui, "Segoe UI", Roboto, "Noto Sans", sans-serif; }
h1 { font-size: 20pt; line-height: 1.1; margin: 0; }
h2 { font-size: 12pt; margin: 4.5mm 0 1mm; border-bottom: 2px solid #2f8ba0; break-after: avoid; }
p { margin: .8mm 0; } ul { margin: 0; padding-left: 5mm; } li { margin: .8mm 0; }
.answer { border: 3px solid #0d4a57; border-radius: 3mm; padding: 3mm 5mm; margin: 3mm 0; }
.answer strong { display: block; font-size: 17pt; line-height: 1.15; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; padding: .6mm 2mm .6mm 0; border-bottom: 1px solid #d3d8d9;
  vertical-align: baseline; overflow-wrap: anywhere; }
th { font-size: 9pt; color: #475659; } td.n, th.n { text-align: right; white-space: nowrap; }
table { break-inside: avoid; }
tr, svg, .answer, li { break-inside: avoid; }
svg { width: 100%; height: auto; display: block; print-color-adjust: exact;
  -webkit-print-color-adjust: exact; }
.soft { color: #475659; font-size: 9pt; } .odd { font-weight: 750; }
@media screen and (max-width: 480px) { body { font-size: 12pt; } th, td { padding-right: 1.2mm; } }
"""


def month_page(review: MonthReview, *, made_on: date) -> str:
    """The whole page as HTML text in UTF-8; every word out of the log is escaped."""
    title = f"How {review.title} went"
    body = "".join(
        (
            f"<h1>{escape(title)}</h1>",
            _headline(review),
            _totals(review.totals),
            _section("Day by day", _days(review)),
            _section("Faults", _faults(review.defects)),
            _section("What brought them, most likely", _causes(review.causes)),
            _section("What stands out", _signals(review.signals)),
            _section("Did it work?", _actions(review.actions)),
            _section("Faulty parts by month", _by_month(review)),
            _section("Take with care", _list(review.warnings)),
            f'<p class="soft">Printed from the job log on {day_words(made_on)}. '
            "Counted from what was written down; a part without a result is not counted as "
            "good.</p>",
        )
    )
    return (
        '<!DOCTYPE html><html lang="en-GB"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)}</title><style>{STYLE}</style></head><body>{body}</body></html>\n"
    )


def _section(heading: str, content: str) -> str:
    return f"<h2>{escape(heading)}</h2>{content}" if content else ""


def _list(lines: Iterable[str]) -> str:
    items = "".join(f"<li>{line}</li>" for line in map(escape, lines))
    return f"<ul>{items}</ul>" if items else ""


def _headline(review: MonthReview) -> str:
    good = review.good
    if good.share is None or good.low is None or good.high is None:
        said, sure = f"{review.parts} parts made, no result written down", ""
    else:
        said = f"{good.count} of {good.out_of} parts good"
        sure = f"{percent(good.share)}, could be {percent(good.low)} to {percent(good.high)}. "
    blank = f"{review.unknown} parts have no result written. " if review.unknown else ""
    against = " ".join(one.text for one in review.comparisons[-1:])
    return (
        f'<div class="answer"><strong>{escape(said)}</strong>{escape(sure + blank + against)}</div>'
    )


def _totals(totals: Sequence[Totals]) -> str:
    rows = [
        (
            one.period,
            f"{one.parts:.0f}",
            percent(one.good.share) if one.good.share is not None else "not known",
            *(_figure(value) for value in (one.scrap, one.rework_hours, one.cost)),
        )
        for one in totals
    ]
    return _table(("", "parts", "good", "scrapped", "rework, h", "cost"), rows)


def _figure(value: float | None) -> str:
    if value is None:
        return "–"
    return f"{value:,.0f}" if value >= 100 else f"{value:.1f}".removesuffix(".0")


def _table(head: Sequence[str], rows: Sequence[Sequence[str]], words: int = 1) -> str:
    """A table whose first `words` columns are words and the others figures."""
    if not rows:
        return ""
    top = "".join(_cell("th", text, at >= words) for at, text in enumerate(head))
    body = "".join(
        "<tr>" + "".join(_cell("td", text, at >= words) for at, text in enumerate(row)) + "</tr>"
        for row in rows
    )
    return f"<table><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>"


def _cell(tag: str, text: str, number: bool) -> str:
    kind = ' class="n"' if number else ""
    return f"<{tag}{kind}>{escape(text)}</{tag}>"


def _days(review: MonthReview) -> str:
    if not review.days:
        return ""
    legend = (
        "Plain: good. Hatched: faulty. Pale: no result written. "
        "Below: air from lowest to highest in the working hours."
    )
    return f'{days_picture(review.days)}<p class="soft">{legend}</p>'


def _faults(lines: Sequence[DefectLine]) -> str:
    told = [line for line in lines if line.this_month.count or line.verdict == "fewer"]
    if not told:
        return "<p>No fault is written down this month.</p>"
    rows = [
        (line.title, line.verdict, str(line.this_month.count), _share(line.this_month.share),
         _share(line.usual.share), _figure(line.rework_hours), str(line.scrap), _figure(line.cost))
        for line in told[:MOST_FAULTS]
    ]  # fmt: skip
    head = ("fault", "against the usual", "parts", "share", "usual", "rework, h", "scrap", "cost")
    return _table(head, rows, words=2) + _more(len(told) - MOST_FAULTS, "kinds of fault")


def _share(share: float | None) -> str:
    return "–" if share is None else percent(share)


def _more(left: int, of: str) -> str:
    return f'<p class="soft">and {left} more {of}.</p>' if left > 0 else ""


def _causes(lines: Sequence[CauseLine]) -> str:
    told = [line for line in lines if line.expected >= LEAST_EXPECTED][:MOST_CAUSES]
    rows = [
        (line.title, _figure(line.expected), f"{line.low:.0f} to {line.high:.0f}",
         _figure(line.usual), _figure(line.rework_hours), _figure(line.scrap), _figure(line.cost))
        for line in told
    ]  # fmt: skip
    head = ("cause", "faults", "within", "usual", "rework, h", "scrap", "cost")
    note = (
        '<p class="soft">Faults expected to be owed to each, from the shop\'s own log and the '
        "trade; 9 chances in 10 it is within.</p>"
    )
    return _table(head, rows) + note if rows else ""


def _signals(signals: Sequence[Signal]) -> str:
    if not signals:
        return "<p>Nothing beyond what luck brings.</p>"
    lines = [_signal(signal) for signal in signals[:MOST_SIGNALS]]
    return f"<ul>{''.join(lines)}</ul>" + _more(len(signals) - MOST_SIGNALS, "things")


def _signal(signal: Signal) -> str:
    seen = "New. " if signal.new else "Shown before. "
    strength = signal.strength[:1].upper() + signal.strength[1:]
    together = ""
    if signal.confounded_with:
        together = f" Changed at the same time: {', '.join(signal.confounded_with)}."
    return (
        f'<li><span class="odd">{escape(seen)}</span>{escape(signal.text)} '
        f'<span class="soft">{escape(f"{strength}.{together}")}</span></li>'
    )


def _actions(actions: Sequence[Followed]) -> str:
    told = sorted(actions, key=lambda one: one.since, reverse=True)[:MOST_ACTIONS]
    lines = [f"{one.name}. {one.text}" for one in told]
    return _list(lines)


def _by_month(review: MonthReview) -> str:
    picture = share_picture(review.chart)
    if not picture:
        return ""
    chart = review.chart
    base = ""
    if chart.base_first is not None:
        base = f" Limits from {chart.base_first} to {chart.base_last}."
    rule = chart.rule[:1].upper() + chart.rule[1:]
    return f'{picture}<p class="soft">{escape(rule)}.{escape(base)}</p>'
