"""The form for a catalyst dose, and what the dose rests on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from dash import dcc, html
from dash.development.base_component import Component

from analytics.days import day_words
from analytics.saying import System, box_unit, in_box, said_value
from dashboard.components.aria import aria
from dashboard.components.unit_boxes import DRAWN_IN, drawn_in
from dashboard.components.words import number, plural
from dashboard.state import Query, address, changed

if TYPE_CHECKING:
    from analytics.catalyst.answer import CatalystAdvice

MATERIALS = {"gelcoat": "Gel coat", "resin": "Laminating resin"}


def materials(path: str, query: Query) -> Component:
    """What is mixed, as two large buttons."""
    chosen = query.get("material", "gelcoat")
    return html.Nav(
        html.Ul(
            [
                html.Li(
                    dcc.Link(
                        words, href=address(path, **changed(query, material=material, lot=None))
                    ),
                    className="here" if material == chosen else None,
                )
                for material, words in MATERIALS.items()
            ]
        ),
        className="switch",
        **aria(label="What are you mixing?"),
    )


SHOWS = {"today": "This pot", "year": "The year", "cup": "Cup test"}
SHEET = ("sg", "sc", "sp")
MORE = ("work", "lot", "dose", *SHEET)
UNITS = {"t": "°C", "pot": "kg", "sc": "°C"}


def shows(path: str, query: Query) -> Component:
    """What about catalyst: this pot, the whole year, or a cup test."""
    here = query.get("show", "today")
    return html.Nav(
        html.Ul(
            [
                html.Li(
                    dcc.Link(
                        words,
                        href=address(
                            path, **changed(query, show=None if show == "today" else show)
                        ),
                    ),
                    className="here" if show == here else None,
                )
                for show, words in SHOWS.items()
            ]
        ),
        className="switch shows",
        **aria(label="What about catalyst?"),
    )


def form(query: Query, system: System = "metric", unlearnt: bool = False) -> Component:
    """What the address says, in boxes to change; an empty box leaves it to the log.

    The boxes seldom needed are folded away until one is used; the data sheet's are not where the
    log has no mix of this material (`unlearnt`), as they then help most.
    """
    show = query.get("show", "today")
    if show == "cup":
        return html.Div()
    pot = [
        _box("t", "How warm is it?", "°C", query, "" if unlearnt else "last", -5, 45, system),
        _box("pot", "How much in the pot?", "kg", query, "1", 0.05, 50, system),
    ]
    wanted = [
        _box("from", "Gel not before", "min", query, "usual", 1, 240),
        _box("to", "Gel not after", "min", query, "usual", 1, 240),
    ]
    working = _box("work", "Or: working time", "min", query, "", 1, 240)
    lot = [
        _box("lot", "Lot", "", query, "any"),
        _box("dose", "Or look at a dose", "%", query, "the best", 0.1, 5),
    ]
    return html.Div(
        [
            drawn_in({"type": "dose", "name": DRAWN_IN}, system),
            *([] if show == "year" else pot),
            *wanted,
            html.Details(
                [
                    html.Summary("More"),
                    html.Div(
                        [working, *([] if show == "year" else lot), _sheet(query, system)],
                        className="dose-more",
                    ),
                ],
                className="fold",
                open=unlearnt or any(query.get(name) for name in MORE),
            ),
        ],
        className="form",
    )


def _sheet(query: Query, system: System) -> Component:
    """The one gel time a data sheet gives."""
    return html.Fieldset(
        [
            html.Legend("Your data sheet's gel time"),
            _box("sg", "Gels in", "min", query, "", 1, 300),
            _box("sc", "At", "°C", query, "25", 0, 45, system),
            _box("sp", "With", "%", query, "", 0.5, 4),
        ],
        className="sheet-gel",
    )


def _box(
    name: str,
    words: str,
    unit: str,
    query: Query,
    blank: str,
    low: float | None = None,
    high: float | None = None,
    system: System = "metric",
) -> Component:
    low, high = (end if end is None else said_value(end, unit, system) for end in (low, high))
    limits: dict[str, Any] = (
        {"type": "text"}
        if low is None
        else {"type": "number", "inputMode": "decimal", "step": "any", "min": low, "max": high}
    )
    shown = box_unit(unit, system)
    return html.Label(
        [
            html.Span([words, html.Span(f" ({shown})", className="soft") if unit else None]),
            dcc.Input(
                id={"type": "dose", "name": name},
                value=in_box(query.get(name), unit, system),
                placeholder=in_box(blank, unit, system),
                debounce=True,
                autoComplete="off",
                **limits,
            ),
        ],
        className="box",
    )


def temperature(advice: CatalystAdvice) -> str:
    """How warm, and who says so."""
    said = "as you say" if advice.temperature_from == "given" else f"from {advice.temperature_from}"
    return f"{number(advice.temperature_c, 1)} °C, {said}"


def rests_on(advice: CatalystAdvice) -> Component:
    """How many logged gel times are behind the figure, and which were hardly listened to."""
    last = f", the last on {day_words(advice.last_record)}" if advice.last_record else ""
    aside = [f"{one.record}: {one.reason}" for one in advice.set_aside]
    return html.Section(
        [
            html.H2("What this rests on"),
            html.P(
                f"{plural(advice.jobs_used, 'logged gel time')}{last}. Range allowed: "
                f"{number(advice.limits.low)} to {number(advice.limits.high)} % "
                f"({advice.limits.source})."
            ),
            html.Details(
                [
                    html.Summary(f"{plural(len(aside), 'gel time')} hardly listened to"),
                    html.Ul([html.Li(text) for text in aside]),
                ],
                className="fold",
            )
            if aside
            else None,
        ]
    )
