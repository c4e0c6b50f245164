"""Lists of parts to pick from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from dash import dcc, html
from dash.development.base_component import Component

from analytics.days import day_words, month_words
from dashboard.components.drawings import fault_picture
from dashboard.components.tables import table
from dashboard.components.words import plural
from dashboard.state import Query, address

if TYPE_CHECKING:
    from analytics.knowledge.model import Knowledge
    from analytics.shop import FailedPart
    from analytics.shop.browsing import Choices, FoundPart


def part_list(rows: Iterable[FailedPart], knowledge: Knowledge) -> Component:
    """Parts as large rows that lead to their causes: number, faults, day, mould."""
    return html.Ul([html.Li(_row(row, knowledge)) for row in rows], className="part-list")


def _row(row: FailedPart, knowledge: Knowledge) -> Component:
    titles = [knowledge.defects[d].title for d in row.defects if d in knowledge.defects]
    where = f", mould {row.mould_id}" if row.mould_id else ""
    return dcc.Link(
        [
            fault_picture(row.defects[0]),
            html.Span(
                [
                    html.Strong(row.part_id),
                    html.Span(", ".join(titles)),
                    html.Span(f"{day_words(row.date)}{where}", className="soft"),
                ],
                className="part-words",
            ),
        ],
        href=address("/cause", part=row.part_id),
    )


def filters(choices: Choices, query: Query) -> Component:
    """What to look for, and three lists to narrow it by."""
    lists = (
        ("mould", "Mould", [(mould, mould) for mould in choices.moulds]),
        ("month", "Month", [(month_words(month), month) for month in choices.months]),
        ("fault", "Fault", [(title, fault) for fault, title in choices.faults]),
    )
    return html.Div(
        [
            html.Div(
                [
                    html.Label(
                        "Part, person, result, date or a word in the notes",
                        htmlFor="parts-filter",
                        className="big-label",
                    ),
                    dcc.Input(
                        id="parts-filter",
                        type="search",
                        autoComplete="off",
                        debounce=0.2,
                        value=query.get("q", ""),
                    ),
                ],
                className="filter-text",
            ),
            *[_list(name, words, options, query) for name, words, options in lists],
        ],
        className="filters",
    )


def _list(name: str, words: str, options: Sequence[tuple[str, str]], query: Query) -> Component:
    return html.Div(
        [
            html.Label(words, htmlFor=f'{{"name":"{name}","type":"filter"}}'),
            dcc.Dropdown(
                id={"type": "filter", "name": name},
                options=[{"label": label, "value": value} for label, value in options],
                value=query.get(name),
                placeholder="all",
            ),
        ],
        className="filter",
    )


def found_parts(rows: Sequence[FoundPart], count: int) -> Component:
    """Parts in a table, each leading to its own record; `count` fit in all."""
    about = plural(count, "part")
    if count > len(rows):
        about += f", the newest {len(rows)} shown"
    return table(
        about,
        ("Part", "Day", "Mould", "Result", "Faults as written"),
        [
            (
                dcc.Link(row.part_id, href=address("/records", part=row.part_id)),
                day_words(row.date) if row.date else "",
                row.mould_id,
                row.outcome,
                row.faults,
            )
            for row in rows
        ],
        css="stacked found",
    )
