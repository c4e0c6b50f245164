"""What a page says while there is no log yet: what it can do already, and what would sharpen it."""

from __future__ import annotations

from collections.abc import Sequence

from dash import dcc, html
from dash.development.base_component import Component

SHARPENERS = {
    "cause": (
        ("pulls since the release was renewed", "tells a worn-out release from a missed spot"),
        ("wax coats and the minutes between", "tells too few coats from coats put on too soon"),
        ("PVA: used, and minutes to dry", "tells film trouble from wax trouble"),
        ("gel coat wet film", "settles most wrinkles and print-through"),
        ("catalyst % of each mix, and its gel time", "settles tack and half the wrinkles"),
        ("mould and air temperature, humidity", "shows a cold shop or dew on the mould"),
        ("hours from gel coat to first ply", "shows a ply put on too soon or too late"),
        ("how each part came out, good ones too", "lets your own log overrule the trade"),
    ),
    "month": (
        ("date of each part", "without it there is no month"),
        ("how each part came out, good ones too", "a blank is not counted as good"),
        ("mould, gel coat lot, resin lot, operator", "shows what the faults have in common"),
        ("rework minutes, scrap and cost", "shows which fault to mend first"),
    ),
    "catalyst": (
        ("catalyst % of each mix", "by mass, or with the way you measured it"),
        ("gel time, and where: cup, pot or film", "turns a rule of thumb into your own figure"),
        ("air or material temperature at the mix", "is what makes summer differ from winter"),
        ("lot number", "shows a slow or a quick drum"),
    ),
    "home": (
        ("how each part came out, good ones too", "lets your own log overrule the trade"),
        ("pulls since the release was renewed", "most sticking hangs on it"),
        ("catalyst % of each mix, and its gel time", "makes the dose yours"),
        ("how warm it was, and the mould", "tells a cold week from a bad drum"),
    ),
    "plan": (
        ("area and release of each mould", "so that a mould's name is all you pick"),
        ("ply schedule, glass and resin weighed", "makes the amounts yours"),
        ("minutes laying, and people", "how fast you lay, not how fast others do"),
        ("gel time of each mix, and how warm", "says when the next step can start"),
    ),
    "settle": (
        ("how each part came out, good ones too", "there is nothing to judge by without it"),
        ("what was done two ways", "wax coats, mixer, first mat, who: whatever you argue about"),
        ("date and mould", "so that like is set beside like"),
    ),
    "write": (
        ("mould, and how the part came out", "these two first: the rest can wait"),
        ("catalyst weighed, and when it gelled", "a mix written down makes the next dose better"),
        ("how warm it was", "one look at the thermometer for each mix"),
    ),
    "records": (
        ("one row for each part", "a sheet a month, or one long sheet: both are read"),
        (
            "a heading over each column",
            "in your own words; laylog asks about those it cannot place",
        ),
    ),
}


def no_log(page: str, already: str, title: str = "There is no log yet") -> Component:
    """The page's own empty state: `already` says what it can do from trade knowledge alone."""
    bring_in = dcc.Link("Bring in a log", href="/records", className="button")
    start = dcc.Link(
        "Or write the first job down", href="/write?what=job", className="button plain"
    )
    ways = {"records": [start], "write": [bring_in]}.get(page, [bring_in, start])
    return html.Section(
        [
            html.H2(title),
            html.P(already),
            html.H3("Columns that sharpen it most"),
            columns(SHARPENERS[page]),
            html.Div(ways, className="ways-on"),
        ],
        className="teach",
    )


def columns(wanted: Sequence[tuple[str, str]]) -> Component:
    """Columns worth keeping, each with what it is good for."""
    return html.Dl(
        [part for column, why in wanted for part in (html.Dt(column), html.Dd(why))],
        className="columns",
    )
