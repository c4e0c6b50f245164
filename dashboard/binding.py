"""How a page is tied to the address bar, and how a button that writes tells the page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any
from uuid import uuid4

from dash import ALL, Dash, Input, Output, State, ctx, no_update, set_props
from dash.development.base_component import Component

from dashboard.components.notices import done
from dashboard.state import Query, read

Answer = Callable[[Query], Component]
Deed = Callable[[Mapping[str, Any]], str]


def follow_address(app: Dash, path: str, place: str, answer: Answer) -> None:
    """Keep `place` showing the answer to what the address asks, while its page is open.

    It is asked again whenever something was written to the log.
    """

    @app.callback(
        Output(place, "children"),
        Input("address", "search"),
        Input("written", "data"),
        State("address", "pathname"),
    )
    def show(search: str | None, _written: Any, pathname: str) -> Any:
        # Leaving for another page changes the address too: that change is not for this page.
        return answer(read(search)) if pathname == path else no_update


def do_on_press(app: Dash, kind: str, deed: Deed) -> None:
    """Let every button whose id has this `type` do `deed` with its id, and show what it says."""

    @app.callback(
        Output("notice", "children", allow_duplicate=True),
        Input({"type": kind, **_ANY[kind]}, "n_clicks"),
        prevent_initial_call=True,
    )
    def press(_clicks: list[int | None]) -> Any:
        # A button that has just been drawn also fires, with nothing pressed yet.
        if not ctx.triggered or not ctx.triggered[0]["value"]:
            return no_update
        sentence = deed(ctx.triggered_id)
        tell("written")
        return done(sentence)


def tell(store: str) -> None:
    """Ask everything that waits on this store again; each time says something new."""
    set_props(store, {"data": uuid4().hex})


_ANY: Mapping[str, Mapping[str, Any]] = {
    "confirm": {"part": ALL, "defect": ALL, "cause": ALL},
    "withdraw": {"part": ALL, "defect": ALL, "cause": ALL},
    "observe": {"part": ALL, "seen": ALL},
    "undo": {"import": ALL},
    "units": {"system": ALL},
}
