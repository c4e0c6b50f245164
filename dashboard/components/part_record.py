"""One part as it was understood, next to the cells as they were typed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from analytics.columns import UNIT_WORDS
from dashboard.components.fields import target_words
from dashboard.components.tables import table
from dashboard.components.words import number
from dashboard.state import address

ASIDE = {"raw", "origin", "filled", "defects", "gelcoat", "resin", "looked"}
UNPLACED = "other"
BESIDE = ("Heading", "As typed", "As read", "Meaning")


def part_sheet(
    part: Mapping[str, Any], units: Mapping[str, str], headings: Mapping[str, str]
) -> Component:
    """Typed beside read; then what was read with no cell of its own in this row.

    `units` gives the unit of a field, `headings` the heading a field was read from.
    """
    faults = "; ".join(_fault(fault) for fault in part["defects"]) or "none written"
    origin = part["origin"]
    from_where = f"From {origin['file']}, {origin['sheet']}, row {origin['row']}."
    why = address("/cause", part=part["part_id"])
    return html.Article(
        [
            html.H2(part["part_id"]),
            html.P(from_where, className="soft"),
            html.P(f"Faults: {faults}"),
            table("As typed, and as read", BESIDE, _beside(part, units, headings), css="stacked"),
            _elsewhere(part, units),
            dcc.Link("Why did it fail?", className="button", href=why),
        ],
        className="part-sheet",
    )


def _beside(
    part: Mapping[str, Any], units: Mapping[str, str], headings: Mapping[str, str]
) -> list[tuple[str, ...]]:
    typed = {target: text for target, text in part["raw"].items() if target != UNPLACED}
    read = [
        (headings.get(target, ""), str(text), _read(part, target, units), target_words(target))
        for target, text in typed.items()
    ]
    unplaced = part["raw"].get(UNPLACED, {})
    return [
        *read,
        *((heading, str(text), "", "kept as typed") for heading, text in unplaced.items()),
    ]


def _elsewhere(part: Mapping[str, Any], units: Mapping[str, str]) -> Component | None:
    rows = [
        (target_words(name), _told(value, units.get(name)), part["filled"].get(name, "worked out"))
        for name, value in part.items()
        if name not in ASIDE and name not in part["raw"] and value is not None
    ]
    return table("Filled in from elsewhere", ("Field", "Value", "From"), rows) if rows else None


def _read(part: Mapping[str, Any], target: str, units: Mapping[str, str]) -> str:
    if target in ("defects", "result"):
        outcome = part.get("outcome") if target == "result" else None
        return "; ".join([*([outcome] if outcome else []), *map(_fault, part["defects"])])
    role, dot, field = target.partition(".")
    holder, name = (part.get(role) or {}, field) if dot else (part, target)
    return _told(holder.get(name), units.get(name))


def _told(value: Any, unit: str | None) -> str:
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = number(value, 3) if isinstance(value, float) else str(value)
    return f"{text} {UNIT_WORDS.get(unit or '', unit or '')}".strip()


def _fault(fault: Mapping[str, Any]) -> str:
    told = [fault["words"] or fault["defect"], fault["severity"], fault["place"]]
    return ", ".join(str(text) for text in told if text)
