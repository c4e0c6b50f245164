"""The cup test on a phone: three figures and a button, begun from the last mix."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from dash import dcc, html
from dash.development.base_component import Component

from analytics.errors import QuestionError
from analytics.saying import System, box_unit, said_value
from dashboard.components.dose import MATERIALS
from dashboard.components.notices import cautions
from dashboard.components.unit_boxes import DRAWN_IN, drawn_in, metric_boxes
from dashboard.components.words import number, plural
from dashboard.state import Query

if TYPE_CHECKING:
    from analytics.catalyst.cup import CupAnswer
    from analytics.catalyst.readings import LastMix

BOXES: tuple[tuple[str, str, str, float, float], ...] = (
    ("gel", "It gelled in", "min", 1, 300),
    ("t", "How warm were resin and cup?", "°C", -5, 45),
    ("dose", "Catalyst in it", "% by mass", 0.1, 5),
)
HEADINGS = {
    "stop": "Stop and check",
    "drifted": "This lot is not like the others",
    "as expected": "As expected",
    "not enough to tell": "Logged; not enough to tell about this lot",
}


def cup_form(query: Query, last: LastMix | None, system: System = "metric") -> Component:
    """The boxes; all but the gel time hold what the last mix had."""
    before = {
        "t": last.temperature_c if last else None,
        "dose": last.catalyst_pct if last else None,
    }
    material = MATERIALS[query.get("material", "gelcoat")].lower()
    return html.Div(
        [
            html.H2(f"A cup of {material}, gelled"),
            html.P(
                "100 g in a cup, timed from the last stir until a lump stays on the stick. "
                + ("The boxes begin with the last mix." if last else "")
            ),
            html.Div(
                [
                    drawn_in({"type": "cup", "name": DRAWN_IN}, system),
                    *[_figure(box, before.get(box[0]), system) for box in BOXES],
                    _text("lot", "Lot", last.lot if last else None),
                ],
                className="cup-boxes",
            ),
            html.Button("Log this cup", id="cup-log", n_clicks=0),
            html.P("Goggles and gloves on; weigh the catalyst.", className="soft"),
        ],
        className="cup-form",
    )


def _figure(
    box: tuple[str, str, str, float, float], value: float | None, system: System
) -> Component:
    name, words, unit, low, high = box
    figures: dict[str, Any] = {"type": "number", "inputMode": "decimal", "step": "any"}
    return html.Label(
        [
            html.Span([words, html.Span(f" ({box_unit(unit, system)})", className="soft")]),
            dcc.Input(
                id={"type": "cup", "name": name},
                value=None if value is None else number(said_value(value, unit, system)),
                min=said_value(low, unit, system),
                max=said_value(high, unit, system),
                autoComplete="off",
                **figures,
            ),
        ],
        className="box",
    )


def _text(name: str, words: str, value: str | None) -> Component:
    return html.Label(
        [
            html.Span(words),
            dcc.Input(
                id={"type": "cup", "name": name}, value=value, type="text", autoComplete="off"
            ),
        ],
        className="box",
    )


def typed(values: Sequence[Any], ids: Sequence[Mapping[str, str]]) -> dict[str, Any]:
    """What stands in the boxes, as `analytics.catalyst.cup.begun` takes it.

    Raises QuestionError where no gel time was typed.
    """
    said = metric_boxes(values, ids, {"t": "°C"})
    gel = _number(said.get("gel"))
    if gel is None:
        raise QuestionError("say in how many minutes the cup gelled")
    return {
        "gel_min": gel,
        "temperature_c": _number(said.get("t")),
        "catalyst_pct": _number(said.get("dose")),
        # An emptied box is a cup of no named lot, not the last one's.
        "lot": str(said.get("lot") or ""),
    }


def _number(value: Any) -> float | None:
    try:
        return float(str(value).replace(",", "."))
    except ValueError:
        return None


def cup_said(answer: CupAnswer) -> Component:
    """What the cup says of its lot, with the ten cautions."""
    css = "stop" if answer.verdict == "stop" else "done"
    return html.Div(
        [
            html.Section(
                [
                    html.H2(HEADINGS[answer.verdict]),
                    *[html.P(line) for line in answer.text],
                    html.P(
                        f"Kept as mix {answer.kept}; {plural(answer.jobs_used, 'gel time')} were "
                        "behind what was expected.",
                        className="soft",
                    ),
                ],
                className=f"notice cup-verdict {css}",
                role="status",
            ),
            cautions(answer.cautions, "Before you pour"),
        ],
        className="dose",
    )
