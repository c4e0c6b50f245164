"""Ways to take the log into other programs."""

from __future__ import annotations

from dash import html
from dash.development.base_component import Component

TABLES = ("parts", "mixes", "lots", "moulds", "logger", "faults")
ALL_TABLES = "all"
KINDS = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "parquet": "application/vnd.apache.parquet",
}


def exports() -> Component:
    """The whole log as one workbook, or table by table."""
    return html.Section(
        [
            html.H2("Take the log with you"),
            html.P(
                "Every value with its unit in the heading and days as 2024-03-31. laylog reads "
                "its own exports back and finds nothing new.",
                className="soft",
            ),
            html.Div(
                [
                    _link(ALL_TABLES, "xlsx", "Everything, as a workbook", ""),
                    _link("parts", "csv", "The parts, as CSV", "plain"),
                ],
                className="export-ways",
            ),
            html.Details(
                [
                    html.Summary("One table at a time"),
                    html.Ul(
                        [
                            html.Li(
                                [
                                    html.Strong(name.capitalize()),
                                    *[_link(name, k, k.upper(), "plain small") for k in KINDS],
                                ]
                            )
                            for name in TABLES
                        ],
                        className="export-tables",
                    ),
                ]
            ),
        ],
        className="exports screen-only",
    )


def _link(name: str, kind: str, words: str, css: str) -> Component:
    file = f"laylog-{name}.{kind}"
    return html.A(
        [words, html.Span(f" {name}", className="unseen") if "small" in css else None],
        href=f"/export/{name}.{kind}",
        download=file,
        className=f"button {css}".strip(),
    )
